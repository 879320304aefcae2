package bake

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
)

// Word is what a verdict comes to.
type Word string

// The words, which are stored and never change.
const (
	Met        Word = "schedule met"
	MetLenient Word = "schedule met only on the lenient reading"
	NotMet     Word = "schedule not met"
	NotProven  Word = "not proven"
)

// Overbake says whether the hottest probe went beyond what the data sheet allows.
type Overbake string

// What can be said of it.
const (
	OverbakeNone Overbake = "" // also where the sheet gives no limit
	OverSheet    Overbake = "overbaked"
)

// Verdict is pass or fail of the coldest probe on a part, and overbake of the hottest.
type Verdict struct {
	Word     Word      `json:"result"`
	Overbake Overbake  `json:"overbake,omitzero"`
	Coldest  string    `json:"coldest,omitzero"` // the channel that decided
	Place    string    `json:"-"`                // where it sat
	Strict   float64   `json:"strict_fraction"`  // its schedule fractions
	Lenient  float64   `json:"lenient_fraction"`
	Needed   Limit     `json:"-"`                // the fraction it was held against
	Hottest  string    `json:"-"`                // the channel with the most heat
	Index    float64   `json:"hottest_fraction"` // its lenient fraction with gaps, held against Rules.Most
	Warnings []Warning `json:"-"`
	Doubt    string    `json:"-"`        // of what is not proven: why, as a clause
	Say      string    `json:"sentence"` // one or more sentences
}

// decide gives the verdict over channels. Only those on a part count, and of these the
// one that shows the least.
func decide(r Result, channels []Channel) Verdict {
	v := Verdict{Word: NotProven, Needed: Limit{1, "schedules", DataSheet}, Warnings: slices.Clone(r.Warnings)}
	var metal []Channel
	on, doubted, dead := false, "", "the probe on the part gave fewer than two readings"
	for _, c := range channels {
		if c.On == "" {
			continue
		}
		on = true
		v.Warnings = append(v.Warnings, c.Warnings...)
		switch {
		case c.Readings > 1:
			metal = append(metal, c)
		case !c.Suspect.IsZero():
			dead = c.doubt(r)
		}
		for _, w := range c.Warnings {
			if w.Kind == WarnFahrenheit || w.Kind == WarnSuspect {
				doubted = w.Says
			}
		}
	}
	switch {
	case !on:
		return v.doubted("no probe was on the part, and oven air does not show what the metal had")
	case len(metal) == 0:
		return v.doubted(dead)
	}

	coldest := slices.MinFunc(metal, v.byWord)
	hottest := slices.MaxFunc(metal, func(a, b Channel) int { return cmp.Compare(a.most(), b.most()) })
	v.Coldest, v.Place, v.Hottest = coldest.Channel, coldest.Place, hottest.Channel
	if doubted != "" {
		return v.doubted(doubted)
	}
	v.Strict, v.Lenient, v.Index = coldest.Strict, coldest.Lenient, hottest.most()
	v.Word = v.word(coldest)
	if most := r.Rules.Most; most.Source != "" && v.Index > most.Value*(1+rounding) {
		v.Overbake = OverSheet
	}
	if v.Word == NotProven {
		v = v.doubted(coldest.doubt(r))
	} else {
		v.Say = v.say(r, coldest)
	}
	if v.Overbake == OverSheet {
		v.Say += r.Rules.Units.Writing.Sprintf(" Overbaked: channel %s had %.2f schedules, and the sheet allows at most %.2f.", v.Hottest, v.Index, r.Rules.Most.Value)
	}
	return v
}

func (v Verdict) doubted(why string) Verdict {
	v.Doubt, v.Say = why, "Not proven: "+why+"."
	return v
}

// order is of words, from what shows the least.
func (w Word) order() int { return slices.Index([]Word{NotMet, NotProven, MetLenient, Met}, w) }

// Worse returns the one of two words that shows less.
func Worse(a, b Word) Word {
	if b.order() < a.order() {
		return b
	}
	return a
}

// Least returns the verdict that shows the least, of several recorders in one bake. One
// whose probes gave no readings is passed over if another's did.
func Least(list ...Verdict) (least Verdict) {
	for i, v := range list {
		switch {
		case i == 0, least.Coldest == "":
			least = v
		case v.Coldest == "":
		case cmp.Or(cmp.Compare(v.Word.order(), least.Word.order()), cmp.Compare(v.Strict, least.Strict)) < 0:
			least = v
		}
	}
	return least
}

