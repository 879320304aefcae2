package bake

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

// Word is what a verdict comes to.
type Word string

// The words, which are stored and never change.
const (
	Cured        Word = "cured"
	CuredLenient Word = "cured only on the lenient reading"
	NotCured     Word = "not cured"
	NotProven    Word = "not proven"
)

// Overbake says how far beyond its schedule the hottest probe went.
type Overbake string

// The degrees of overbake.
const (
	OverbakeNone    Overbake = ""
	OverbakeCaution Overbake = "caution: overbaked"
	OverbakeReject  Overbake = "overbaked" // reject, or prove it on a coupon
)

// Verdict is pass or fail of the coldest probe on a part, and overbake of the hottest.
type Verdict struct {
	Word     Word      `json:"result"`
	Overbake Overbake  `json:"overbake,omitzero"`
	Coldest  string    `json:"coldest,omitzero"` // the channel that decided
	Strict   float64   `json:"strict_fraction"`  // its schedule fractions
	Lenient  float64   `json:"lenient_fraction"`
	Needed   Limit     `json:"-"`                // the fraction it was held against
	Hottest  string    `json:"-"`                // the channel with the most heat
	Index    float64   `json:"hottest_fraction"` // its lenient fraction, held against Rules.Caution and Reject
	Warnings []Warning `json:"-"`
	Say      string    `json:"sentence"` // one or two sentences
}

// decide gives the verdict over channels. Only those on a part count.
func decide(r Result, channels []Channel) Verdict {
	v := Verdict{Word: NotProven, Needed: Limit{1, "schedules", DataSheet}, Warnings: slices.Clone(r.Warnings)}
	var metal []Channel
	doubted := ""
	for _, c := range channels {
		if c.On == "" {
			continue
		}
		v.Warnings = append(v.Warnings, c.Warnings...)
		if c.Readings > 1 {
			metal = append(metal, c)
		}
		for _, w := range c.Warnings {
			if w.Kind == WarnFahrenheit || w.Kind == WarnSuspect {
				doubted = w.Says
			}
		}
	}
	if len(metal) == 0 {
		v.Say = "Not proven (no probe on the part): oven air does not show what the metal had."
		if slices.ContainsFunc(channels, func(c Channel) bool { return c.On != "" }) {
			v.Say = "Not proven (no probe on the part): the probe on the part gave no readings."
		}
		return v
	}

	strict := slices.MinFunc(metal, by(func(c Channel) float64 { return c.Strict }))
	lenient := slices.MinFunc(metal, by(func(c Channel) float64 { return c.Lenient }))
	hottest := slices.MaxFunc(metal, by(func(c Channel) float64 { return c.Lenient }))
	coldest := strict
	enough := v.Needed.Value * (1 - rounding)
	switch {
	case doubted != "":
	case strict.Strict >= enough:
		v.Word = Cured
	case lenient.Lenient >= enough:
		v.Word = CuredLenient
	default:
		v.Word, coldest = NotCured, lenient
	}
	v.Coldest, v.Strict, v.Lenient = coldest.Channel, coldest.Strict, coldest.Lenient
	v.Hottest, v.Index = hottest.Channel, hottest.Lenient
	if doubted != "" {
		v.Say = "Not proven: " + doubted + "."
		return v
	}
	switch {
	case v.Index > r.Rules.Reject.Value:
		v.Overbake = OverbakeReject
	case v.Index > r.Rules.Caution.Value:
		v.Overbake = OverbakeCaution
	}
	v.Say = v.say(r, coldest)
	return v
}

func by(figure func(Channel) float64) func(a, b Channel) int {
	return func(a, b Channel) int {
		switch x, y := figure(a), figure(b); {
		case x < y:
			return -1
		case x > y:
			return 1
		}
		return 0
	}
}

func (v Verdict) say(r Result, coldest Channel) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s%s: the coldest probe on a part, channel %s", strings.ToUpper(string(v.Word[:1])), v.Word[1:], coldest.Channel)
	if coldest.Place != "" {
		fmt.Fprintf(&b, " (%s)", coldest.Place)
	}
	fmt.Fprintf(&b, ", had %s of the schedule %s; time counted from %.4g °C, gaps %s.", hundredths(v.Strict), Schedule{points: r.Schedule}, r.StrictFrom, gapWords(r.Rules.Strict.Gap))
	if v.Lenient > v.Strict {
		fmt.Fprintf(&b, " The lenient reading, from %.4g °C with gaps %s, gives %s.", r.LenientFrom, gapWords(r.Rules.Lenient.Gap), hundredths(v.Lenient))
	}
	best := coldest.Holds[0]
	for _, h := range coldest.Holds {
		if h.Longest/h.Point.minutes() > best.Longest/best.Point.minutes() {
			best = h
		}
	}
	fmt.Fprintf(&b, " It stayed at or above %s for %.1f min without a break; the sheet asks for %s.", best.Point.Metal, best.Longest, best.Point.Hold)
	switch v.Overbake {
	case OverbakeReject:
		fmt.Fprintf(&b, " Overbaked: channel %s had %.2f schedules, more than %s: reject, or prove it on a coupon.", v.Hottest, v.Index, r.Rules.Reject)
	case OverbakeCaution:
		fmt.Fprintf(&b, " Caution, overbaked: channel %s had %.2f schedules, more than %s.", v.Hottest, v.Index, r.Rules.Caution)
	}
	return b.String()
}

// hundredths prints a fraction with two digits and never rounds it up: what
// falls short of the schedule must not read as 1.00.
func hundredths(fraction float64) string {
	return strconv.FormatFloat(math.Floor(fraction*100+1e-9)/100, 'f', 2, 64)
}

func gapWords(g GapPolicy) string {
	return map[GapPolicy]string{NoCredit: "not counted", LowerEndpoint: "counted at their lower end", Interpolated: "counted on a straight line"}[g]
}

// Coats adds up what each coat of a part has seen. It takes the fraction of the bake after
// the first coat, after the second, and so on: the first coat sees them all, the last one
// only its own.
func Coats(fractions ...float64) []float64 {
	seen := slices.Clone(fractions)
	for i := len(seen) - 2; i >= 0; i-- {
		seen[i] += seen[i+1]
	}
	return seen
}
