package stat

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"fettlebook/journal/trade/sheet"
)

// figures returns the points with what stands out, those without a name by their number,
// counted from 1.
func (c Chart) figures() []Point {
	all := slices.Clone(c.Points)
	for i := range all {
		all[i].Name = cmp.Or(all[i].Name, fmt.Sprint(i+1))
	}
	for _, s := range c.Signals {
		all[s.Point].Out = s.Rule
	}
	return all
}

// Sheet returns the chart with a row for each point.
func (c Chart) Sheet() sheet.Sheet {
	return c.sheet(map[Kind]string{
		P: "p̄ ± 3·√(p̄(1 − p̄)/n)",
		U: "ū ± 3·√(ū/a), a the amount inspected",
		C: "c̄ ± 3·√c̄",
	}[c.Kind], c.Say())
}

func (c Chart) sheet(formula, say string) sheet.Sheet {
	s := sheet.Sheet{
		Formula:  []string{formula, c.Method + "; " + c.Source},
		Warnings: c.Guards,
		Table:    [][]string{{"point", "value", "low", "high", ""}},
	}
	s.Put("kind", string(c.Kind), "centre", c.Centre)
	if c.Kind != RunningSum {
		s.Say("centre", "%s", sheet.Significant(c.Centre))
	}
	points, out := c.figures(), c.Out()
	for i := range out {
		out[i]++ // counted from 1
	}
	s.Put("points", points, "out", out)
	if len(out) == 0 {
		s.PutKnown("shows_fold", c.Quiet.Fold)
		s.PutKnown("shows_change", c.Quiet.Shift)
		s.PutKnown("shows_after_parts", c.Quiet.Parts)
	}
	for _, p := range points {
		var said []string
		if p.Out != "" {
			said = append(said, "OUT: "+string(p.Out))
		}
		if p.LeftOut {
			said = append(said, "left out")
		}
		s.Table = append(s.Table, []string{p.Name, sheet.Significant(p.Value), sheet.Significant(p.Low), sheet.Significant(p.High), strings.Join(said, ", ")})
	}
	s.Limit("each point", sheet.Words("within its low and high"), c.Source, "")
	s.Judge(len(out) == 0, say)
	return s
}

// Sheet returns the chart with its probability limit.
func (g Gaps) Sheet() sheet.Sheet {
	s := g.sheet("ḡ + 3·√(ḡ(ḡ + 1)) above; a run of short gaps below", g.Say())
	s.PutKnown("upper_by_chance", g.UpperByChance)
	s.PutKnown("median", g.Median)
	return s
}

// Sheet returns the chart with its probability limits.
func (t Times) Sheet() sheet.Sheet {
	s := t.sheet("y = t^(1/3.6), ȳ ± 3·mean step/1.128, and back", t.Say())
	s.PutKnown("upper_by_chance", t.UpperByChance)
	s.PutKnown("lower_by_chance", t.LowerByChance)
	s.PutKnown("median", t.Median)
	return s
}

// Sheet returns the chart of the readings, and their steps for programs.
func (r Readings) Sheet() sheet.Sheet {
	s := r.Individuals.sheet("x̄ ± 3·mean step/1.128; steps up to 3.267·mean step", r.Say())
	steps := r.MovingRanges.figures()
	for i := range steps {
		steps[i].Name = fmt.Sprint(i + 1)
	}
	s.Put("steps", steps)
	return s
}

// Sheet returns a running sum that Watch kept, and how to keep it on.
func (c CUSUM) Sheet(kept Chart) sheet.Sheet {
	s := kept.sheet(fmt.Sprintf("a defect adds %d, a good part takes 1 away, never below 0, and %d is an alarm", c.Reference-1, c.Alarm), kept.Say())
	s.Put("parts_per_defect", c.Reference, "alarm", c.Alarm)
	s.Find(c.Say())
	return s
}

// Sheet returns why the chart fits.
func (c Choice) Sheet() sheet.Sheet {
	s := sheet.Sheet{Warnings: c.Guards}
	s.Tell("why", "chart", c.Why, "%s", c.Say())
	return s
}
