package chart

import "unicode/utf8"

// row is a row of a picture: its name, and a word at its other end.
type row struct {
	name, word string
	figure     bool // the word is one
}

// fits reports whether name and word have room in one line.
func (r row) fits(letters int) bool {
	return utf8.RuneCountInString(r.name)+utf8.RuneCountInString(r.word) < letters
}

// rows are where the rows of a picture lie: a line for each, and its name beside the line
// or above it.
type rows struct {
	plot
	on    sheet
	list  []row
	pitch float64
	at    []float64 // the heights of the lines
}

// room is what the names and the words of rows have on a roomy sheet.
type room struct {
	letters     int // of a name
	least, word float64
}

// below lays rows out from a height downwards.
func (s sheet) below(top float64, list []row, pitch float64, has room) *rows {
	r := &rows{on: s, list: list, pitch: pitch}
	r.top, r.bottom = top, top
	r.left, r.right = 36, s.width()-36
	if s == roomy {
		var names []string
		for i := range list {
			list[i].name = cut(list[i].name, has.letters)
			names = append(names, list[i].name)
		}
		r.left, r.right = max(has.least, wide(names)+20), s.width()-has.word
	}
	for i, is := range list {
		if s == narrow {
			list[i].name = cut(is.name, s.letters())
			r.bottom += lineSpace
			if !list[i].fits(s.letters()) {
				r.bottom += lineSpace
			}
		}
		r.at = append(r.at, r.bottom+pitch/2)
		r.bottom += pitch
		if s == narrow { // a name is nearer to its own line than to the one above it
			r.bottom += letter / 3
		}
	}
	return r
}

// name writes the name of a row.
func (r *rows) name(c *canvas, i int) {
	y := r.at[i]
	if r.on == roomy {
		c.text(r.left-12, y+letter/3, End, false, r.list[i].name)
		return
	}
	y -= r.pitch/2 + letter/3
	if !r.list[i].fits(r.on.letters()) {
		y -= lineSpace
	}
	c.text(0, y, Start, false, r.list[i].name)
}

// word writes the word of a row.
func (r *rows) word(c *canvas, i int) {
	is, y := r.list[i], r.at[i]
	switch {
	case is.word == "":
	case r.on == roomy:
		c.text(r.right+10, y+letter/3, Start, is.figure, is.word)
	default:
		c.text(r.on.width(), y-r.pitch/2-letter/3, End, is.figure, is.word)
	}
}

// upright draws a line that crosses all rows, but no name.
func (r *rows) upright(c *canvas, x float64, with Pen) {
	if r.on == roomy {
		c.line(x, r.top-6, x, r.bottom, with)
		return
	}
	is := Stroke{Pen: with}
	for _, y := range r.at {
		is.Pieces = append(is.Pieces, []Point{{x, y - r.pitch/2}, {x, y + r.pitch/2}})
	}
	c.Shapes = append(c.Shapes, is)
}
