package bake

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// Where a limit comes from.
const (
	CommonPractice = "common practice"
	FromMemory     = "from memory"
	DataSheet      = "data sheet"
)

// Limit is a figure that a result was held against.
type Limit struct {
	Value  float64 `json:"value"`
	Unit   string  `json:"unit,omitzero"`
	Source string  `json:"source"`
}

// String returns "2 min (common practice)".
func (l Limit) String() string {
	if l.Unit == "" {
		return fmt.Sprintf("%g (%s)", l.Value, l.Source)
	}
	return fmt.Sprintf("%g %s (%s)", l.Value, l.Unit, l.Source)
}

// GapPolicy is what a time without readings is worth.
type GapPolicy string

// The policies, from the strictest.
const (
	NoCredit      GapPolicy = "no credit"      // nothing
	LowerEndpoint GapPolicy = "lower endpoint" // as if at the lower of the two readings around it
	Interpolated  GapPolicy = "interpolated"   // as if on the straight line between them
)

func (g GapPolicy) rank() int {
	return slices.Index([]GapPolicy{NoCredit, LowerEndpoint, Interpolated}, g)
}

// Reading is how generously a trace is read.
type Reading struct {
	Below  Limit     `json:"below"`  // K below the schedule's lowest point from which time counts
	Gap    GapPolicy `json:"gap"`    // what a gap is worth
	Capped bool      `json:"capped"` // whether metal above Rules.Above counts as if it were there
}

// Rules are all limits of a judgement. They are stored with its result.
type Rules struct {
	Strict  Reading `json:"strict"`
	Lenient Reading `json:"lenient"`

	// Above is in K above the schedule's highest point: hotter is outside the schedule.
	Above Limit `json:"above"`
	// A stretch between two readings of a channel is a gap when it is longer than MaxGap
	// minutes and also longer than GapIntervals times the recorder's usual interval, the
	// median of its first hundred. With GapIntervals 0, MaxGap alone decides.
	MaxGap       Limit `json:"max_gap"`
	GapIntervals Limit `json:"gap_intervals"`
	// Caution and Reject are schedule fractions above which a coat is overbaked.
	Caution Limit `json:"caution"`
	Reject  Limit `json:"reject"`
	// Suspect is a temperature in °C above which a reading is not believed.
	Suspect Limit `json:"suspect"`
	// Readings in °C between these two are almost surely °F.
	FahrenheitFrom Limit `json:"fahrenheit_from"`
	FahrenheitTo   Limit `json:"fahrenheit_to"`
	// HeatAbove is the temperature in °C above which minutes of heat are counted.
	HeatAbove Limit `json:"heat_above"`
}

// DefaultRules returns what a shop starts from. A data sheet's own figures replace them.
func DefaultRules() Rules {
	return Rules{
		Strict:         Reading{Below: Limit{0, "K", CommonPractice}, Gap: NoCredit, Capped: true},
		Lenient:        Reading{Below: Limit{10, "K", CommonPractice}, Gap: Interpolated},
		Above:          Limit{10, "K", CommonPractice},
		MaxGap:         Limit{2, "min", CommonPractice},
		GapIntervals:   Limit{3, "intervals", CommonPractice},
		Caution:        Limit{2, "schedules", CommonPractice},
		Reject:         Limit{3, "schedules", CommonPractice},
		Suspect:        Limit{260, "°C", CommonPractice},
		FahrenheitFrom: Limit{350, "°C", CommonPractice},
		FahrenheitTo:   Limit{450, "°C", CommonPractice},
		HeatAbove:      Limit{150, "°C", CommonPractice},
	}
}

// ErrRules is behind every refusal of rules.
var ErrRules = errors.New("these rules cannot judge a trace")

func (r Rules) check() error {
	refuse := func(format string, args ...any) error {
		return fmt.Errorf("%w: %s", ErrRules, fmt.Sprintf(format, args...))
	}
	for name, l := range map[string]Limit{
		"the strict margin below": r.Strict.Below, "the lenient margin below": r.Lenient.Below, "the margin above": r.Above,
		"the longest gap": r.MaxGap, "the number of intervals": r.GapIntervals, "the caution limit": r.Caution, "the reject limit": r.Reject,
	} {
		if !(l.Value >= 0) || math.IsInf(l.Value, 0) {
			return refuse("%s is %g, and must be zero or more", name, l.Value)
		}
	}
	for _, c := range []Limit{r.Suspect, r.FahrenheitFrom, r.FahrenheitTo, r.HeatAbove} {
		if !(kelvin(c.Value) > 0) || math.IsInf(c.Value, 0) {
			return refuse("%g °C is not a temperature", c.Value)
		}
	}
	for _, g := range []GapPolicy{r.Strict.Gap, r.Lenient.Gap} {
		if g.rank() < 0 {
			return refuse("%q is not a way to read a gap: take %s, %s or %s", g, NoCredit, LowerEndpoint, Interpolated)
		}
	}
	switch {
	case r.Strict.Below.Value > r.Lenient.Below.Value, r.Strict.Gap.rank() > r.Lenient.Gap.rank(), r.Lenient.Capped && !r.Strict.Capped:
		return refuse("the strict reading is more generous than the lenient one: swap them")
	case r.Caution.Value > r.Reject.Value:
		return refuse("caution at %g schedules comes after reject at %g: swap them", r.Caution.Value, r.Reject.Value)
	}
	return nil
}

func (r Rules) looksFahrenheit(celsius float64) bool {
	return r.FahrenheitFrom.Value <= celsius && celsius <= r.FahrenheitTo.Value
}