// word says what one channel shows. One that may have met the schedule where it was not
// read, or was not believed, proves neither that it did nor that it did not.
func (v Verdict) word(c Channel) Word {
	switch enough := v.Needed.Value * (1 - rounding); {
	case c.Strict >= enough:
		return Met
	case !c.Suspect.IsZero(), c.Strict+c.Gaps.Strict >= enough:
		return NotProven
	case c.Lenient >= enough:
		return MetLenient
	}
	return NotMet
}

// byWord sorts what shows the least first.
func (v Verdict) byWord(a, b Channel) int {
	return cmp.Or(cmp.Compare(v.word(a).order(), v.word(b).order()), cmp.Compare(a.Strict, b.Strict), cmp.Compare(a.Lenient, b.Lenient))
}

// most is the most that a channel may have had, gaps and all.
func (c Channel) most() float64 { return c.Lenient + c.Gaps.Lenient }

// name says which probe a channel is, and where it sat.
func (c Channel) name() string {
	if c.Place == "" {
		return c.Channel
	}
	return fmt.Sprintf("%s (%s)", c.Channel, c.Place)
}

func (v Verdict) say(r Result, coldest Channel) string {
	var b strings.Builder
	w := r.Rules.Units.Writing
	strict, lenient := w.Number(Hundredths(v.Strict)), w.Number(Hundredths(v.Lenient))
	switch by := ", by the coldest probe that gave readings: " + coldest.name(); v.Word {
	case Met:
		fmt.Fprintf(&b, "Schedule met %s times%s.", strict, by)
	case MetLenient:
		fmt.Fprintf(&b, "Schedule met %s times, but only on the lenient reading, which counts from %s; %s times from %s%s.", lenient, r.Rules.from(r.LenientFrom), strict, r.Rules.from(r.StrictFrom), by)
	case NotMet:
		fmt.Fprintf(&b, "Schedule not met: %s of it%s.", strict, by)
	}
	if v.Word == Met || v.Word == NotMet {
		fmt.Fprintf(&b, " Time counts from %s; gaps do not count.", r.Rules.from(r.StrictFrom))
		if v.Lenient > v.Strict {
			fmt.Fprintf(&b, " The lenient reading, from %s, gives %s.", r.Rules.from(r.LenientFrom), lenient)
		}
	}
	best := coldest.Best()
	b.WriteString(w.Sprintf(" The metal there was at or above %s for %.1f min without a break; the sheet asks for %s.", w.Number(unit.Printed(best.Point.Metal, r.Rules.Units.Temperature, 1)), best.Longest, best.Point.Hold))
	if v.Word == Met {
		for _, c := range r.Channels {
			if c.On == coldest.On && !c.Suspect.IsZero() {
				fmt.Fprintf(&b, " Channel %s %s; from there on it proves nothing.", c.Channel, c.Suspect.Says)
			}
		}
	}
	return b.String()
}

// doubt says why a channel that gave readings proves nothing.
func (c Channel) doubt(r Result) string {
	w := r.Rules.Units.Writing
	had := w.Number(Hundredths(c.Strict))
	if !c.Suspect.IsZero() {
		return fmt.Sprintf("probe %s %s; from there on it proves nothing, and until then it had %s of the schedule", c.name(), c.Suspect.Says, had)
	}
	return w.Sprintf("probe %s had %s of the schedule where its readings are at most %.4g s apart; %s without readings, together %.1f min, %s not count",
		c.name(), had, r.LongestGap, words.Count(c.Gaps.Count, "gap"), c.Gaps.Seconds/60, words.Choose(c.Gaps.Count == 1, "does", "do"))
}

// Best returns the hold of the schedule that the metal came nearest to.
func (c Channel) Best() Hold {
	share := func(h Hold) float64 { return h.Longest / h.Point.minutes() }
	return slices.MaxFunc(c.Holds, func(a, b Hold) int { return cmp.Compare(share(a), share(b)) })
}

// Hundredths writes a fraction of a schedule with two digits and never rounds it up: what
// falls short of the schedule must not read as 1.00.
func Hundredths(fraction float64) string {
	return strconv.FormatFloat(math.Floor(fraction*100+1e-9)/100, 'f', 2, 64)
}
