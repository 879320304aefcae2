package bleed

import (
	"fmt"

	"fettlebook/journal/trade/sheet"
	"fettlebook/journal/words"
)

// Sheet returns the order.
func (o Order) Sheet() sheet.Sheet {
	s := sheet.Sheet{Warnings: o.Warnings}
	s.Tell("order", "order", o.Corners, "%s", words.Commas(o.Corners...))
	s.Limit("order", sheet.Words(words.Commas(o.Corners...)), o.Source, "manual")
	s.Find(o.Say())
	return s
}

// Sheet returns where the bleeding stands.
func (st State) Sheet() sheet.Sheet {
	s := sheet.Sheet{
		Formula:  []string{"a corner is bled when its last bleeding came after its last opening, without bubbles and with nothing open"},
		Warnings: st.Warnings,
	}
	for _, n := range st.Need {
		s.Say("bleed "+string(n.Corner), "%s", n.Why)
	}
	if len(st.Bled) > 0 {
		s.Say("bled", "%s", words.Commas(st.Bled...))
	}
	s.Put("complete", st.Complete, "bled", st.Bled, "need", st.Need, "open", st.Open)
	s.Limit("corners", sheet.Words("each bled after its last opening"), st.Source, "")
	s.Judge(st.Complete, st.Say())
	return s
}

// Sheet returns the balance with all of its figures, in mL above MIN.
func (b Balance) Sheet() sheet.Sheet {
	s := sheet.Sheet{Formula: []string{"level = level before − drawn + added, or what was seen"}, Warnings: b.Warnings}
	var steps [][]sheet.Result
	for i, at := range b.Stands {
		var step sheet.Sheet
		step.Say(fmt.Sprintf("step %d", i+1), "lowest %.0f mL, then %.0f mL above MIN", at.Lowest, at.After)
		step.PutKnown("corner", at.Step.Corner)
		step.Put("lowest_ml", at.Lowest, "after_ml", at.After, "below_min", at.BelowMin, "dry", at.Dry)
		steps = append(steps, step.Results)
	}
	s.Put("start_ml", b.Start, "drawn_ml", b.Drawn, "added_ml", b.Added, "end_ml", b.end())
	s.Put("below_min", b.BelowMin, "dry", b.Dry, "bleed_again", b.Again, "steps", steps)
	s.Limit("level", sheet.Words("not below MIN"), b.Source, "")
	s.Judge(len(b.Again) == 0, b.Say())
	return s
}

// Sheet returns the boiling points.
func (b Boiling) Sheet() (s sheet.Sheet) {
	s.Put("fluid", b.Grade, "dry_c", b.DryC, "wet_c", b.WetC)
	s.Limit(string(b.Grade)+" boils at", sheet.Words(fmt.Sprintf("at least %d °C dry and %d °C wet", b.DryC, b.WetC)), b.Source, "")
	s.Find(b.Say())
	return s
}

// Sheet returns whether the fluids may meet.
func (m Mixing) Sheet() sheet.Sheet {
	s := sheet.Sheet{Warnings: m.Warnings}
	s.Put("system", m.A, "added", m.B, "may", m.OK, "why", m.Why)
	s.PutKnown("holds", m.Holds)
	s.Limit("mixing", sheet.Words(m.Why), m.Source, "")
	s.Judge(m.OK, m.Say())
	return s
}
