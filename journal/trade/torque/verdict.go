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
	case Outside:
		return "outside"
	case NotProven:
		return "not proven"
	}
	return "no verdict"
}

// Say returns the verdict as one sentence, in the unit of the reading.
func (r Result) Say() string {
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

func (r Result) shown(newtonMetres float64) string { return shown(newtonMetres, r.Use.Reading) }

// shown writes newton metres in the unit of a torque above zero.
func shown(newtonMetres float64, like unit.Torque) string {
	return unit.Format(newtonMetres*like.Value()/like.In(unit.NewtonMetre), like.Unit(), 1)
}
