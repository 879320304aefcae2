// Package bake judges whether a coating had the bake that its data sheet asks for, from
// the temperatures that probes logged.
//
// It promises that a trace is read once, in a stream, and that no verdict rests on a
// number alone: a Result holds every figure, the limit it was held against, where that
// limit comes from, and all rules that were in force. Only a probe on the part can show
// that the part met the schedule; oven air and estimates never do.
//
// A data sheet gives a schedule, minutes at metal temperature, in one or more points:
//
//	s, err := bake.ParseSchedule("20 min @ 180 °C, 10 min @ 200 °C")
//	s.Required(190) // 14.04 min
//
// Between the points the time follows Arrhenius' law,
//
//	t(T) = t_ref · exp[ (Ea/R)·(1/T − 1/T_ref) ],   R = 8.314462618 J/(mol·K)
//
// and the schedule fraction of a trace is the integral of dt/t(T): at 1 the sheet's
// schedule was met in total. It is not a degree of cure. A sheet's points are rounded and
// carry a margin, so Ea is an effective figure, lower than a laboratory finds.
//
// Two readings are always given. The strict one credits nothing below the schedule's
// lowest point, and nothing extra above its highest point plus a margin. The lenient one
// is more generous in both respects, and never lower.
//
// What was not measured counts in neither. A stretch between two readings counts if they
// are close enough, a tenth of the schedule's shortest hold apart; else it is a gap, and
// so is one in which a reading was lost. A probe that falls silent, changes faster than
// metal can, or reads what cannot be proves nothing from there on (Suspicion).
//
//	trace, err := bake.NewSeries("0 60 120", bake.Celsius, bake.ChannelSeries{Channel: "Probe 1", Readings: "20 21.5 23"}, …)
//	result, err := bake.Judge(trace, s, bake.DefaultRules(), []bake.Probe{
//		{Channel: "Probe 1", Place: "thick section by the pin bore", On: "left front caliper"},
//		{Channel: "Probe 2", Place: "oven air"},
//	})
//	result.Verdict.Say
//
// Temperatures are in °C unless a name says otherwise, times in a trace in seconds, times
// of a schedule in minutes.
package bake

import "iter"

// GasConstant is R in J/(mol·K) (CODATA 2018, exact, rounded to ten digits).
const GasConstant = 8.314462618

// AbsoluteZero is 0 K in °C.
const AbsoluteZero = -273.15

func kelvin(celsius float64) float64 { return celsius - AbsoluteZero }

// Sample is what all channels showed at one time.
type Sample struct {
	Second  float64   // since the trace's first sample
	Celsius []float64 // by channel; NaN where a probe gave no reading; valid until the next sample
}

// Trace is a log of temperatures that can be read once from its beginning.
type Trace interface {
	// Channels returns the channels' names, in the order of a sample's readings.
	Channels() []string
	// Samples yields samples in order of time, and ends with the first error.
	Samples() iter.Seq2[Sample, error]
}

// WarningKind says what a warning is about.
type WarningKind string

// The kinds of warning.
const (
	WarnEnergy      WarningKind = "activation energy" // outside what powders show
	WarnOnePoint    WarningKind = "one point"         // a schedule without a slope
	WarnFahrenheit  WarningKind = "looks like °F"     // °F in a °C column
	WarnSuspect     WarningKind = "too hot"           // hotter than any powder bake
	WarnOutside     WarningKind = "outside schedule"  // hotter than the schedule covers
	WarnGaps        WarningKind = "gaps"              // times without a reading
	WarnSlow        WarningKind = "slow recorder"     // readings far apart
	WarnFewReadings WarningKind = "few readings"      // a probe with less than two readings
	WarnSilent      WarningKind = "silent"            // a probe that ended before the trace
	WarnJump        WarningKind = "jump"              // faster than metal
	WarnImpossible  WarningKind = "impossible"        // no probe reads that
)

// Warning is something that a person should look at. It refuses nothing.
type Warning struct {
	Kind WarningKind `json:"kind"`
	Says string      `json:"says"` // one sentence
}
