package chart

import (
	"math"
	"strconv"

	"fettlebook/journal/trade/stat"
	"fettlebook/journal/words"
)

// GoodKey says how the picture of parts still good is read.
const GoodKey = "Thick: share of parts still good. Dashed: what the counts leave open. A stroke across: parts that were good when they were last seen; of what came after that nobody knows. Beneath: how many parts were still watched."

// Good draws the share of parts that are still good over the days since they
// were handed back, with how many were still watched beneath.
func Good(defect string, s stat.Survival, in words.Writing) Drawing {
	d := Drawing{Head: []string{"Day", "Watched until then", "With the defect", "Last seen good", "Still good", "from", "to"}}
	for i, step := range s.Steps {
		if step.Defects > 0 || i == len(s.Steps)-1 {
			d.Rows = append(d.Rows, []string{in.Number(days(step.Time)), in.Sprintf("%d", step.AtRisk), in.Sprintf("%d", step.Defects), in.Sprintf("%d", step.LastSeen),
				in.Number(fine(step.Good)), in.Number(fine(step.Low)), in.Number(fine(step.High))})
		}
	}
	return d.of(good{s, in.Sprintf("Share of parts without a late %s over days since they were handed back: %s seen again, %d with the defect. The table has the figures.", defect, in.Count(s.Parts, "part"), s.Seen), in})
}

// fine writes a share in percent with two decimals: near all of them, what is
// lost shows there only.
func fine(share float64) string {
	if !finite(share) {
		return "–"
	}
	return strconv.FormatFloat(math.Round(1e4*share)/100, 'f', -1, 64) + " %"
}

func days(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// good is the picture of parts that are still good.
type good struct {
	stat.Survival
	title string
	in    words.Writing
}

func (s good) on(sheet sheet) Picture {
	if len(s.Steps) == 0 {
		return Picture{}
	}
	p := plot{x0: 0, x1: max(1, s.Steps[len(s.Steps)-1].Time), y0: 100, y1: 100}
	for _, step := range s.Steps {
		if finite(step.Low) {
			p.y0 = min(p.y0, 100*step.Low)
		}
	}
	var step float64
	p.y0, p.y1, step = around(min(p.y0, 90), 100, 6)
	p.y0 = max(p.y0, 0)
	p.left, p.right, p.top, p.bottom = sheet.leftOf(heights(p, step, "%", s.in)), sheet.width()-120, letter, 330
	if sheet == narrow {
		p.right = sheet.width() - 24
	}
	out := newCanvas(sheet, p.bottom+sheet.foot()+2*lineSpace, s.title, s.in)
	out.up(p, step, "%")
	out.line(p.left, p.bottom, p.right, p.bottom, axis())
	across := stepOf(p.x1, sheet.steps(6), nil)
	for _, t := range ticks(0, p.x1, across) {
		out.line(p.x(t), p.bottom, p.x(t), p.bottom+6, axis())
		out.text(p.x(t), p.bottom+letter+8, Middle, true, s.in.Number(named(t, across)))
		out.text(p.x(t), p.bottom+sheet.foot()+lineSpace, Middle, true, s.in.Sprintf("%d", watchedAt(s.Survival, t)))
	}
	out.unit(p, "days")
	out.text(p.left, p.bottom+sheet.foot(), Start, false, "parts still watched:")
	out.stairs(p, s.Survival, Pen{Width: 2, Dashes: []float64{5, 5}}, "least", func(step stat.Step) float64 { return step.Low })
	out.stairs(p, s.Survival, Pen{Width: 2, Dashes: []float64{5, 5}}, "greatest", func(step stat.Step) float64 { return step.High })
	out.stairs(p, s.Survival, pen(3.5), "still good", func(step stat.Step) float64 { return step.Good })
	for _, step := range s.Steps {
		if step.LastSeen > 0 {
			x, y := p.x(step.Time), p.y(100*step.Good)
			out.line(x, y-6, x, y+6, pen(1.5))
		}
	}
	return out.Picture
}

// watchedAt is how many parts were still watched at a time: neither was the
// defect seen on them before, nor were they seen last before.
func watchedAt(s stat.Survival, time float64) int {
	for _, step := range s.Steps {
		if step.Time >= time {
			return step.AtRisk
		}
	}
	return 0
}

// stairs draws a share that changes at each step only. It ends where it is not
// known.
func (c *canvas) stairs(p plot, s stat.Survival, with Pen, title string, of func(stat.Step) float64) {
	line := []Point{{p.x(0), p.y(100)}}
	last := 1.0
	for _, step := range s.Steps {
		v := of(step)
		if !finite(v) {
			break
		}
		if v != last {
			line = append(line, Point{p.x(step.Time), p.y(100 * last)})
		}
		line, last = append(line, Point{p.x(step.Time), p.y(100 * v)}), v
	}
	c.Shapes = append(c.Shapes, Stroke{Pieces: [][]Point{tidy(line)}, Pen: with, Title: title})
}

// tidy leaves out points that lie between two others on a level line.
func tidy(line []Point) (kept []Point) {
	for i, at := range line {
		if i > 0 && i < len(line)-1 && line[i-1].Y == at.Y && line[i+1].Y == at.Y {
			continue
		}
		kept = append(kept, at)
	}
	return kept
}

func nan() float64 { return math.NaN() }
