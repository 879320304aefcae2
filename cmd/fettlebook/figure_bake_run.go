package main

import (
	"fmt"
	"slices"
	"strings"

	"fettlebook/journal/trade/bake"
	"fettlebook/journal/trade/unit"
)

type (
	// bakeRun is one file.
	bakeRun struct {
		File        string        `json:"file"`
		Begun       string        `json:"begun"` // as the recorder wrote it
		Samples     int           `json:"samples"`
		IntervalS   float64       `json:"interval_s"`    // the recorder's usual one
		LongestGapS float64       `json:"longest_gap_s"` // above which a stretch was a gap
		Channels    []bakeChannel `json:"channels"`
		Verdicts    []bakeVerdict `json:"verdicts"` // one for each part, or one without a part
	}

	// bakeChannel is what one channel adds up to.
	bakeChannel struct {
		Channel  string     `json:"channel"`
		Part     string     `json:"part,omitzero"` // left out for air
		Place    string     `json:"place,omitzero"`
		Readings int        `json:"readings"`
		PeakC    float64    `json:"peak_c"`
		PeakMin  float64    `json:"peak_min"` // when, from the first reading on
		Strict   float64    `json:"strict_fraction"`
		Lenient  float64    `json:"lenient_fraction"`
		Holds    []bakeHold `json:"holds"`
		HeatMin  float64    `json:"heat_min"` // above the heat limit's temperature
		Gaps     int        `json:"gaps"`
		GapsMin  float64    `json:"gaps_min"`
	}

	// bakeHold is the plain rule for one point: the longest unbroken time at or above it.
	bakeHold struct {
		bakePoint
		LongestMin float64 `json:"longest_min"`
		Met        bool    `json:"met"`
	}

	bakeVerdict struct {
		Part     string  `json:"part,omitzero"`
		Result   string  `json:"result"`            // "cured", "cured only on the lenient reading", "not cured", "not proven"
		Overbake string  `json:"overbake,omitzero"` // "caution: overbaked", "overbaked"
		Coldest  string  `json:"coldest,omitzero"`  // the channel that decided
		Strict   float64 `json:"strict_fraction"`
		Lenient  float64 `json:"lenient_fraction"`
		Hottest  float64 `json:"hottest_fraction"`
		Sentence string  `json:"sentence"`
	}

	// bakeHeat is the heat that a casting has had in all runs.
	bakeHeat struct {
		Part     string  `json:"part"`
		Minutes  float64 `json:"heat_min"`
		AboveC   float64 `json:"above_c"`
		LimitMin float64 `json:"limit_min"`
		Over     bool    `json:"over"`
	}
)

// fill notes down what came out of a file.
func (b *bakery) fill(file, begun string, r bake.Result) {
	f := b.figure
	b.strictFrom, b.lenientFrom = r.StrictFrom, r.LenientFrom
	run := bakeRun{File: file, Begun: begun, Samples: r.Samples, IntervalS: r.Interval, LongestGapS: r.LongestGap}
	said := ""
	if b.several {
		said = file + ": "
	}
	f.result(file, "%s, one each %s s, begun %s", count(r.Samples, "sample"), digits(r.Interval), begun)
	hottest := map[string]float64{}
	for _, c := range r.Channels {
		run.Channels = append(run.Channels, channelOf(c))
		where := "air"
		if c.On != "" {
			where = strings.TrimSuffix(c.On+", "+c.Place, ", ")
			if c.Readings > 1 {
				hottest[c.On] = max(hottest[c.On], c.HeatMinutes)
			}
		}
		f.result(c.Channel, "%s: %.4f of the schedule (lenient %.4f), peak %.1f °C at minute %.1f, %.1f min above %g °C",
			where, c.Strict, c.Lenient, c.Peak.Celsius, c.Peak.Second/60, c.HeatMinutes, b.heat.Above.Value)
		for _, h := range c.Holds {
			f.result("", "longest at or above %s: %.1f min, asked for %s", h.Point.Metal, h.Longest, h.Point.Hold)
		}
		for _, w := range c.Warnings {
			f.Warnings = append(f.Warnings, said+w.Says)
		}
	}
	for _, part := range b.parts() {
		v := r.On(part)
		name := part + ": "
		if part == "" || len(b.parts()) == 1 {
			v, name = r.Verdict, ""
		}
		run.Verdicts = append(run.Verdicts, bakeVerdict{
			Part: part, Result: string(v.Word), Overbake: string(v.Overbake), Coldest: v.Coldest,
			Strict: v.Strict, Lenient: v.Lenient, Hottest: v.Index, Sentence: v.Say,
		})
		f.Verdict = append(f.Verdict, said+name+v.Say)
		minutes, measured := hottest[part]
		switch {
		case part == "":
		case measured:
			b.doses[part] = append(b.doses[part], bake.HeatRun{Run: file, Minutes: minutes})
		default:
			f.Warnings = append(f.Warnings, fmt.Sprintf("%s has no readings on %s, so its heat is not in the sum", file, part))
		}
	}
	f.Runs = append(f.Runs, run)
}

func channelOf(c bake.Channel) bakeChannel {
	out := bakeChannel{
		Channel: c.Channel, Part: c.On, Place: c.Place, Readings: c.Readings, PeakC: c.Peak.Celsius, PeakMin: c.Peak.Second / 60,
		Strict: c.Strict, Lenient: c.Lenient, HeatMin: c.HeatMinutes, Gaps: c.Gaps.Count, GapsMin: c.Gaps.Seconds / 60,
	}
	for _, h := range c.Holds {
		out.Holds = append(out.Holds, bakeHold{bakePoint{h.Point.Metal.In(unit.Celsius), h.Point.Hold.In(unit.Minute)}, h.Longest, h.Met})
	}
	return out
}

// parts returns the parts with a probe, or no part by its empty name.
func (b *bakery) parts() (parts []string) {
	for _, p := range b.probes {
		if !slices.Contains(parts, p.On) {
			parts = append(parts, p.On)
		}
	}
	if len(parts) == 0 {
		parts = []string{""}
	}
	return parts
}

// sum adds up the heat that each casting has had.
func (b *bakery) sum() {
	for _, part := range b.parts() {
		if len(b.doses[part]) == 0 {
			continue
		}
		d := bake.SumHeat(b.heat, b.doses[part]...)
		b.figure.Heat = append(b.figure.Heat, bakeHeat{part, d.Minutes, d.Limit.Above.Value, d.Limit.Minutes.Value, d.Over})
		b.figure.Verdict = append(b.figure.Verdict, fmt.Sprintf("heat of %s: %s", part, d.Say))
	}
}
