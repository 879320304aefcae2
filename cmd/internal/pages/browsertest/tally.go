package browsertest

import (
	"unicode/utf8"

	"github.com/chromedp/cdproto/input"
)

// Tally is what a piece of work costs the hands. The camera's own tap is not
// among them, and neither is scrolling.
type Tally struct {
	Taps   int // buttons, links, answers, and the one that sets the cursor into a field; a list to choose from takes two
	Typed  int // characters, on a keyboard or on the page's own keypad
	Loads  int // of whole pages
	Photos int
}

// Plus is both together.
func (t Tally) Plus(o Tally) Tally {
	return Tally{t.Taps + o.Taps, t.Typed + o.Typed, t.Loads + o.Loads, t.Photos + o.Photos}
}

// tally counts what is done in a tab, whichever test does it.
type tally struct {
	now  Tally
	seen int // loads that were told of already
}

func (t *tally) tapped(n int) { t.now.Taps += n }

// typed counts a text with the tap that sets the cursor.
func (t *tally) typed(text string) {
	t.now.Taps++
	t.now.Typed += utf8.RuneCountInString(text)
}

// Snap chooses photographs in a file field, as a camera hands them over.
func (p *Page) Snap(selector string, files ...string) {
	p.b.t.Helper()
	p.now.Photos += len(files)
	p.Upload(selector, files...)
}

// Keys taps a number on the page's own keypad: each key is a character, as on any
// keyboard. What leads on to the next field is a tap, as the one that sets the cursor is.
func (p *Page) Keys(text string) {
	p.b.t.Helper()
	for _, r := range text {
		p.Touch(`[data-key="` + string(r) + `"]`)
		p.tapped(-1)
		p.now.Typed++
	}
}

// Type types where the cursor is.
func (p *Page) Type(text string) {
	p.b.t.Helper()
	p.now.Typed += utf8.RuneCountInString(text)
	call(p, "type "+text, input.InsertText, input.InsertTextParams{Text: text})
}

// Tally is what was done since it was last asked.
func (p *Page) Tally() Tally {
	t, loads := p.now, p.watch.pages()
	t.Loads = loads - p.seen
	p.now, p.seen = Tally{}, loads
	return t
}
