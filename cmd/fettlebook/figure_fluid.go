package main

import (
	"fmt"
	"strings"

	"fettlebook/journal/trade/bleed"
	"fettlebook/journal/trade/sheet"
	"fettlebook/journal/trade/unit"
)

// balance follows the reservoir.
func (c *figureBleed) balance(in *intake, s *sheet.Sheet) error {
	r := bleed.Reservoir{Span: quantity(in, "MIN to MAX", c.Span, unit.Millilitre, 1), Rest: quantity(in, "below MIN", c.Rest, unit.Millilitre, 1)}
	start := in.fluidLevel("start", string(c.Start))
	var steps []bleed.Step
	for i, text := range c.Steps {
		steps = append(steps, in.step(fmt.Sprintf("step %d", i+1), text))
	}
	b, err := bleed.BalanceOf(r, start, steps)
	s.Under("reservoir", b.Sheet())
	return err
}

// fluidLevel reads a share or a volume.
func (in *intake) fluidLevel(name, text string) (l bleed.Level) {
	if strings.HasSuffix(text, "%") {
		l.Share = quantity(in, name, entered(text), unit.Percent, 1)
	} else {
		l.Volume = quantity(in, name, entered(text), unit.Millilitre, 1)
	}
	return l
}

// step reads "RR: out 60 mL, in 50 mL, seen 70 %".
func (in *intake) step(name, text string) (s bleed.Step) {
	what := text
	if corner, rest, named := strings.Cut(text, ":"); named {
		s.Corner, what = bleed.Corner(strings.ToUpper(strings.TrimSpace(corner))), rest
		in.typed(name, string(s.Corner))
	}
	for _, item := range strings.Split(what, ", ") {
		verb, amount, _ := strings.Cut(strings.TrimSpace(item), " ")
		name := name + " " + verb
		switch verb {
		case "out":
			s.Drawn = quantity(in, name, entered(amount), unit.Millilitre, 1)
		case "in":
			s.Added = quantity(in, name, entered(amount), unit.Millilitre, 1)
		case "seen":
			s.Seen = in.fluidLevel(name, amount)
		default:
			in.fail(fmt.Errorf("the step %q cannot be read: write for example RR: out 60 mL, in 50 mL, seen 70 %%", text))
		}
	}
	return s
}

// mix says what the fluid boils at, and whether another may be added to it.
func (c *figureBleed) mix(in *intake, s *sheet.Sheet) error {
	in.typed("fluid", c.Fluid)
	in.typed("added to it", c.Add)
	held, added := bleed.Grade(c.Fluid), bleed.Grade(c.Add)
	var boiling sheet.Sheet
	var points [][]sheet.Result
	for _, g := range []bleed.Grade{held, added} {
		if g == "" || g == bleed.MineralOil && added != "" {
			continue
		}
		b, err := bleed.BoilingOf(g)
		if err != nil {
			return err
		}
		one := b.Sheet()
		points = append(points, one.Results)
		boiling.Join(one)
	}
	boiling.Results = []sheet.Result{{Name: "boiling", Value: points}}
	if added == "" {
		s.Join(boiling)
		return nil
	}
	boiling.Verdicts = nil // whether they mix says more
	s.Join(boiling)
	m, err := bleed.Mix(held, added)
	s.Under("mixing", m.Sheet())
	return err
}
