package bake

import (
	"fmt"
	"math"

	"fettlebook/journal/words"
)

// Probe is a channel and where its sensor sits.
type Probe struct {
	Channel string `json:"channel"`
	Place   string `json:"place,omitzero"` // "thick section by the pin bore", "oven air"
	On      string `json:"on,omitzero"`    // the part that it touches; empty for air
}

// Channel is what one channel's readings add up to. With fewer than two readings all
// figures are zero, and none is in a verdict.
type Channel struct {
	Probe
	Readings int     `json:"readings"`         // that count
	Missing  int     `json:"missing,omitzero"` // samples without a reading
	From     float64 `json:"from"`             // seconds, the first reading
	To       float64 `json:"to"`               // seconds, the last reading
	Peak     Peak    `json:"peak"`

	Strict  float64 `json:"strict"`  // schedule fraction on the strict reading
	Lenient float64 `json:"lenient"` // schedule fraction on the lenient reading
	Holds   []Hold  `json:"holds"`   // the plain rule, by point of the schedule

	// Outside is how many seconds the metal was hotter than Rules.Above allows.
	Outside float64 `json:"outside,omitzero"`
	// HeatMinutes is how long it was above Rules.HeatAbove. Gaps count on the straight
	// line between their ends, because heat that was not logged was still there.
	HeatMinutes float64   `json:"heat_minutes"`
	Gaps        Gaps      `json:"gaps,omitzero"`
	Suspect     Suspicion `json:"suspect,omitzero"`
	Warnings    []Warning `json:"warnings,omitempty"`
}

// Peak is a channel's highest reading and when it came first.
type Peak struct {
	Celsius float64 `json:"celsius"`
	Second  float64 `json:"second"`
}

// Hold is the plain rule for one point of the schedule: the longest unbroken time at or
// above its temperature. A gap breaks it.
type Hold struct {
	Point   Point   `json:"point"`
	Longest float64 `json:"longest"` // minutes
	Met     bool    `json:"met"`
}

// Gaps are the stretches between two readings that are longer than the longest allowed, or
// in which a reading was lost. They count for nothing.
type Gaps struct {
	Count   int     `json:"count"`
	Seconds float64 `json:"seconds"` // together
	Longest float64 `json:"longest"` // seconds
	// What they would have come to on the straight line between their ends. It tells a
	// schedule that was not met from one that may have been, and bounds an overbake.
	Strict  float64 `json:"strict,omitzero"`
	Lenient float64 `json:"lenient,omitzero"`
}

// rounding is by how much a sum of many small parts may fall short of the whole.
const rounding = 1e-9

// accumulator adds up one channel. Each add costs the same and needs no memory.
type accumulator struct {
	kinetics
	rules           *Rules
	strict, lenient window
	maxGap          float64 // seconds

	channel  Channel
	holding  []holding
	second   float64
	celsius  float64
	lost     bool // a reading since the last one
	envelope envelope
	likelyF  bool
	firstHot Peak // the first reading that is hotter than any bake
}

// holding is an unbroken time at or above a temperature, in seconds.
type holding struct {
	celsius, now, longest float64
}

func newAccumulator(s Schedule, rules *Rules, p Probe) *accumulator {
	a := &accumulator{
		kinetics: s.kinetics(),
		rules:    rules,
		strict:   s.window(rules.Strict, rules.Above),
		lenient:  s.window(rules.Lenient, rules.Above),
		maxGap:   rules.longestGap(s),
		channel:  Channel{Probe: p, Peak: Peak{Celsius: math.Inf(-1)}},
	}
	for _, point := range s.points {
		a.holding = append(a.holding, holding{celsius: point.celsius() - grace})
	}
	return a
}

// add takes the channel's next reading, NaN where there is none.
func (a *accumulator) add(second, celsius float64) {
	c := &a.channel
	if math.IsNaN(celsius) {
		c.Missing++
		a.lost = true
		return
	}
	if a.suspect(second, celsius) {
		return
	}
	if celsius > c.Peak.Celsius {
		c.Peak = Peak{celsius, second}
	}
	if celsius > a.rules.Suspect.Value && a.firstHot == (Peak{}) {
		a.firstHot = Peak{celsius, second}
	}
	a.likelyF = a.likelyF || a.rules.looksFahrenheit(celsius)
	if c.Readings == 0 {
		c.From = second
	} else {
		a.stretch(a.celsius, celsius, second-a.second)
	}
	c.Readings++
	c.To, a.second, a.celsius, a.lost = second, second, celsius, false
}

