package paper

import (
	"time"

	"fettlebook/cmd/internal/pages/chart"
)

type (
	// Document is a paper: what stands on it, from top to bottom.
	Document struct {
		Title   string
		By      string    // the shop whose paper it is
		Running string    // at the foot of every page of print, beside its number
		Dated   time.Time // what it tells of, never when it was made
		Letters float64   // their size in print, in points; 0 is 10
		Most    int       // pages of print that it should fit on with smaller letters; 0 for any
		Blocks  []Block
	}

	// Block is one of the kinds of things that a paper has.
	Block interface{ block() }

	// Head is the top of the first page.
	Head struct {
		Shop  string
		Plate string   // what the vehicle is called
		Right []string // lines
	}

	// Heading begins a part; level 1 is the paper's own.
	Heading struct {
		Level int
		Text  string
	}

	// Text is a paragraph, or what stands in a cell.
	Text []Run

	// Run is a piece of text in one face.
	Run struct {
		Text string
		Face Face
	}

	// Face is how letters look.
	Face int

	// Fine is a paragraph in small print.
	Fine struct{ Text }

	// Caution is what could hurt somebody.
	Caution struct{ Text }

	// List is points one below the other.
	List []Text

	// Pairs are names with what is to be said of each.
	Pairs []Pair
	// Pair is one of them.
	Pair struct {
		Name string
		Text Text
	}

	// Boxes stand side by side: what to do, and when.
	Boxes []Pair

	// Table is rows under a head.
	Table struct {
		Title  string // for who cannot see it
		Small  bool   // in small print
		Head   []string
		Shares []float64 // how wide the columns are, one for each of Head
		Rows   [][]Text  // each as long as Head
	}

	// Pictures are photographs in rows.
	Pictures struct {
		Across int     // so many side by side
		Tall   float64 // height of each, as a share of its width; 0 leaves it whole
		Of     []Picture
	}

	// Picture is a photograph with what it shows.
	Picture struct {
		JPEG          []byte // nil if there is none to show
		Width, Height int    // pixels
		Shows         string // one phrase, for who cannot see it too
		Caption       Text
		Missing       string // why there is none
	}

	// Chart is a chart with the sentence that says how it is read.
	Chart struct {
		Picture chart.Picture
		Key     string
	}

	// Code is a text that a camera reads, with what is said of it.
	Code struct {
		Holds  string
		Beside []Text
	}

	// Together is what does not go on two pages if it fits on one.
	Together []Block

	// NewPage begins a page of print.
	NewPage struct{}
)

// The faces.
const (
	Plain Face = iota
	Bold
	Figure // figures and codes, each as wide as the other
	Struck // a line through it
	Break  // no letters: a new line begins
)

func (Head) block()     {}
func (Heading) block()  {}
func (Text) block()     {}
func (Fine) block()     {}
func (Caution) block()  {}
func (List) block()     {}
func (Pairs) block()    {}
func (Boxes) block()    {}
func (Table) block()    {}
func (Pictures) block() {}
func (Chart) block()    {}
func (Code) block()     {}
func (Together) block() {}
func (NewPage) block()  {}

// say is a text in the usual face.
func say(text string) Text { return Text{{Text: text}} }

// figure is a text in the face of figures.
func figure(text string) Text { return Text{{text, Figure}} }

// strong is a text that stands out.
func strong(text string) Text { return Text{{text, Bold}} }

// then adds to a text.
func (t Text) then(more ...Run) Text { return append(t[:len(t):len(t)], more...) }

// plain is a text without its faces.
func (t Text) plain() string {
	text := ""
	for _, r := range t {
		text += r.Text
	}
	return text
}

// add puts blocks at the end.
func (d *Document) add(blocks ...Block) { d.Blocks = append(d.Blocks, blocks...) }
