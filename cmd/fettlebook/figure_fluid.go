package main

import (
	"fmt"
	"strings"

	"fettlebook/journal/trade/bleed"
	"fettlebook/journal/trade/unit"
)

type (
	// bleedReservoir is the volume balance, in mL above MIN.
	bleedReservoir struct {
		StartML    float64        `json:"start_ml"`
		DrawnML    float64        `json:"drawn_ml"`
		AddedML    float64        `json:"added_ml"`
		EndML      float64        `json:"end_ml"`
		BelowMin   bool           `json:"below_min"`
		Dry        bool           `json:"dry"`
		BleedAgain []bleed.Corner `json:"bleed_again"`
		Steps      []bleedStep    `json:"steps"`
	}

	bleedStep struct {
		Corner   bleed.Corner `json:"corner,omitzero"`
		LowestML float64      `json:"lowest_ml"`
		AfterML  float64      `json:"after_ml"`
		BelowMin bool         `json:"below_min"`
		Dry      bool         `json:"dry"`
	}

	// bleedBoiling is the least boiling points of a grade.
	bleedBoiling struct {
		Fluid bleed.Grade `json:"fluid"`
		DryC  int         `json:"dry_c"`
		WetC  int         `json:"wet_c"`
	}

	bleedMixing struct {
		System bleed.Grade `json:"system"`
		Added  bleed.Grade `json:"added"`
		May    bool        `json:"may"`
		Why    string      `json:"why"`
		Holds  bleed.Grade `json:"holds,omitzero"` // whose boiling points can be trusted
	}
)

// balance follows the reservoir.
func (f *bleedFigure) balance(in *intake, c *figureBleed) error {
	r := bleed.Reservoir{Span: quantity(in, "MIN to MAX", c.Span, unit.Millilitre, 1), Rest: quantity(in, "below MIN", c.Rest, unit.Millilitre, 1)}
	start := in.fluidLevel("start", string(c.Start))
	var steps []bleed.Step
	for i, text := range c.Steps {
		steps = append(steps, in.step(fmt.Sprintf("step %d", i+1), text))
	}
	if in.err != nil {
		return in.err
	}
	b, err := bleed.BalanceOf(r, start, steps)
	if err != nil {
		return err
	}
	g := &bleedReservoir{StartML: b.Start, DrawnML: b.Drawn, AddedML: b.Added, EndML: b.Start, BelowMin: b.BelowMin, Dry: b.Dry, BleedAgain: b.Again}
	for i, s := range b.Stands {
		g.EndML = s.After
		g.Steps = append(g.Steps, bleedStep{s.Step.Corner, s.Lowest, s.After, s.BelowMin, s.Dry})
		f.result(fmt.Sprintf("step %d", i+1), "lowest %.0f mL, then %.0f mL above MIN", s.Lowest, s.After)
	}
	f.Reservoir = g
	f.Formula = append(f.Formula, "level = level before − drawn + added, or what was seen")
	f.Limits = append(f.Limits, limit{"level", "not below MIN", b.Source, ""})
	f.Warnings = append(f.Warnings, b.Warnings...)
	f.Verdict = append(f.Verdict, b.Say())
	return nil
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

// mix says what the fluid boils at, and whether another may be filled on it.
func (f *bleedFigure) mix(in *intake, c *figureBleed) error {
	in.typed("fluid", c.Fluid)
	in.typed("filled on it", c.Add)
	held, added := bleed.Grade(c.Fluid), bleed.Grade(c.Add)
	for _, g := range []bleed.Grade{held, added} {
		if g == "" || g == bleed.MineralOil && c.Add != "" {
			continue
		}
		b, err := bleed.BoilingOf(g)
		if err != nil {
			return err
		}
		f.Boiling = append(f.Boiling, bleedBoiling{g, b.DryC, b.WetC})
		f.Limits = append(f.Limits, limit{string(g) + " boils at", fmt.Sprintf("at least %d °C dry and %d °C wet", b.DryC, b.WetC), b.Source, ""})
		if c.Add == "" {
			f.Verdict = append(f.Verdict, b.Say())
		}
	}
	if c.Add == "" {
		return nil
	}
	m, err := bleed.Mix(held, added)
	if err != nil {
		return err
	}
	f.Mixing = &bleedMixing{m.A, m.B, m.OK, m.Why, m.Holds}
	f.Limits = append(f.Limits, limit{"mixing", m.Why, m.Source, ""})
	f.Warnings = append(f.Warnings, m.Warnings...)
	f.Verdict = append(f.Verdict, m.Say())
	return nil
}
