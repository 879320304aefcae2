package torque

import (
	"errors"

	"fettlebook/journal/trade/sheet"
	"fettlebook/journal/trade/unit"
)

// What keeps a tightening from being proven, as Limits and Permissible return it.
var (
	ErrNoSpec      = errors.New("there is no specification for the joint: record the figure and where it is printed")
	ErrNoSource    = errors.New("the specification has no source: name the manual’s page, the label, or the customer who supplied it")
	ErrNoTolerance = errors.New("the tool’s tolerance is not recorded: write the one on its certificate, or its class")
	ErrNoLimits    = errors.New("the specification has a nominal figure and no tolerance: write the tolerance, or the low and high figures, from its source")
)

func missing(err error) bool {
	for _, m := range []error{ErrNoSpec, ErrNoSource, ErrNoTolerance, ErrNoLimits} {
		if errors.Is(err, m) {
			return true
		}
	}
	return false
}

type (
	// Spec is a joint's torque as printed: low and high figures, or a nominal one with
	// a tolerance as a torque or in per cent. Low and high win over a tolerance. Assume is
	// the shop's own tolerance for a nominal that is printed without one.
	Spec struct {
		Nominal   unit.Torque
		Tolerance unit.Torque
		Percent   unit.Ratio
		Low, High unit.Torque
		Assume    unit.Ratio
		Angle     float64 // degrees that the bolt is turned on by after the torque, or from snug
		Source    string  // "manual, page 31-12"; without it the figure is refused
	}

	// Limits is a specification as a range, in N·m.
	Limits struct {
		Low, High float64
		Percent   float64 // of the nominal, when that made the range
		Assumed   bool    // the percent is the shop's own
	}
)

// Limits returns the range of a specification. It returns ErrNoSpec, ErrNoSource or
// ErrNoLimits when something is missing, and an *Error when figures contradict
// each other.
func (s Spec) Limits() (Limits, error) {
	var l Limits
	nominal := s.Nominal.In(unit.NewtonMetre)
	switch {
	case s.Nominal.IsZero() && s.Low.IsZero() && s.High.IsZero():
		return Limits{}, ErrNoSpec
	case s.Source == "":
		return Limits{}, ErrNoSource
	case s.Low.IsZero() != s.High.IsZero():
		return Limits{}, sheet.Refuse("the specified range", sheet.Typed(s.Low)+" to "+sheet.Typed(s.High), "it needs both ends: write the low and the high figure")
	case !s.Low.IsZero():
		l = Limits{Low: s.Low.In(unit.NewtonMetre), High: s.High.In(unit.NewtonMetre)}
	case !s.Tolerance.IsZero():
		wide := s.Tolerance.In(unit.NewtonMetre)
		l = Limits{Low: nominal - wide, High: nominal + wide}
	case !s.Percent.IsZero():
		l = percent(nominal, s.Percent.In(unit.Percent))
	case !s.Assume.IsZero():
		l = percent(nominal, s.Assume.In(unit.Percent))
		l.Assumed = true
	default:
		return Limits{}, ErrNoLimits
	}
	switch shown := s.shown(l); {
	case !(l.Low > 0 && l.Low < l.High):
		return Limits{}, sheet.Refuse("the specified range", shown, "the low end must be above zero and below the high end: check the figures and their units")
	case !s.Nominal.IsZero() && (sheet.Below(nominal, l.Low) || sheet.Above(nominal, l.High)):
		return Limits{}, sheet.Refuse("the nominal torque", s.Nominal.String(), "it lies outside its own range, "+shown+": check the figures and their units")
	}
	return l, nil
}

// angleAlone reports whether nothing is printed but an angle from snug.
func (s Spec) angleAlone() bool {
	return s.Angle > 0 && s.Nominal.IsZero() && s.Low.IsZero() && s.High.IsZero()
}

func percent(nominal, wide float64) Limits {
	return Limits{Low: nominal * (1 - wide/100), High: nominal * (1 + wide/100), Percent: wide}
}

func (s Spec) shown(l Limits) string {
	if !s.Low.IsZero() {
		return s.Low.String() + " to " + s.High.String()
	}
	return shown(l.Low, s.Nominal) + " to " + shown(l.High, s.Nominal)
}

// Joint is a kind of joint on a brake, for which torques of a known order are usual. The
// zero Joint is any other.
type Joint string

// The joints that typing errors can be found for.
const (
	BracketBolt Joint = "caliper bracket to knuckle"
	GuidePin    Joint = "guide pin bolt"
	Banjo       Joint = "banjo bolt"
	Bleeder     Joint = "bleeder screw"
	WheelNut    Joint = "wheel nut or bolt"
)

// usual returns the range of torques that web pages give for a joint, in N·m. The pages
// contradict one another, so the ranges find typing errors and are never a figure to
// tighten by.
func (j Joint) usual() (low, high float64, ok bool) {
	switch j {
	case BracketBolt:
		return 95, 176, true
	case GuidePin:
		return 27, 54, true
	case Banjo:
		return 20, 40, true
	case Bleeder:
		return 10, 19, true
	case WheelNut:
		return 108, 163, true
	}
	return 0, 0, false
}

// slips finds figures that would fit if they were ten or twelve times smaller or
// larger: a digit too many, or lb·in written for lb·ft.
func slips(use Use, spec Spec, r Result) (warnings []string) {
	if r.Plain == Outside {
		if by := slip(use.Reading, r.AtBolt, r.Low, r.High); by != "" {
			warnings = append(warnings, use.Units.Writing.Sprintf("%s would be inside the specification if it were %s: check the digits and the unit", use.Reading, by))
		}
	}
	low, high, known := use.Joint.usual()
	if !known {
		return warnings
	}
	const slack = 4.0 / 3 // since the sources of the ranges disagree
	for _, q := range []unit.Torque{use.Reading, spec.Nominal, spec.Low, spec.High} {
		if by := slip(q, q.In(unit.NewtonMetre), low/slack, high*slack); by != "" {
			warnings = append(warnings, use.Units.Writing.Sprintf("%s is unusual for a %s and would be usual if it were %s: check the digits and the unit", q, use.Joint, by))
		}
	}
	return warnings
}

// slip names what a torque outside a range must be multiplied by to lie in it, or
// nothing. The value is in N·m, and typed is the quantity that it came from: only one in
// pound-force can have its inches and feet mixed up.
func slip(typed unit.Torque, value, low, high float64) string {
	in := func(v float64) bool { return low <= v && v <= high }
	pounds := typed.Unit() != unit.NewtonMetre
	switch {
	case in(value):
		return ""
	case pounds && in(value/12):
		return "12 times smaller, as when lb·in is written for lb·ft"
	case pounds && in(value*12):
		return "12 times larger, as when lb·ft is written for lb·in"
	case in(value / 10):
		return "10 times smaller"
	case in(value * 10):
		return "10 times larger"
	}
	return ""
}
