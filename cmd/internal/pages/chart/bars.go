package chart

import (
	"fmt"
	"slices"

	"fettlebook/journal/recur"
	"fettlebook/journal/trade/stat"
	"fettlebook/journal/words"
)

// BarsKey says how the picture of groups is read.
const BarsKey = "A bar is the share of parts with the defect, the thin line what the counts leave open. Dashed: the share of all of them together. Ruled across: where it shows most."

type (
	// Bar is the rate of one group. Without a rate there is no bar.
	Bar struct {
		Name   string
		Sample stat.Sample
		Rate   *stat.Interval // shares
		Word   string         // beside it, such as that the difference shows most there
	}

	// Bars are the rates of groups, a row for each.
	Bars struct {
		Title string // one sentence for who cannot see the picture
		Rows  []Bar
		All   float64 // the rate of all; not a number for none

		Writing words.Writing // of the figures
	}
)

// mostBars is how many groups a picture shows; the table has more.
const mostBars = 40

// Groups draws the groups of a factor with their rates. Groups of words come by
// falling rate, and of those only the first are drawn; the spans of a number as
// they rise.
func Groups(defect string, f recur.Factor, in words.Writing) Drawing {
	b := Bars{Writing: in}
	var all stat.Sample
	for i, g := range f.Groups {
		bar := barOf(g)
		bar.Name = f.Called(g.Name, in)
		if f.There(i) {
			bar.Word = "shows most"
		}
		b.Rows = append(b.Rows, bar)
		all.Defects, all.Parts = all.Defects+g.Defects, all.Parts+g.Parts
	}
	if !f.Number {
		slices.SortStableFunc(b.Rows, func(x, y Bar) int { return compareBars(y, x) })
	}
	b.All = all.Rate()
	d := b.table("Group")
	if left := len(b.Rows) - mostBars; left > 0 {
		b.Rows = b.Rows[:mostBars]
		b.Title = fmt.Sprintf("; %s more in the table", in.Count(left, "group"))
	}
	b.Title = fmt.Sprintf("Share of parts with %s by %s: %s, with intervals%s. The table has the figures.", defect, f.Says, in.Count(len(b.Rows), "group"), b.Title)
	return d.of(b)
}

// Rates draws how often each defect was seen.
func Rates(list []recur.Rate, in words.Writing) Drawing {
	b := Bars{Writing: in, Title: "Share of parts with each defect, with intervals. The table has the figures.", All: nan()}
	for _, r := range list {
		bar := barOf(r.Rate.Sample)
		bar.Name = r.Defect
		b.Rows = append(b.Rows, bar)
	}
	return b.table("Defect").of(b)
}

const level = 0.95 // of intervals

func barOf(s stat.Sample) Bar {
	b := Bar{Name: s.Name, Sample: stat.Sample{Defects: s.Defects, Parts: s.Parts}}
	if p, err := stat.Wilson(s, level); err == nil {
		b.Rate = &p.Rate
	}
	return b
}

func compareBars(a, b Bar) int {
	switch {
	case a.Rate == nil || b.Rate == nil:
		return a.Sample.Parts - b.Sample.Parts
	case a.Rate.Value < b.Rate.Value:
		return -1
	case a.Rate.Value > b.Rate.Value:
		return 1
	}
	return a.Sample.Parts - b.Sample.Parts
}

// table lists the figures.
func (b Bars) table(of string) (d Drawing) {
	d.Head = []string{of, "With the defect", "Share", "from", "to"}
	for _, r := range b.Rows {
		row := []string{words.Commas(r.Name, r.Word), r.Sample.Written(b.Writing), "–", "–", "–"}
		if r.Rate != nil {
			share := func(v float64) string { return b.Writing.Number(recur.Percent(v) + " %") }
			row = append(row[:2], share(r.Rate.Value), share(r.Rate.Low), share(r.Rate.High))
		}
		d.Rows = append(d.Rows, row)
	}
	return d
}

// Picture draws the bars as shapes, or none when there is none.
func (b Bars) Picture() Picture { return b.on(roomy) }

func (b Bars) on(s sheet) Picture {
	var list []row
	most := 0.0
	for _, r := range b.Rows {
		is := row{name: r.Name, figure: true}
		if r.Rate != nil {
			is.word, most = r.Sample.Written(b.Writing), max(most, 100*r.Rate.High)
		}
		list = append(list, is)
	}
	if most <= 0 {
		return Picture{}
	}
	p := s.below(letter, list, 32, room{letters: 34, least: 120, word: 136})
	out := newCanvas(s, p.bottom+s.foot(), b.Title, b.Writing)
	var step float64
	p.x0, p.x1, step = around(0, most, s.steps(5))
	out.scale(p.plot, step, "%")
	if finite(b.All) {
		p.upright(out, p.x(100*b.All), limit())
	}
	p.upright(out, p.left, axis())
	for i, r := range b.Rows {
		y := p.at[i]
		p.name(out, i)
		if r.Rate == nil {
			continue
		}
		box := Stroke{Pieces: [][]Point{{{p.left, y - 9}, {p.x(100 * r.Rate.Value), y - 9}, {p.x(100 * r.Rate.Value), y + 9}, {p.left, y + 9}}}, Pen: pen(2), Title: r.Name}
		out.Shapes = append(out.Shapes, box)
		if r.Word != "" { // ruled across, so that ink alone tells it apart
			for _, dy := range []float64{-4, 0, 4} {
				out.line(p.left, y+dy, p.x(100*r.Rate.Value), y+dy, pen(1.5))
			}
		}
		out.line(p.x(100*r.Rate.Low), y, p.x(100*r.Rate.High), y, pen(2))
		for _, end := range []float64{r.Rate.Low, r.Rate.High} {
			out.line(p.x(100*end), y-5, p.x(100*end), y+5, pen(2))
		}
		p.word(out, i)
	}
	return out.Picture
}
