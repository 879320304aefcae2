package bake

import (
	"errors"
	"fmt"
	"math"

	"fettlebook/journal/trade/sheet"
	"fettlebook/journal/trade/unit"
)

// DataSheet is where a limit comes from that is not a shop's default.
const DataSheet = "data sheet"

// Limit is a figure that a result was held against.
type Limit struct {
	Value  float64 `json:"value"`
	Unit   string  `json:"unit,omitzero"`
	Source string  `json:"source"`
}

// String returns "2 min (shop default)".
func (l Limit) String() string { return l.Say(unit.System{}) }

// Say is the limit in the units of a shop, as it writes them, with its source.
func (l Limit) Say(in unit.System) string {
	return fmt.Sprintf("%s (%s)", in.Writing.Number(l.Figure(in)), l.Source)
}

// Figure is the limit in the units of a shop.
func (l Limit) Figure(in unit.System) string {
	switch l.Unit {
	case "":
		return fmt.Sprintf("%g", l.Value)
	case "°C":
		return unit.Short(l.Value, unit.Celsius, in.Temperature, 1)
	case "K":
		return unit.Short(l.Value, unit.Kelvin, in.Difference, 1)
	case "K/min":
		return unit.Short(l.Value, unit.Kelvin, in.Difference, 1) + "/min"
	}
	return fmt.Sprintf("%g %s", l.Value, l.Unit)
}

// Reading is how generously a trace is read.
type Reading struct {
	Below  Limit `json:"below"`  // K below the schedule's lowest point from which time counts
	Capped bool  `json:"capped"` // whether metal above Rules.Above counts as if it were there
}

// Rules are all limits of a judgement. They are stored with its result.
type Rules struct {
	Strict  Reading `json:"strict"`
	Lenient Reading `json:"lenient"`

	// Above is in K above the schedule's highest point: hotter is outside the schedule.
	Above Limit `json:"above"`
	// A stretch between two readings of a channel is a gap, and counts for nothing, when it
	// is longer than GapShare of the schedule's shortest hold, or than MaxGap minutes where
	// that is given instead; and when a reading in between was lost.
	GapShare Limit `json:"gap_share"`
	MaxGap   Limit `json:"max_gap,omitzero"`
	// Most is the schedule fraction above which a coat is overbaked, where the data sheet
	// gives one. Without one no number says so.
	Most Limit `json:"most,omitzero"`
	// Suspect is a temperature in °C above which a probe's unit is not believed.
	Suspect Limit `json:"suspect"`
	// Readings in °C between these two are almost surely °F.
	FahrenheitFrom Limit `json:"fahrenheit_from"`
	FahrenheitTo   Limit `json:"fahrenheit_to"`
	// No probe reads below Coldest or above Hottest, in °C: it is open, or the recorder
	// failed.
	Coldest Limit `json:"coldest"`
	Hottest Limit `json:"hottest"`
	// Metal does not change by more than Jump in K/min, beside a JumpGrace in K at once.
	Jump      Limit `json:"jump"`
	JumpGrace Limit `json:"jump_grace"`
	// HeatAbove is the temperature in °C above which minutes of heat are counted.
	HeatAbove Limit `json:"heat_above"`
	// Units are those of the sentences; without any they are metric.
	Units unit.System `json:"-"`
}

// temperature writes °C in the unit of the sentences.
func (r Rules) temperature(celsius float64) string {
	return r.Units.Writing.Number(unit.Show(celsius, unit.Celsius, r.Units.Temperature, 1))
}

// from is a temperature from which time counts, without a zero behind its point.
func (r Rules) from(celsius float64) string {
	return r.Units.Writing.Number(unit.Short(celsius, unit.Celsius, r.Units.Temperature, 1))
}

// DefaultRules returns what a shop starts from. A data sheet's own figures replace them.
func DefaultRules() Rules {
	return Rules{
		Strict:         Reading{Below: Limit{0, "K", sheet.ShopDefault}, Capped: true},
		Lenient:        Reading{Below: Limit{10, "K", sheet.ShopDefault}},
		Above:          Limit{10, "K", sheet.ShopDefault},
		GapShare:       Limit{0.1, "of the shortest hold", sheet.ShopDefault},
		Suspect:        Limit{260, "°C", sheet.ShopDefault},
		FahrenheitFrom: Limit{350, "°C", sheet.ShopDefault},
		FahrenheitTo:   Limit{450, "°C", sheet.ShopDefault},
		Coldest:        Limit{-50, "°C", sheet.ShopDefault},
		Hottest:        Limit{1300, "°C", "the end of type K in IEC 60584-1"},
		Jump:           Limit{30, "K/min", sheet.ShopDefault},
		JumpGrace:      Limit{15, "K", sheet.ShopDefault},
		HeatAbove:      Limit{150, "°C", sheet.ShopDefault},
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
		"the longest gap": r.MaxGap, "the share of a hold": r.GapShare, "the most that the sheet allows": r.Most, "the fastest change": r.Jump, "the change at once": r.JumpGrace,
	} {
		if !(l.Value >= 0) || math.IsInf(l.Value, 0) {
			return refuse("%s is %g, and must be zero or more", name, l.Value)
		}
	}
	for _, c := range []Limit{r.Suspect, r.FahrenheitFrom, r.FahrenheitTo, r.Coldest, r.Hottest, r.HeatAbove} {
		if !(kelvin(c.Value) > 0) || math.IsInf(c.Value, 0) {
			return refuse("%g °C is not a temperature", c.Value)
		}
	}
	switch {
	case r.Strict.Below.Value > r.Lenient.Below.Value, r.Lenient.Capped && !r.Strict.Capped:
		return refuse("the strict reading is more generous than the lenient one: swap them")
	case r.Coldest.Value >= r.Hottest.Value:
		return refuse("the coldest reading that can be, %g °C, is not below the hottest, %g °C: swap them", r.Coldest.Value, r.Hottest.Value)
	}
	return nil
}

func (r Rules) looksFahrenheit(celsius float64) bool {
	return r.FahrenheitFrom.Value <= celsius && celsius <= r.FahrenheitTo.Value
}

// longestGap returns the longest time between two readings that counts, in seconds.
func (r Rules) longestGap(s Schedule) float64 {
	if r.MaxGap.Source != "" {
		return 60 * r.MaxGap.Value
	}
	shortest := math.Inf(1)
	for _, p := range s.points {
		shortest = min(shortest, p.minutes())
	}
	return 60 * r.GapShare.Value * shortest
}
