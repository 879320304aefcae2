package bake

import (
	"fmt"
	"slices"

	"fettlebook/journal/trade/sheet"
	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
)

// Sheet returns the schedule and what follows from it.
func (s Schedule) Sheet() sheet.Sheet {
	out := sheet.Sheet{Formula: []string{
		"fraction = ∫ dt/t(T), t(T) = t_ref·exp((Ea/R)·(1/T − 1/T_ref)); at 1 the schedule was met in total, which is not a degree of cure",
	}}
	var points [][]sheet.Result
	for _, p := range s.points {
		points = append(points, p.results())
	}
	energy := s.ActivationEnergy() / 1000
	out.Put("schedule", points)
	out.Tell("activation_energy_kj_per_mol", "activation energy", energy, "%.1f kJ/mol, from the schedule", energy)
	for _, w := range s.warnings {
		out.Warn(w.Says)
	}
	return out
}

func (p Point) results() []sheet.Result {
	var s sheet.Sheet
	s.Put("metal_c", p.Metal.In(unit.Celsius), "hold_min", p.Hold.In(unit.Minute))
	return s.Results
}

// Sheet returns what came out of one trace: its name and when it began, as the recorder
// wrote it ("" if it wrote no date), every channel, and the verdict on each part, or one on all of them where no
// part is named.
func (r Result) Sheet(name, begun string, parts ...string) sheet.Sheet {
	var s sheet.Sheet
	started := words.Fill(", started %s", begun)
	if begun == "" {
		started = "; the log has no date"
	}
	s.Say(name, "%s, one every %s s%s", words.Count(r.Samples, "sample"), sheet.Significant(r.Interval), started)
	s.Put("file", name)
	s.PutKnown("begun", begun)
	s.Put("samples", r.Samples, "interval_s", r.Interval, "longest_gap_s", r.LongestGap)
	type on struct {
		Part string `json:"part,omitzero"`
		Verdict
	}
	var channels [][]sheet.Result
	var verdicts []on
	for _, c := range r.Channels {
		channels = append(channels, c.results(r.Rules.HeatAbove))
		for _, w := range c.Warnings {
			s.Warn(w.Says)
		}
	}
	whole := len(parts) < 2
	if len(parts) == 0 {
		parts = []string{""}
	}
	for _, part := range parts {
		v, who := r.Verdict, ""
		if !whole {
			v, who = r.On(part), part+": "
		}
		verdicts = append(verdicts, on{part, v})
		s.Conclude(string(v.Word), v.standing(), who+v.Say)
	}
	s.Put("channels", channels, "verdicts", verdicts)
	return s
}

// HeatOn returns how many minutes the hottest probe on a part was above Rules.HeatAbove,
// and whether any measured it.
func (r Result) HeatOn(part string) (minutes float64, measured bool) {
	for _, c := range r.Channels {
		if c.On == part && c.Readings > 1 {
			minutes, measured = max(minutes, c.HeatMinutes), true
		}
	}
	return minutes, measured
}

func (c Channel) results(above Limit) []sheet.Result {
	var s sheet.Sheet
	where := "air"
	if c.On != "" {
		where = words.Commas(c.On, c.Place)
	}
	s.Tell("channel", c.Channel, c.Channel, "%s: %.4f of the schedule (lenient %.4f), peak %.1f °C at minute %.1f, %.1f min above %g °C",
		where, c.Strict, c.Lenient, c.Peak.Celsius, c.Peak.Second/60, c.HeatMinutes, above.Value)
	s.PutKnown("part", c.On)
	s.PutKnown("place", c.Place)
	s.Put("readings", c.Readings, "peak_c", c.Peak.Celsius, "peak_min", c.Peak.Second/60, "strict_fraction", c.Strict, "lenient_fraction", c.Lenient)
	var holds [][]sheet.Result
	for _, h := range c.Holds {
		hold := sheet.Sheet{Results: h.Point.results()}
		hold.Tell("longest_min", "", h.Longest, "longest at or above %s: %.1f min, asked for %s", h.Point.Metal, h.Longest, h.Point.Hold)
		hold.Put("met", h.Met)
		holds = append(holds, hold.Results)
	}
	s.Put("holds", holds, "heat_min", c.HeatMinutes, "gaps", c.Gaps.Count, "gaps_min", c.Gaps.Seconds/60)
	return s.Results
}

func (v Verdict) standing() sheet.Standing {
	switch {
	case v.Word == NotProven:
		return sheet.NotProven
	case v.Word == NotMet || v.Overbake == OverSheet:
		return sheet.Failed
	}
	return sheet.Passed
}

