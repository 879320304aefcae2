package pages

import "net/http"

// Undo is the word that something was stamped a moment ago, with the offer to take it back,
// or the word that it was taken back. It stands above what main shows, on whatever page comes
// next.
type Undo struct {
	Say  string // what was stamped
	Path string // that takes it back; "" if a correction has to
	Left int    // seconds for which it stands
	Done bool   // it was taken back
}

// Undoing says what whoever sent a request stamped a moment ago; nil for nothing.
type Undoing func(r *http.Request) *Undo
