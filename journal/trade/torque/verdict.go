package torque

import (
	"strings"

	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
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

// Say returns the verdict as one sentence.
func (r Result) Say() string {
	if r.Angle > 0 || r.Nearest || r.Use.Turned > 0 {
		return r.sayPrinted()
	}
	var b strings.Builder
	w := r.Use.Units.Writing
	b.WriteString(r.reading())
	if r.Use.Adapter != nil && r.AtBolt > 0 {
		b.WriteString(w.Sprintf(" at the tool is %s at the bolt and", r.told(r.AtBolt)))
	}
	asked := r.told(r.Low) + " to " + r.told(r.High) + words.Fill(" (%s)", r.number(r.Printed()))
	switch r.Verdict {
	case Inside:
		b.WriteString(w.Sprintf(" is inside %s with the tool’s ±%g %% to either side, %s to %s", asked, r.Percent, r.told(r.From), r.told(r.To)))
	case InsidePlain:
		b.WriteString(w.Sprintf(" is inside %s only on the plain reading: with the tool’s ±%g %% it may be anything from %s to %s", asked, r.Percent, r.told(r.From), r.told(r.To)))
	case Outside:
		b.WriteString(w.Sprintf(" is outside %s", asked))
	default:
		b.WriteString(w.Sprintf(" is not proven: %s", strings.Join(r.Reasons, "; ")))
		switch r.Plain {
		case Inside:
			b.WriteString(w.Sprintf("; the plain reading is inside %s", asked))
		case Outside:
			b.WriteString(w.Sprintf("; the plain reading is outside %s", asked))
		}
	}
	return b.String()
}

// sayPrinted says what came of a figure that is printed without limits or with an angle.
func (r Result) sayPrinted() string {
	var parts []string
	w := r.Use.Units.Writing
	if r.AtBolt > 0 {
		parts = append(parts, r.saySet())
	}
	switch {
	case r.Angle == 0 && r.Use.Turned > 0:
		parts = append(parts, w.Sprintf("turned a further %g°, and the figure asks for no angle", r.Use.Turned))
	case r.Use.Turned > 0 && r.turnedAsPrinted():
		parts = append(parts, w.Sprintf("turned a further %g°, as the %g° printed (by convention within %g°)", r.Use.Turned, r.Angle, angleWithin))
	case r.Use.Turned > 0:
		parts = append(parts, w.Sprintf("turned a further %g° and not the %g° printed (by convention within %g°)", r.Use.Turned, r.Angle, angleWithin))
	}
	text := strings.Join(parts, ", then ")
	if r.Verdict == NotProven {
		return w.Sprintf("%s is not proven: %s", text, strings.Join(r.Reasons, "; "))
	}
	return text
}

// saySet says how the reading stands to the figure.
func (r Result) saySet() string {
	w, text := r.Use.Units.Writing, r.reading()
	if r.Use.Adapter != nil {
		text += w.Sprintf(" at the tool, %s at the bolt,", r.told(r.AtBolt))
	}
	span := r.told(r.Low) + " to " + r.told(r.High)
	switch {
	case r.High == 0 || r.Verdict == NotProven:
		return text
	case r.Nearest && r.Plain == Inside:
		return w.Sprintf("%s is set to the printed figure, %s (no tolerance is printed: by convention within the tool’s own ±%g %%, %s)", text, r.printed(r.Nominal), r.Percent, span)
	case r.Nearest:
		return w.Sprintf("%s is not the printed figure, %s (no tolerance is printed: by convention within the tool’s own ±%g %%, %s)", text, r.printed(r.Nominal), r.Percent, span)
	case r.Plain == Inside:
		return w.Sprintf("%s is inside %s%s", text, span, words.Fill(" (%s)", r.number(r.Printed())))
	default:
		return w.Sprintf("%s is outside %s%s", text, span, words.Fill(" (%s)", r.number(r.Printed())))
	}
}

// in is the unit of the sentences: the shop's for a joint of this size, or the reading's.
func (r Result) in() unit.TorqueUnit {
	size := r.High
	if size == 0 {
		size = r.Use.Reading.In(unit.NewtonMetre)
	}
	return unit.Like(r.Use.Reading, r.Use.Units.TorqueFor(size))
}

// Shown writes newton metres in the unit of the sentences.
func (r Result) Shown(newtonMetres float64) string {
	return unit.Show(newtonMetres, unit.NewtonMetre, r.in(), 1)
}

// reading is what was typed, with the unit of the sentences beside it where it is another.
func (r Result) reading() string { return r.number(unit.Typed(r.Use.Reading, r.in(), 1)) }

func (r Result) printed(q unit.Torque) string { return r.number(unit.Printed(q, r.in(), 1)) }

// told is what Shown writes, as a sentence has it.
func (r Result) told(newtonMetres float64) string { return r.number(r.Shown(newtonMetres)) }

// number writes figures as the shop does.
func (r Result) number(plain string) string { return r.Use.Units.Writing.Number(plain) }

// Printed is the figure as it is printed, where the sentences are in another unit; else "".
func (r Result) Printed() string {
	s := r.Spec
	switch {
	case r.Use.Units.Torque == 0: // nobody chose
		return ""
	case unit.Foreign(s.Low, r.in()) || unit.Foreign(s.High, r.in()):
		return "printed " + s.Low.String() + " to " + s.High.String()
	case !s.Low.IsZero() || !unit.Foreign(s.Nominal, r.in()):
		return ""
	case !s.Tolerance.IsZero():
		return "printed " + s.Nominal.String() + " ± " + s.Tolerance.String()
	case !s.Percent.IsZero():
		return "printed " + s.Nominal.String() + " ± " + s.Percent.String()
	}
	return "printed " + s.Nominal.String()
}

// shown writes newton metres in the unit of a torque above zero.
func shown(newtonMetres float64, like unit.Torque) string {
	return unit.Show(newtonMetres, unit.NewtonMetre, like.Unit(), 1)
}
