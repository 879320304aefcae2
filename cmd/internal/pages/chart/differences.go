package chart

import (
	"fmt"

	"fettlebook/journal/recur"
	"fettlebook/journal/trade/stat"
	"fettlebook/journal/words"
)

// DifferencesKey says how the picture of differences is read.
const DifferencesKey = "A dot is the difference seen, the line through it what the counts leave open. Where the line crosses the upright one, there may be no difference at all. Filled, with a word: it stands out with all tries counted."

type (
	// Difference is how far two rates lie apart, with its interval; shares
	// between −1 and 1.
	Difference struct {
		Name   string
		Size   stat.Interval
		Marked bool   // filled
		Word   string // beside it
	}

	// Differences is a row for each, with a line at nothing.
	Differences struct {
		Title string // one sentence for who cannot see the picture
		Rows  []Difference

		Writing words.Writing // of the figures
	}
)

// Factors draws what factors go with, each where it shows most, and lists the
// counts behind that.
func Factors(defect string, list []recur.Factor, in words.Writing) Drawing {
	out := Differences{Writing: in, Title: fmt.Sprintf("%s where each factor shows most, less elsewhere: %s, in percentage points, with intervals. The table has the figures.", words.Capital(defect), in.Count(len(list), "factor"))}
	d := Drawing{Head: []string{"Factor", "There", "Elsewhere", "Difference", "from", "to"}}
	for _, f := range list {
		if f.Effect == nil {
			continue
		}
		out.Rows = append(out.Rows, Difference{Name: f.Where(in), Size: f.Effect.Size, Marked: f.Stands, Word: standing(f)})
		d.Rows = append(d.Rows, append([]string{f.Where(in), f.Pair.First.Written(in), f.Pair.Second.Written(in)}, ends(f.Effect.Size, in)...))
	}
	return d.of(out)
}

func standing(f recur.Factor) string {
	switch {
	case f.Because == recur.GoesAlong:
		return "goes along"
	case f.Because == recur.Together:
		return "not separable"
	case f.Stands:
		return "stands out"
	}
	return ""
}

// ends are an interval's three figures, in percentage points.
func ends(i stat.Interval, in words.Writing) []string {
	return []string{in.Number(recur.Signed(i.Value)), in.Number(recur.Signed(i.Low)), in.Number(recur.Signed(i.High))}
}

// Picture draws the differences as shapes, or none when there is none.
func (d Differences) Picture() Picture { return d.on(roomy) }

func (d Differences) on(s sheet) Picture {
	var drawn []Difference
	var list []row
	low, high := 0.0, 0.0
	for _, r := range d.Rows {
		if !finite(r.Size.Low) || !finite(r.Size.High) || !finite(r.Size.Value) {
			continue
		}
		drawn, list = append(drawn, r), append(list, row{name: r.Name, word: r.Word})
		low, high = min(low, 100*r.Size.Low), max(high, 100*r.Size.High)
	}
	if len(drawn) == 0 {
		return Picture{}
	}
	p := s.below(letter, list, 34, room{letters: 34, least: 120, word: 146})
	out := newCanvas(s, p.bottom+s.foot(), d.Title, d.Writing)
	var step float64
	p.x0, p.x1, step = around(low, high, s.steps(5))
	out.scale(p.plot, step, "points")
	p.upright(out, p.x(0), axis())
	for i, r := range drawn {
		y := p.at[i]
		p.name(out, i)
		out.line(p.left, y, p.right, y, ruled())
		out.interval(p.plot, y, 100*r.Size.Low, 100*r.Size.High)
		out.Shapes = append(out.Shapes, Ring{Point{p.x(100 * r.Size.Value), y}, 7, pen(2), r.Marked})
		p.word(out, i)
	}
	return out.Picture
}

// scale draws the axis of rows, with its unit.
func (c *canvas) scale(p plot, step float64, unit string) {
	for _, t := range ticks(p.x0, p.x1, step) {
		c.line(p.x(t), p.bottom, p.x(t), p.bottom+6, axis())
		name := c.in.Number(named(t, step))
		half := wide([]string{name}) / 2 // of a small figure, which is long
		c.text(max(half, min(p.x(t), c.Width-half)), p.bottom+letter+8, Middle, true, name)
	}
	c.line(p.left, p.bottom, p.right, p.bottom, axis())
	c.unit(p, unit)
}

// unit writes the unit of the axis below a plot: at its end, or below its ticks.
func (c *canvas) unit(p plot, unit string) {
	if c.on == narrow {
		c.text(c.Width, p.bottom+letter+8+lineSpace, End, false, unit)
		return
	}
	c.text(p.right+24, p.bottom+letter+8, Start, false, unit)
}

// interval draws a line between two ends, each of which has a mark.
func (c *canvas) interval(p plot, y, low, high float64) {
	from, to := p.x(low), p.x(high)
	c.line(from, y, to, y, pen(3))
	for _, x := range []float64{from, to} {
		c.line(x, y-6, x, y+6, pen(2))
	}
}
