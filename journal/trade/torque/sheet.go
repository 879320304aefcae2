package torque

import (
	"fmt"
	"time"

	"fettlebook/journal/trade/sheet"
	"fettlebook/journal/trade/unit"
)

// standing says what a verdict comes to.
func (v Verdict) standing() sheet.Standing {
	switch v {
	case Inside, InsidePlain, AsPrinted:
		return sheet.Passed
	case Outside:
		return sheet.Failed
	}
	return sheet.NotProven
}

// Sheet returns the verdict with all of its figures.
func (r Result) Sheet() sheet.Sheet {
	const nm = "N·m"
	s := sheet.Sheet{
		Formula:  []string{"inside when reading ± the tool’s tolerance lies inside the specification; a figure that equals its limit is inside"},
		Warnings: r.Warnings,
	}
	plain := map[Verdict]string{Inside: "inside", Outside: "outside"}[r.Plain]
	s.Put("result", r.Verdict.String())
	s.PutKnown("plain", plain)
	s.Put("reading_nm", r.Use.Reading.In(unit.NewtonMetre))
	if r.AtBolt > 0 {
		s.Figure("at_bolt_nm", "at the bolt", r.AtBolt, 2, nm)
	}
	if r.Percent > 0 {
		s.Span("least_nm", "most_nm", "with the tolerance", r.From, r.To, 2, nm)
		s.Put("tolerance_percent", r.Percent)
		s.Limit("tool’s tolerance", sheet.Words(fmt.Sprintf("±%g %% of reading", r.Percent)), r.ToolSource, "tool-tolerance")
	}
	if r.High > 0 {
		s.Put("low_nm", r.Low, "high_nm", r.High)
		if r.Nearest {
			s.Limit("near "+r.Nominal.String(), sheet.Between(r.Low, r.High, 2, nm), "by convention the tool’s own tolerance, since "+r.SpecSource+" prints none", "")
		} else {
			s.Limit("specified", sheet.Between(r.Low, r.High, 2, nm), r.SpecSource, "")
		}
		s.Say("plain reading", "%s", plain)
	}
	r.adapter(&s)
	s.Put("used_on", r.Use.At.Format(time.DateOnly), "calibrated", r.Validity.OK)
	if !r.Validity.Due.IsZero() {
		due := r.Validity.Due.Format(time.DateOnly)
		s.Put("calibration_due", due)
		s.Limit("calibration", sheet.Words(fmt.Sprintf("through %s and %d uses", due, r.Validity.UsesDue)), r.Validity.Source, "due and uses-due")
	}
	s.PutKnown("calibration_uses", r.Validity.UsesDue)
	s.Put("not_proven", r.Reasons)
	s.Conclude(r.Verdict.String(), r.Verdict.standing(), r.Say())
	return s
}

// adapter says what an adapter changes.
func (r Result) adapter(s *sheet.Sheet) {
	if r.Factor == 0 {
		return
	}
	s.Formula = append(s.Formula, "reading/bolt = L/(L + E·cos θ), L the wrench, E the adapter, θ between them: equal force on both levers")
	s.Tell("adapter_factor", "adapter", r.Factor, "the tool reads %s of the torque at the bolt", sheet.Percent(r.Factor))
	if r.Setting > 0 {
		s.Tell("setting_nm", "set the tool to", r.Setting, "%s for %s at the bolt", unit.Format(r.Setting, unit.NewtonMetre, 2), r.Nominal)
	}
}
