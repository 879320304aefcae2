package bleed

import (
	"fmt"
	"slices"
	"strings"

	"fettlebook/journal/trade/sheet"
	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
)

type (
	// Level is how full a reservoir is, in one of two ways: as a share of the way from
	// MIN to MAX, or as the volume above MIN.
	Level struct {
		Share  unit.Ratio
		Volume unit.Volume
	}

	// Reservoir is a vehicle's brake fluid reservoir.
	Reservoir struct {
		Span unit.Volume     // from MIN to MAX; needed when a level is a share
		Rest unit.Volume     // below MIN, before air is drawn in; empty when unknown
		In   unit.VolumeUnit // of the sentences; mL without

		Writing words.Writing // of the figures in them
	}

	// Step is one bleeding or topping up: first Drawn was taken out by a bleeder, then
	// Added was poured in. Seen is the level that was read afterwards, if it was; it
	// wins over the sum.
	Step struct {
		Corner Corner // bled; empty for topping up alone
		Drawn  unit.Volume
		Added  unit.Volume
		Seen   Level
	}

	// Stand is the reservoir at one step. Volumes are in mL above MIN, and negative
	// below it.
	Stand struct {
		Step     Step
		Lowest   float64 // after drawing, before topping up
		After    float64 // after topping up
		BelowMin bool
		Dry      bool
	}

	// Balance is a reservoir over a sequence of steps.
	Balance struct {
		Start    float64 // mL above MIN
		Stands   []Stand
		Drawn    float64 // mL
		Added    float64 // mL
		BelowMin bool
		Dry      bool
		Again    []Corner        // to be bled after the reservoir ran dry
		In       unit.VolumeUnit // of the sentences
		Writing  words.Writing   // of the figures in them
		Source   string
		Warnings []string
	}
)

// isZero reports whether no level was entered.
func (l Level) isZero() bool { return l.Share.IsZero() && l.Volume.IsZero() }

// above returns the level in mL above MIN.
func (r Reservoir) above(l Level, what string) (float64, error) {
	switch {
	case !l.Share.IsZero() && !l.Volume.IsZero():
		return 0, sheet.Refuse(what, l.Share.String()+" and "+l.Volume.String(), "write the level as a share or as a volume, not as both")
	case !l.Volume.IsZero():
		return l.Volume.In(unit.Millilitre), nil
	case l.Share.IsZero():
		return 0, sheet.Refuse(what, "not entered", "write how full the reservoir is, such as 80 % of the way from MIN to MAX")
	case !(r.Span.In(unit.Millilitre) > 0):
		return 0, sheet.Refuse(what, l.Share.String(), "a share needs the reservoir’s volume from MIN to MAX: write it, or the level as a volume")
	}
	return l.Share.In(unit.Percent) / 100 * r.Span.In(unit.Millilitre), nil
}

// BalanceOf follows the reservoir through the steps. When it ran dry, or below MIN by an
// unknown rest, air may have been drawn in ahead of all corners, and each is to be bled
// after that step. Errors are of type *Error.
func BalanceOf(r Reservoir, start Level, steps []Step) (Balance, error) {
	level, err := r.above(start, "the level at the start")
	if err != nil {
		return Balance{}, err
	}
	b := Balance{Start: level, In: r.In, Writing: r.Writing, Source: "volume balance; that a dry reservoir sends all corners back is a shop default"}
	for i, step := range steps {
		stand, err := r.follow(level, step, fmt.Sprintf("step %d", i+1))
		if err != nil {
			return Balance{}, err
		}
		b.add(stand, r)
		if stand.Dry {
			b.Again = corners()
		} else if step.Corner != "" {
			// Bled after the air came in: this corner is done.
			b.Again = slices.DeleteFunc(b.Again, func(c Corner) bool { return c == step.Corner })
		}
		level = stand.After
	}
	return b, nil
}

func (r Reservoir) follow(level float64, step Step, what string) (Stand, error) {
	if step.Corner != "" {
		if err := step.Corner.check(); err != nil {
			return Stand{}, err
		}
	}
	s := Stand{Step: step, Lowest: level - volume(step.Drawn)}
	s.After = s.Lowest + volume(step.Added)
	if !step.Seen.isZero() {
		seen, err := r.above(step.Seen, what)
		if err != nil {
			return Stand{}, err
		}
		s.After = seen
	}
	s.BelowMin = min(s.Lowest, s.After) < 0
	s.Dry = s.BelowMin && min(s.Lowest, s.After) <= -volume(r.Rest)
	return s, nil
}

func (b *Balance) add(s Stand, r Reservoir) {
	name := "topping up"
	if s.Step.Corner != "" {
		name = "bleeding " + string(s.Step.Corner)
	}
	low := b.told(-s.Lowest)
	switch {
	case s.Dry && r.Rest.IsZero():
		b.Warnings = append(b.Warnings, fmt.Sprintf("%s took the reservoir %s below MIN, and it is not known how much is left there: air may have been drawn in", name, low))
	case s.Dry:
		b.Warnings = append(b.Warnings, fmt.Sprintf("%s emptied the reservoir: air was drawn in", name))
	case s.BelowMin:
		b.Warnings = append(b.Warnings, fmt.Sprintf("%s took the reservoir %s below MIN", name, low))
	}
	sum := s.Lowest + volume(s.Step.Added)
	if span := volume(r.Span); span > 0 && max(sum-s.After, s.After-sum) > span/4 {
		b.Warnings = append(b.Warnings, fmt.Sprintf("after %s the level read is %s from the one that the volumes give: a volume or a level is wrong, or fluid was lost", name, b.told(max(sum-s.After, s.After-sum))))
	}
	if span := volume(r.Span); span > 0 && s.After > span*(1+1e-9) {
		b.Warnings = append(b.Warnings, fmt.Sprintf("after %s the reservoir is above MAX", name))
	}
	b.Stands = append(b.Stands, s)
	b.Drawn += volume(s.Step.Drawn)
	b.Added += volume(s.Step.Added)
	b.BelowMin = b.BelowMin || s.BelowMin
	b.Dry = b.Dry || s.Dry
}

// volume returns mL, and zero for what was not entered.
func volume(v unit.Volume) float64 {
	if v.IsZero() {
		return 0
	}
	return v.In(unit.Millilitre)
}

// end is the level after the last step.
func (b Balance) end() float64 {
	if n := len(b.Stands); n > 0 {
		return b.Stands[n-1].After
	}
	return b.Start
}

// Say returns the balance as one sentence.
func (b Balance) Say() string {
	var s strings.Builder
	fmt.Fprintf(&s, "%s drawn, %s added, at the end %s MIN", b.told(b.Drawn), b.told(b.Added), b.side(b.end()))
	switch {
	case len(b.Again) > 0:
		fmt.Fprintf(&s, "; bleed again: %s", words.Commas(b.Again...))
	case b.BelowMin:
		s.WriteString("; it was below MIN in between")
	}
	return s.String()
}

// Shown writes millilitres in the unit of the sentences.
func (b Balance) Shown(millilitres float64) string {
	return unit.Show(millilitres, unit.Millilitre, b.In, 0)
}

// told is what Shown writes, as a sentence has it.
func (b Balance) told(millilitres float64) string { return b.Writing.Number(b.Shown(millilitres)) }

func (b Balance) side(millilitres float64) string {
	if millilitres < 0 {
		return b.told(-millilitres) + " below"
	}
	return b.told(millilitres) + " above"
}