// stretch takes the time between two readings.
func (a *accumulator) stretch(c0, c1, seconds float64) {
	c := &a.channel
	low, high := min(c0, c1), max(c0, c1)
	c.HeatMinutes += secondsAbove(a.rules.HeatAbove.Value, c0, c1, seconds) / 60
	if outside := a.strict.high; high > outside {
		c.Outside += secondsAbove(outside, c0, c1, seconds)
	}
	if a.lost || seconds > a.maxGap*(1+rounding) {
		c.Gaps.Count++
		c.Gaps.Seconds += seconds
		c.Gaps.Longest = max(c.Gaps.Longest, seconds)
		c.Gaps.Strict += a.over(c0, c1, seconds, a.strict)
		c.Gaps.Lenient += a.over(c0, c1, seconds, a.lenient)
		for i := range a.holding {
			a.holding[i].now = 0
		}
		return
	}
	switch {
	case high < a.lenient.low:
	case low >= a.strict.low && high <= a.strict.high: // both readings agree
		part := a.over(c0, c1, seconds, a.strict)
		c.Strict += part
		c.Lenient += part
	default:
		c.Strict += a.over(c0, c1, seconds, a.strict)
		c.Lenient += a.over(c0, c1, seconds, a.lenient)
	}
	for i := range a.holding {
		a.holding[i].stretch(c0, c1, seconds)
	}
}

func (h *holding) stretch(c0, c1, seconds float64) {
	switch above := secondsAbove(h.celsius, c0, c1, seconds); {
	case c0 >= h.celsius:
		h.now += above
		h.longest = max(h.longest, h.now)
		if c1 < h.celsius {
			h.now = 0
		}
	default:
		h.now = above
		h.longest = max(h.longest, h.now)
	}
}

// finish returns the channel with all that is known at the end of the trace.
func (a *accumulator) finish(s Schedule, interval, end float64) Channel {
	a.silent(end)
	c := a.channel
	warn := func(kind WarningKind, format string, args ...any) {
		c.Warnings = append(c.Warnings, Warning{Kind: kind, Says: fmt.Sprintf("channel %s ", c.Channel) + a.rules.Units.Writing.Sprintf(format, args...)})
	}
	for i, h := range a.holding {
		hold := Hold{Point: s.points[i], Longest: h.longest / 60}
		hold.Met = hold.Longest >= hold.Point.minutes()*(1-rounding)
		c.Holds = append(c.Holds, hold)
	}
	if c.Readings == 0 {
		c.Peak = Peak{}
	}
	if c.Readings < 2 {
		warn(WarnFewReadings, "has %s: nothing can be said about it", words.Count(c.Readings, "reading"))
	}
	switch {
	case a.firstHot != (Peak{}) && a.likelyF:
		warn(WarnFahrenheit, "reads %s at minute %.1f, which is almost surely °F: check the recorder’s unit", a.rules.temperature(a.firstHot.Celsius), a.firstHot.Second/60)
	case a.firstHot != (Peak{}):
		warn(WarnSuspect, "reads %s at minute %.1f, above the %s that a powder bake reaches: check the probe and the unit", a.rules.temperature(a.firstHot.Celsius), a.firstHot.Second/60, a.rules.Suspect.Say(a.rules.Units))
	case c.Outside > 0:
		warn(WarnOutside, "was hotter than the schedule covers for %.1f min", c.Outside/60)
	}
	if !c.Suspect.IsZero() {
		warn(c.Suspect.Kind, "%s: it proves nothing from minute %.1f on", c.Suspect.Says, c.Suspect.Second/60)
	}
	if c.Gaps.Count > 0 {
		warn(WarnGaps, "has %s, together %.1f min, the longest %.1f min, which do not count", words.Count(c.Gaps.Count, "gap"), c.Gaps.Seconds/60, c.Gaps.Longest/60)
	}
	if interval > a.maxGap*(1+rounding) {
		warn(WarnSlow, "was read only every %.1f min, and readings more than %.1f min apart do not count: set the recorder to less", interval/60, a.maxGap/60)
	}
	return c
}
