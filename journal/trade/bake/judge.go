package bake

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// intervals is how many intervals the recorder's usual interval is the median of.
const intervals = 100

// ErrOrder is the error of a trace whose times do not rise.
var ErrOrder = errors.New("the samples are not in order of time, each time once")

// Result is all that came out of a trace, and all that it was held against, so that it
// can be kept and looked into years later.
type Result struct {
	Schedule     []Point   `json:"schedule"`      // coldest first
	Energy       float64   `json:"energy"`        // J/mol, the effective activation energy
	Rules        Rules     `json:"rules"`         // as given
	Interval     float64   `json:"interval"`      // seconds, the recorder's usual interval
	LongestGap   float64   `json:"longest_gap"`   // seconds, above which a stretch was a gap
	StrictFrom   float64   `json:"strict_from"`   // °C, from which time counted
	LenientFrom  float64   `json:"lenient_from"`  // °C
	OutsideAbove float64   `json:"outside_above"` // °C
	Samples      int       `json:"samples"`
	Channels     []Channel `json:"channels"`           // in the trace's order
	Verdict      Verdict   `json:"verdict"`            // over all probes on any part
	Warnings     []Warning `json:"warnings,omitempty"` // of the schedule itself
}

// Judge reads a trace once and judges it. Channels without a probe are taken for air. An
// error of the trace, a probe on a channel that is not in it, and rules that contradict
// themselves (ErrRules) are refused.
func Judge(t Trace, s Schedule, rules Rules, probes []Probe) (Result, error) {
	if len(s.points) == 0 {
		return Result{}, &ScheduleError{Rule: RuleNoPoints, Problem: "no schedule is given: take it from the powder’s data sheet"}
	}
	if err := rules.check(); err != nil {
		return Result{}, err
	}
	j := judge{rules: &rules, last: math.Inf(-1)}
	if err := j.place(t.Channels(), s, probes); err != nil {
		return Result{}, err
	}
	for sample, err := range t.Samples() {
		switch {
		case err != nil:
			return Result{}, fmt.Errorf("judge the trace: %w", err)
		case !(sample.Second > j.last) || len(sample.Celsius) != len(j.channels):
			return Result{}, fmt.Errorf("judge the trace: sample %d at %g s: %w", j.samples+1, sample.Second, ErrOrder)
		}
		j.add(sample)
	}
	interval := j.interval()
	r := Result{
		Schedule: s.Points(), Energy: s.ActivationEnergy(), Rules: rules, Interval: interval, LongestGap: rules.longestGap(s),
		StrictFrom: s.countsFrom(rules.Strict, rules.Above), LenientFrom: s.countsFrom(rules.Lenient, rules.Above),
		OutsideAbove: s.highest() + rules.Above.Value, Samples: j.samples, Warnings: s.Warnings(),
	}
	for _, a := range j.channels {
		r.Channels = append(r.Channels, a.finish(s, interval, j.last))
	}
	r.Verdict = decide(r, r.Channels)
	return r, nil
}

// On returns the verdict over the probes on one part alone.
func (r Result) On(part string) Verdict {
	return decide(r, slices.DeleteFunc(slices.Clone(r.Channels), func(c Channel) bool { return c.On != part }))
}

// judge adds up all channels.
type judge struct {
	rules    *Rules
	channels []*accumulator
	samples  int
	last     float64   // seconds, the sample before
	steps    []float64 // seconds, the first intervals
}

func (j *judge) place(channels []string, s Schedule, probes []Probe) error {
	for i, p := range probes {
		switch {
		case !slices.Contains(channels, p.Channel):
			return fmt.Errorf("the trace has no channel %q, where a probe is said to be: its channels are %q", p.Channel, channels)
		case slices.ContainsFunc(probes[:i], func(other Probe) bool { return other.Channel == p.Channel }):
			return fmt.Errorf("channel %q has two probes: say for each channel where its one probe sits", p.Channel)
		}
	}
	for _, name := range channels {
		probe := Probe{Channel: name}
		if i := slices.IndexFunc(probes, func(p Probe) bool { return p.Channel == name }); i >= 0 {
			probe = probes[i]
		}
		j.channels = append(j.channels, newAccumulator(s, j.rules, probe))
	}
	return nil
}

func (j *judge) add(s Sample) {
	if j.samples++; j.samples > 1 && len(j.steps) < intervals {
		j.steps = append(j.steps, s.Second-j.last)
	}
	j.last = s.Second
	for i, a := range j.channels {
		a.add(s.Second, s.Celsius[i])
	}
}

// interval returns the recorder's usual interval in seconds.
func (j *judge) interval() float64 {
	if len(j.steps) == 0 {
		return 0
	}
	slices.Sort(j.steps)
	return (j.steps[(len(j.steps)-1)/2] + j.steps[len(j.steps)/2]) / 2
}
