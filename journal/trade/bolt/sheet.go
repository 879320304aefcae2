package bolt

import (
	"fmt"

	"fettlebook/journal/trade/sheet"
	"fettlebook/journal/trade/unit"
)

const kilo = 1000 // N in kN

// Sheet returns the clamp with all of its figures. Shares are of the proof load.
func (c Clamp) Sheet() sheet.Sheet {
	s := sheet.Sheet{Formula: []string{"F = T/(K·d)"}, Warnings: c.Warnings}
	least, most, k := c.Least/kilo, c.Most/kilo, c.Friction
	s.Say("clamp", "%.1f to %.1f kN, with K from %g down to %g", least, most, k.High, k.Low)
	s.Put("diameter_mm", c.Bolt.Thread.Diameter, "pitch_mm", c.Bolt.Thread.Pitch)
	s.Figure("stress_area_mm2", "stress area", c.Bolt.Thread.StressArea(), 1, "mm²")
	s.PutKnown("class", string(c.Bolt.Class))
	s.Put("torque_nm", c.Torque.In(unit.NewtonMetre), "friction_low", k.Low, "friction_high", k.High, "clamp_least_kn", least, "clamp_most_kn", most)
	s.Limit("K", sheet.Between(k.Low, k.High, 2, "").As(fmt.Sprintf("%g to %g", k.Low, k.High)), k.Source, "condition or friction")
	if load := c.Proof.Load; load > 0 {
		s.Formula = append(s.Formula, "stress area = π/4·((d2 + d3)/2)², ISO 898-1; proof load: "+c.Proof.Source)
		s.Put("proof_load_kn", load/kilo, "share_least", c.LeastShare)
		s.Tell("share_most", "share of proof", c.MostShare, "%.0f to %.0f %%", 100*c.LeastShare, 100*c.MostShare)
		s.Limit("proof load", sheet.AtMost(load/kilo, 1, "kN").As(kilonewtons(load)), c.Proof.Source, "")
	}
	s.Find(c.Say())
	return s
}

// Sheet returns what creep takes of the clamp with all of its figures. The clamp may be
// the least of a range: most is the same loss of the greatest one.
func (l Loss) Sheet(most Loss) sheet.Sheet {
	s := sheet.Sheet{Formula: []string{l.Source}, Warnings: l.Warnings}
	s.Put("creep_um", l.Creep.In(unit.Micrometre), "bolt_mm_per_n", l.Compliance.Bolt, "parts_mm_per_n", l.Compliance.Parts)
	s.Tell("lost_kn", "lost to creep", l.Lost/kilo, "%.1f kN; %.1f to %.1f kN are left", l.Lost/kilo, l.Left/kilo, most.Left/kilo)
	s.Put("left_least_kn", l.Left/kilo, "left_most_kn", most.Left/kilo, "lost_share_most", l.Share)
	s.Find(l.Say())
	return s
}