// Sheet returns the heat that a part has had.
func (d HeatDose) Sheet(part string) (s sheet.Sheet) {
	s.Put("part", part, "heat_min", d.Minutes, "above_c", d.Limit.Above.Value, "limit_min", d.Limit.Minutes.Value, "over", d.Over)
	s.Judge(!d.Over, fmt.Sprintf("Heat of %s: %s", part, d.Say))
	return s
}

// Sheet returns all limits that traces are held against, and no result.
func (r Rules) Sheet(s Schedule, heat HeatLimit) (out sheet.Sheet) {
	add := func(name string, l Limit, setBy, format string, args ...any) {
		out.Limit(name, sheet.Words(fmt.Sprintf(format, args...)), l.Source, setBy)
	}
	out.Limit("fraction", sheet.AtLeast(1, 0, "").As("at least 1, on a part"), DataSheet, "")
	add("strict reading", r.Strict.Below, "cut-off", "time counts from %.1f °C", s.countsFrom(r.Strict, r.Above))
	add("lenient reading", r.Lenient.Below, "lenient", "time counts from %.1f °C", s.countsFrom(r.Lenient, r.Above))
	add("schedule holds", r.Above, "above", "up to %.1f °C", s.highest()+r.Above.Value)
	gap := r.MaxGap
	if gap.Source == "" {
		gap = r.GapShare
	}
	add("gap", gap, "gap", "more than %g min between two readings, which does not count", r.longestGap(s)/60)
	if r.Most.Source != "" {
		add("overbaked", r.Most, "overbake", "more than %g schedules", r.Most.Value)
	}
	add("jump", r.Jump, "", "faster than %g K/min, beside %g K at once, is not metal", r.Jump.Value, r.JumpGrace.Value)
	add("impossible", r.Hottest, "", "below %g °C or above %g °C no probe reads", r.Coldest.Value, r.Hottest.Value)
	add("not believed", r.Suspect, "suspect", "above %.1f °C", r.Suspect.Value)
	add("heat", heat.Minutes, "heat-limit and heat-above", "at most %g min above %.1f °C, all runs together", heat.Minutes.Value, heat.Above.Value)
	return out
}

// countsFrom is from how many °C on time counts.
func (s Schedule) countsFrom(r Reading, above Limit) float64 { return s.window(r, above).low + grace }

// Forecast is how long the next bake may take, from earlier ones. It shows nothing of a
// part that was not measured.
type Forecast struct {
	HeatUp     HeatUp
	Air, Start float64  // °C
	Lowest     float64  // °C, the schedule's lowest point
	Reach, Met Estimate // until the metal is there, and until the schedule is met in total
}

// Forecast estimates a bake in air of a temperature, of metal that goes in with another,
// both in °C. ErrNeverReached says that the air is too cold.
func (h HeatUp) Forecast(s Schedule, rules Rules, air, start float64) (f Forecast, err error) {
	f = Forecast{HeatUp: h, Air: air, Start: start, Lowest: s.lowest()}
	if f.Reach, err = h.TimeTo(f.Lowest, air, start); err == nil {
		f.Met, err = h.TimeToSchedule(s, rules, air, start)
	}
	return f, err
}

// Sheet returns the estimate.
func (f Forecast) Sheet() sheet.Sheet {
	s := sheet.Sheet{Formula: []string{"estimate: T(t) = Air − (Air − Start)·exp(−t/Tau), standard lumped-capacity heat transfer"}}
	h := f.HeatUp
	s.Tell("label", "estimate", f.Met.Label, "Tau %.2f min (%.2f to %.2f), readings %.1f K about the fit", h.Tau, h.Low, h.High, h.Residual)
	s.Put("tau_min", h.Tau, "oven_c", f.Air, "start_c", f.Start, "runs", f.Met.Runs, "lowest_c", f.Lowest, "reach_min", f.Reach.Minutes)
	s.Put("met_min", f.Met.Minutes, "met_low_min", f.Met.Low, "met_high_min", f.Met.High)
	s.Find(f.Reach.Say)
	s.Find(f.Met.Say)
	return s
}

// Parts returns the parts that probes touch, each once, in the order of the probes.
func Parts(probes []Probe) (parts []string) {
	for _, p := range probes {
		if p.On != "" && !slices.Contains(parts, p.On) {
			parts = append(parts, p.On)
		}
	}
	return parts
}
