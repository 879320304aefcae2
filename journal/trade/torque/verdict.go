package torque

import (
	"fmt"
	"strings"

	"fettlebook/journal/trade/unit"
)

// Verdict is what can be said of a tightened bolt. The zero Verdict is none.
type Verdict int

// The verdicts, best first but for the last, which says that nothing can be said.
const (
	Inside      Verdict = iota + 1 // with the tool's tolerance to either side
	InsidePlain                    // on the plain reading, but not with the tolerance
	AsPrinted                      // set and turned as printed, by convention: the maker prints no limits of that
	Outside
	NotProven
)

// String returns the verdict in words.
func (v Verdict) String() string {
	switch v {
	case Inside:
		return "inside with guard band"
	case InsidePlain:
		return "inside only on the plain reading"
	case AsPrinted:
		return "as printed, by convention"
	case Outside:
		return "outside"
	case NotProven:
		return "not proven"
	}
	return "no verdict"
}

// Say returns the verdict as one sentence, in the unit of the reading.
func (r Result) Say() string {
	if r.Angle > 0 || r.Nearest || r.Use.Turned > 0 {
		return r.sayPrinted()
	}
	var b strings.Builder
	b.WriteString(r.Use.Reading.String())
	if r.Use.Adapter != nil && r.AtBolt > 0 {
		fmt.Fprintf(&b, " at the tool is %s at the bolt and", r.shown(r.AtBolt))
	}
	asked := r.shown(r.Low) + " to " + r.shown(r.High)
	switch r.Verdict {
	case Inside:
		fmt.Fprintf(&b, " is inside %s with the tool's ±%g %% to either side, %s to %s", asked, r.Percent, r.shown(r.From), r.shown(r.To))
	case InsidePlain:
		fmt.Fprintf(&b, " is inside %s only on the plain reading: with the tool's ±%g %% it may be anything from %s to %s", asked, r.Percent, r.shown(r.From), r.shown(r.To))
	case Outside:
		fmt.Fprintf(&b, " is outside %s", asked)
	default:
		fmt.Fprintf(&b, " is not proven: %s", strings.Join(r.Reasons, "; "))
		switch r.Plain {
		case Inside:
			fmt.Fprintf(&b, "; the plain reading is inside %s", asked)
		case Outside:
			fmt.Fprintf(&b, "; the plain reading is outside %s", asked)
		}
	}
	return b.String()
}

// sayPrinted says what came of a figure that is printed without limits or with an angle.
func (r Result) sayPrinted() string {
	var parts []string
	if r.AtBolt > 0 {
		parts = append(parts, r.saySet())
	}
	switch {
	case r.Angle == 0 && r.Use.Turned > 0:
		parts = append(parts, fmt.Sprintf("turned on by %g°, and the figure asks for no angle", r.Use.Turned))
	case r.Use.Turned > 0 && r.turnedAsPrinted():
		parts = append(parts, fmt.Sprintf("turned on by %g°, as the %g° printed (by convention within %g°)", r.Use.Turned, r.Angle, angleWithin))
	case r.Use.Turned > 0:
		parts = append(parts, fmt.Sprintf("turned on by %g° and not by the %g° printed (by convention within %g°)", r.Use.Turned, r.Angle, angleWithin))
	}
	text := strings.Join(parts, ", then ")
	if r.Verdict == NotProven {
		return fmt.Sprintf("%s is not proven: %s", text, strings.Join(r.Reasons, "; "))
	}
	return text
}

// saySet says how the reading stands to the figure.
func (r Result) saySet() string {
	text := r.Use.Reading.String()
	if r.Use.Adapter != nil {
		text += fmt.Sprintf(" at the tool, %s at the bolt,", r.shown(r.AtBolt))
	}
	span := r.shown(r.Low) + " to " + r.shown(r.High)
	switch {
	case r.High == 0 || r.Verdict == NotProven:
		return text
	case r.Nearest && r.Plain == Inside:
		return fmt.Sprintf("%s is set to the printed figure, %s (no tolerance is printed: by convention within the tool's own ±%g %%, %s)", text, r.Nominal, r.Percent, span)
	case r.Nearest:
		return fmt.Sprintf("%s is not the printed figure, %s (no tolerance is printed: by convention within the tool's own ±%g %%, %s)", text, r.Nominal, r.Percent, span)
	case r.Plain == Inside:
		return fmt.Sprintf("%s is inside %s", text, span)
	default:
		return fmt.Sprintf("%s is outside %s", text, span)
	}
}

func (r Result) shown(newtonMetres float64) string { return shown(newtonMetres, r.Use.Reading) }

// shown writes newton metres in the unit of a torque above zero.
func shown(newtonMetres float64, like unit.Torque) string {
	return unit.Format(newtonMetres*like.Value()/like.In(unit.NewtonMetre), like.Unit(), 1)
}
