package torque

import (
	"fmt"
	"time"

	"fettlebook/journal/trade/sheet"
	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
)

// Tool is a hand torque tool. Low is its lowest marked value, where its range begins (ISO
// 6789-1:2017). Tolerance is the one on its certificate or label and wins over the one
// that follows from its class.
type Tool struct {
	Low, High   unit.Torque
	Tolerance   unit.Ratio
	Class       Class
	Calibration Calibration
}

// Class is a type and class of ISO 6789-1, such as "II A". The zero Class is unknown.
type Class string

// The classes of ISO 6789-1:2017, from memory.
const (
	IndicatingBar         Class = "I A"  // wrench with a torsion or flexion bar
	IndicatingDial        Class = "I B"  // wrench with a scale, dial or display
	IndicatingElectronic  Class = "I C"  // wrench, measuring electronically
	ScrewdriverDial       Class = "I D"  // screwdriver with a scale, dial or display
	ScrewdriverElectronic Class = "I E"  // screwdriver, measuring electronically
	SettingScaled         Class = "II A" // wrench, adjustable, with a scale: a click wrench
	SettingFixed          Class = "II B" // wrench with one fixed value
	SettingUnscaled       Class = "II C" // wrench, adjustable, without a scale
	ScrewdriverScaled     Class = "II D"
	ScrewdriverFixed      Class = "II E"
	ScrewdriverUnscaled   Class = "II F"
	SettingBar            Class = "II G" // wrench with a flexion bar, adjustable, with a scale
)

const (
	smallTool      = 10.0 // N·m; tools whose highest value is not higher have 6 %
	percentLarge   = 4.0
	percentSmall   = 6.0
	percentMost    = 25.0 // what deviates more is not a torque tool
	defaultMonths  = 12
	defaultCycles  = 5000
	defaultSource  = "12 months or 5000 cycles, the default where the owner has no procedure (ISO 6789, as described by others)"
	ownSource      = "the owner’s procedure"
	ownPartsSource = "the owner’s procedure, with 12 months or 5000 cycles for what it leaves open"
)

// Permissible returns the tolerance of the tool in percent of reading, and where it
// comes from. It returns ErrNoTolerance when neither a tolerance nor a class is known,
// and an *Error for one that cannot be.
func (t Tool) Permissible() (percent float64, source string, err error) {
	if !t.Tolerance.IsZero() {
		percent = t.Tolerance.In(unit.Percent)
		if !(percent > 0 && percent <= percentMost) {
			return 0, "", sheet.Refuse("the tool’s tolerance", t.Tolerance.String(), fmt.Sprintf("it must be above 0 and at most %.0f %%: usual is 4 or 6 %%", percentMost))
		}
		return percent, "as recorded for the tool", nil
	}
	source = "ISO 6789-1:2017, class " + string(t.Class)
	switch t.Class {
	case "":
		return 0, "", ErrNoTolerance
	case IndicatingBar, ScrewdriverDial, ScrewdriverScaled, ScrewdriverFixed, ScrewdriverUnscaled, SettingBar:
		return percentSmall, source, nil
	case IndicatingDial, IndicatingElectronic, ScrewdriverElectronic, SettingScaled, SettingFixed, SettingUnscaled:
		switch {
		case t.High.IsZero():
			return 0, "", ErrNoTolerance
		case sheet.Above(t.High.In(unit.NewtonMetre), smallTool):
			return percentLarge, source, nil
		default:
			return percentSmall, source, nil
		}
	}
	return 0, "", sheet.Refuse("the tool’s class", string(t.Class), "ISO 6789-1 has I A to I E and II A to II G: take it from the tool’s certificate")
}

type (
	// Calibration is the last check that found the tool good, and what became of it
	// since. Due and UsesDue are the owner's procedure, which comes first; left empty,
	// 12 months and 5000 cycles hold, whichever is first.
	Calibration struct {
		On        time.Time
		Due       time.Time // the tool is good through the whole of this day
		Uses      int       // cycles since, with the one in question
		UsesDue   int
		Disturbed time.Time // overloaded, dropped or repaired; a new check ends it

		Writing words.Writing // of the days in the reason
	}

	// Validity says whether a tool was in calibration at a time.
	Validity struct {
		OK      bool
		Reason  string // why not
		Told    string // the same with its day as the shop writes it
		Due     time.Time
		UsesDue int
		Source  string // of the interval
	}
)

// At says whether the calibration held at a time. Days are those of t's time zone.
func (c Calibration) At(t time.Time) Validity {
	v := Validity{Due: c.Due, UsesDue: c.UsesDue, Source: ownSource}
	switch {
	case c.Due.IsZero() && c.UsesDue == 0:
		v.Source = defaultSource
	case c.Due.IsZero() || c.UsesDue == 0:
		v.Source = ownPartsSource
	}
	if c.On.IsZero() {
		v.Reason = "the tool was never found good in a calibration: have it calibrated before it is used again"
		v.Told = v.Reason
		return v
	}
	if v.Due.IsZero() {
		v.Due = c.On.AddDate(0, defaultMonths, 0)
	}
	if v.UsesDue == 0 {
		v.UsesDue = defaultCycles
	}
	day := func(at time.Time) string { return at.In(t.Location()).Format(time.DateOnly) }
	because := func(reason string, at time.Time, rest string) {
		at = at.In(t.Location())
		v.Reason, v.Told = reason+words.Day(at)+rest, reason+c.Writing.Day(at)+rest
	}
	switch {
	case t.Before(c.On):
		because("the tool was used before it was found good on ", c.On, "")
	case day(t) > day(v.Due):
		because("the tool’s calibration ran out on ", v.Due, "")
	case c.Uses > v.UsesDue:
		v.Reason = fmt.Sprintf("the tool was used %d times since its calibration, and it holds for %d", c.Uses, v.UsesDue)
		v.Told = v.Reason
	case !c.Disturbed.IsZero() && !c.Disturbed.Before(c.On) && !c.Disturbed.After(t):
		because("the tool was overloaded, dropped or repaired on ", c.Disturbed, " and not checked since")
	default:
		v.OK = true
	}
	return v
}
