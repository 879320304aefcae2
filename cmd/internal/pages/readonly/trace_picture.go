package readonly

import (
	"fmt"
	"slices"
	"time"
	"unicode/utf8"

	"fettlebook/journal"
	"fettlebook/journal/trace"
	"fettlebook/journal/words"
)

// tracePicture is a trace as boxes and lines, in units of about a pixel: what
// touched it to the left by time, what is traced in the middle, and the vehicles
// that share it, or share what is on the left, to the right.
type tracePicture struct {
	Width, Height float64
	Says          string // one sentence for who cannot see it
	Lines         []traceLine
	Boxes         []traceBox
}

type traceBox struct {
	X, Y, Width, Height float64
	Name, Second        string // as much as fits; the lists below tell it in full
	Path                string
	Middle              bool
}

// traceLine is a curve from the right edge of a box to the left edge of another.
type traceLine struct{ D string }

// The measures of the picture.
const (
	pictureWide = 770
	boxWide     = 252
	middleWide  = 204
	boxHigh     = 64 // for gloved hands
	rowHigh     = 76
	mostDrawn   = 24  // boxes on a side
	lettersWide = 23  // of a name in a box
	inView      = 300 // how far down the middle is at most: a long left side must not hide it
)

// drawTrace lays a trace out; nil if there is nothing beside its middle.
func (p *Paper) drawTrace(t *trace.Trace, w words.Writing) *tracePicture {
	left, right := t.Left[:min(len(t.Left), mostDrawn)], t.Right[:min(len(t.Right), mostDrawn)]
	if len(left)+len(right) == 0 {
		return nil
	}
	out := &tracePicture{Width: pictureWide, Height: float64(max(len(left), len(right), 1)*rowHigh) + 4}
	out.Says = fmt.Sprintf("%s in the middle; %s to the left, by time; %s to the right", t.Of.Name, words.Count(len(left), "thing"), words.Count(len(right), "vehicle"))
	centre := min(out.Height/2, inView)
	middle := traceBox{X: (pictureWide - middleWide) / 2, Y: centre - boxHigh/2, Width: middleWide, Height: boxHigh, Middle: true, Path: p.tracing(t.Of)}
	middle.Name, middle.Second = cut(t.Of.Name, lettersWide-6), cut(t.Of.What, lettersWide-6)
	column := func(x float64, i, of int) traceBox {
		top := max(0, centre-float64(of*rowHigh)/2)
		return traceBox{X: x, Y: top + float64(i*rowHigh) + (rowHigh-boxHigh)/2, Width: boxWide, Height: boxHigh}
	}
	at := make(map[journal.Subject]traceBox)
	for i, n := range left {
		b := column(2, i, len(left))
		b.Name, b.Path = cut(n.Name, lettersWide), p.tracing(n)
		b.Second = day(n.At, w)
		if n.Shares != nil && *n.Shares > 0 {
			b.Second += fmt.Sprintf(" · %d more", *n.Shares)
		}
		at[n.Of] = b
		out.Boxes = append(out.Boxes, b)
		out.Lines = append(out.Lines, between(b, middle))
	}
	out.Boxes = append(out.Boxes, middle)
	for i, v := range right {
		b := column(pictureWide-boxWide-2, i, len(right))
		b.Name, b.Second, b.Path = cut(v.Name, lettersWide), cut(whereabouts(v, w), lettersWide+4), JobPath(v.Job)
		out.Boxes = append(out.Boxes, b)
		from := []traceBox{middle}
		if len(v.Via) > 0 {
			from = nil
		}
		for _, via := range v.Via {
			if b, drawn := at[via]; drawn {
				from = append(from, b)
			}
		}
		for _, f := range from {
			out.Lines = append(out.Lines, between(f, b))
		}
	}
	slices.SortStableFunc(out.Boxes, func(a, b traceBox) int { return int(a.X - b.X) }) // as the keyboard goes through them
	return out
}

// whereabouts says in short where a vehicle is.
func whereabouts(v *trace.Vehicle, w words.Writing) string {
	if v.OnRoad() {
		return "on the road, " + w.Day(time.Time(v.Released))
	}
	return v.Where(w)
}

func between(from, to traceBox) traceLine {
	x, y, to1, to2 := from.X+from.Width, from.Y+from.Height/2, to.X, to.Y+to.Height/2
	bend := (to1 - x) / 2
	return traceLine{fmt.Sprintf("M%.1f %.1fC%.1f %.1f %.1f %.1f %.1f %.1f", x, y, x+bend, y, to1-bend, to2, to1, to2)}
}

// cut shortens a text to so many letters.
func cut(text string, letters int) string {
	if utf8.RuneCountInString(text) <= letters {
		return text
	}
	return string([]rune(text)[:letters-1]) + "…"
}
