package chart

import (
	"cmp"
	"math"
	"strconv"

	"fettlebook/journal/recur"
	"fettlebook/journal/trade/stat"
	"fettlebook/journal/words"
)

type (
	// Watch is figures in the order of time, each with the limits that chance
	// alone keeps to.
	Watch struct {
		Title   string // one sentence for who cannot see the picture
		Up      string // the unit of the figures
		Shares  bool   // they are shares, in percent
		Points  []Watched
		Centre  float64
		Moments []Moment

		Writing words.Writing // of the figures
	}

	// Watched is one figure. A Value that is not a number is one that is missing.
	Watched struct {
		Name             string
		Value, Low, High float64
		Out              stat.Rule // by which it stands out
		Short            string    // its name where there is little room; "" for the same
	}

	// Moment is when something changed: 2.5 is half way between the third point
	// and the fourth.
	Moment struct {
		Label string
		At    float64
	}
)

// mostMoments is how many moments have room for their words. The last ones are
// drawn; the table has all.
const mostMoments = 5

// Picture draws the figures as shapes, or none when there is none.
func (w Watch) Picture() Picture { return w.on(roomy) }

func (w Watch) on(s sheet) Picture {
	p, ok := w.extent()
	if !ok {
		return Picture{}
	}
	moments := w.Moments[max(0, len(w.Moments)-mostMoments):]
	const room = 300.0 // from the least tick to the greatest
	p.top = letter*1.6 + lineSpace*float64(len(moments))
	p.bottom = p.top + room
	var step float64
	p.y0, p.y1, step = around(p.y0, p.y1, 6)
	p.left, p.right = s.leftOf(heights(p, step, w.Up, w.Writing)), s.width()-150
	if s == narrow {
		p.right = s.width() - 26
	}
	out := newCanvas(s, p.bottom+s.foot(), w.Title, w.Writing)
	out.up(p, step, w.Up)
	out.line(p.left, p.bottom, p.right, p.bottom, axis())
	w.names(out, p)
	w.limits(out, p)
	for i, m := range moments {
		w.moment(out, p, m, letter+lineSpace*float64(i))
	}
	w.figures(out, p)
	out.explain()
	return out.Picture
}

func (w Watch) extent() (p plot, any bool) {
	p = plot{x0: -0.5, x1: float64(len(w.Points)) - 0.5, y0: 0, y1: math.Inf(-1)}
	for _, at := range w.Points {
		any = any || finite(at.Value)
		for _, v := range []float64{at.Value, at.Low, at.High} {
			if finite(v) {
				p.y0, p.y1 = min(p.y0, v), max(p.y1, v)
			}
		}
	}
	if finite(w.Centre) {
		p.y0, p.y1 = min(p.y0, w.Centre), max(p.y1, w.Centre)
	}
	return p, any
}

// names writes the names of the points, as many as have room.
func (w Watch) names(out *canvas, p plot) {
	var all []string
	for _, at := range w.Points {
		all = append(all, cmp.Or(at.Short, at.Name))
	}
	apart := wide(all) + letter
	last := math.Inf(-1)
	for i, name := range all {
		if x := p.x(float64(i)); x-last >= apart && x+wide(all)/2 <= out.Width {
			out.line(x, p.bottom, x, p.bottom+6, axis())
			out.text(x, p.bottom+letter+8, Middle, true, short(name))
			last = x
		}
	}
}

// limits draws the centre as a whole line, and the limits of each point as a
// dashed one across its place.
func (w Watch) limits(out *canvas, p plot) {
	var labels []label
	if finite(w.Centre) {
		out.line(p.left, p.y(w.Centre), p.right, p.y(w.Centre), pen(1.5))
		labels = append(labels, label{text: "usual " + w.says(w.Centre), x: p.right, y: p.y(w.Centre)})
	}
	for _, side := range []struct {
		name string
		of   func(Watched) float64
	}{{"upper limit", func(at Watched) float64 { return at.High }}, {"lower limit", func(at Watched) float64 { return at.Low }}} {
		s := Stroke{Pen: limit(), Title: side.name}
		var piece []Point
		for i, at := range w.Points {
			if v := side.of(at); finite(v) {
				piece = append(piece, Point{p.x(float64(i) - 0.5), p.y(v)}, Point{p.x(float64(i) + 0.5), p.y(v)})
			} else if piece != nil {
				s.Pieces, piece = append(s.Pieces, piece), nil
			}
		}
		if piece != nil {
			s.Pieces = append(s.Pieces, piece)
		}
		if len(s.Pieces) > 0 {
			end := s.Pieces[len(s.Pieces)-1]
			labels = append(labels, label{text: side.name, x: end[len(end)-1].X, y: end[len(end)-1].Y})
			out.Shapes = append(out.Shapes, s)
		}
	}
	out.beside(p, labels, 16)
}

// moment draws an upright line with its words beside its upper end, on the
// side where there is more room.
func (w Watch) moment(out *canvas, p plot, m Moment, y float64) {
	x := p.x(max(p.x0, min(m.At, p.x1)))
	out.line(x, y-letter*0.7, x, p.bottom, Pen{Width: 2, Dashes: []float64{2, 4}})
	name := out.called(m.Label)
	long := wide([]string{name})
	if x-p.left > p.right-x {
		out.text(max(x-6, long), y, End, false, name)
		return
	}
	out.text(min(x+6, out.Width-long), y, Start, false, name)
}

// figures draws the points and the line between those that follow each other.
func (w Watch) figures(out *canvas, p plot) {
	var line []Point
	for i, at := range w.Points {
		line = append(line, Point{float64(i), at.Value})
	}
	joined := Stroke{Pen: pen(2), Title: "what was counted"}
	for _, run := range runs(line, 0) {
		var piece []Point
		for _, at := range run {
			piece = append(piece, Point{p.x(at.X), p.y(at.Y)})
		}
		joined.Pieces = append(joined.Pieces, piece)
	}
	out.Shapes = append(out.Shapes, joined)
	radius := max(2.5, min(6, (p.right-p.left)/float64(len(w.Points))/3))
	free := math.Inf(-1) // to the right of the last word
	for i, at := range w.Points {
		if !finite(at.Value) {
			continue
		}
		x, y := p.x(float64(i)), p.y(at.Value)
		out.Shapes = append(out.Shapes, Ring{Point{x, y}, radius, pen(2), at.Out != ""})
		if at.Out == "" {
			continue
		}
		r := radius + 5
		out.Shapes = append(out.Shapes, Stroke{Pieces: [][]Point{{{x - r, y - r}, {x + r, y - r}, {x + r, y + r}, {x - r, y + r}, {x - r, y - r}}}, Pen: pen(2), Title: at.Name + " " + string(at.Out)})
		word := inShort(at.Out)
		half := wide([]string{word}) / 2
		if x-half > free {
			at := max(p.left+half, min(x, out.Width-half))
			out.text(at, y-r-6, Middle, false, word)
			free = at + half
		}
	}
}

// inShort is a rule in a word or two, for the picture.
func inShort(r stat.Rule) string {
	switch r {
	case stat.AboveLimit:
		return "above"
	case stat.BelowLimit:
		return "below"
	}
	return string(r)
}

// says writes a figure as the table has it.
func (w Watch) says(v float64) string {
	switch {
	case !finite(v):
		return "none"
	case w.Shares:
		return w.Writing.Number(recur.Percent(v/100) + " %")
	}
	return w.Writing.Number(strconv.FormatFloat(math.Round(v*10)/10, 'f', -1, 64))
}
