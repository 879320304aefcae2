package pages

import "net/http"

// Undo is the offer to take back what a person stamped a moment ago, or the word that it
// was taken back. It stands above what main shows, on whatever page comes next.
type Undo struct {
	Say  string // what was stamped
	Path string // that takes it back
	Left int    // seconds in which it can be
	Done bool   // it was taken back
}

// Undoing says what whoever sent a request may take back; nil for nothing.
type Undoing func(r *http.Request) *Undo
