package facts

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/order"
	"fettlebook/journal/record"
	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
)

// MatterKind is what came out about something that a job used.
type MatterKind string

// What may come out.
const (
	WasRecalled  MatterKind = "recall"
	ToolFoundOut MatterKind = "tool"   // a check found the tool out
	BadlySpread  MatterKind = "survey" // a survey found a place too far from what the oven was set to
)

// Matter is something that came out about a thing after a job had used it, and
// that the customer has to be told.
type Matter struct {
	Kind   MatterKind
	Of     journal.Subject // the thing
	Line   *record.Line    // the entry in which it came out
	Use    *record.Line    // the first use on the job that it concerns
	Good   *record.Line    // the last check or survey before that use which was good; nil if none is known
	Title  string          // a few words
	Why    string          // what was found, a clause
	Remedy string          // what is done about each vehicle
	Source string          // where it comes from
}

// surveyBand is how far the places of an oven may lie from what it is set to.
const surveyBand = 10 // K

// Matters lists what came out about things that a job used, in the order in
// which it used them: recalls, checks that found a tool out since its last good
// one, and bad surveys of an oven. What came out before the vehicle was handed
// back is a matter of the hold points, and of the customer only if recalled.
func (s *Stock) Matters(job *record.Job) []Matter {
	var list []Matter
	add := func(m Matter) {
		if m.Line != nil && !slices.ContainsFunc(list, func(o Matter) bool { return o.Line == m.Line }) {
			list = append(list, m)
		}
	}
	for _, l := range job.Timeline() {
		data := l.Effect()
		if data == nil {
			continue
		}
		day := journal.Date(time.Time(l.Clocks.Device).Format(time.DateOnly))
		for _, u := range journal.Uses(data) {
			for _, at := range s.Lines(u.Of) {
				if r, ok := s.effect(at).(*journal.Recall); ok && r.Meant(day) {
					add(Matter{Kind: WasRecalled, Of: u.Of, Line: at, Use: l, Title: "Recall of " + thingCalled(u.Of), Why: r.Why, Remedy: r.Remedy, Source: "the recall"})
				}
			}
			if job.Released == nil || u.Of.Word() != "tool" {
				continue
			}
			for _, m := range []Matter{s.foundOut(u.Of, l), s.badSurvey(u.Of, l)} {
				if m.Line != nil && !knownAfter(job.Released, m.Line) {
					add(m)
				}
			}
		}
	}
	return list
}

// thingCalled is what people call a thing of the register, with its name.
func thingCalled(of journal.Subject) string {
	return words.Choose(of.Word() == "lot", "powder lot", of.Word()) + " " + of.Last()
}

// Bad reports whether an entry found a tool out of tolerance, or a place of an
// oven too far from what it was set to.
func Bad(p journal.Payload) bool {
	switch d := p.(type) {
	case *journal.ToolCheck:
		return d.Result != journal.InTolerance
	case *journal.Service:
		_, off := FarthestOff(d)
		return d.Done == journal.OvenSurveyed && math.Abs(off) > surveyBand
	}
	return false
}

// Spell returns the good checks of a tool, or the good surveys of an oven, between
// which a use of it lies; without a use, the last one. Each is nil if there is none.
func (s *Stock) Spell(of journal.Subject, use *record.Line) (from, to *record.Line) {
	var last finding
	for _, f := range s.looks(of) {
		switch {
		case f.bad:
		case use == nil:
			if last.line == nil || f.on >= last.on {
				last, from = f, f.line
			}
		case f.compare(finding{line: use, on: journal.Date(time.Time(use.Clocks.Device).Format(time.DateOnly))}) < 0:
			from = f.line
		case to == nil:
			to = f.line
		}
	}
	return from, to
}

// Counts returns from when on a look at a tool or machine counts: from its entry on,
// or from the beginning of the day on which it was done, where that is earlier.
func (s *Stock) Counts(look *record.Line) time.Time {
	at := time.Time(look.Clocks.Device)
	d, ok := s.effect(look).(*journal.Service)
	if !ok {
		return at
	}
	day, err := time.ParseInLocation(time.DateOnly, string(doneOn(d, look, at)), at.Location())
	if err != nil || day.After(at) {
		return at
	}
	return day
}

// looks lists the looks at a tool or machine, in the order of their entries.
func (s *Stock) looks(of journal.Subject) (list []finding) {
	for _, l := range s.Lines(of) {
		switch d := s.effect(l).(type) {
		case *journal.ToolCheck:
			list = append(list, finding{line: l, bad: Bad(d)})
		case *journal.Service:
			if d.Done == journal.OvenSurveyed {
				list = append(list, finding{line: l, on: doneOn(d, l, time.Time(l.Clocks.Device)), bad: Bad(d)})
			}
		}
	}
	return list
}

// finding is one look at a tool or machine that says whether it was good until
// then.
type finding struct {
	line *record.Line
	on   journal.Date // "" if it is that of its entry
	bad  bool
}

// compare orders a look and another entry: by the day on which it was done,
// else by what their writers had seen, 0 if nobody knows.
func (f finding) compare(to finding) int {
	if f.on != "" && to.on != "" && f.on != to.on {
		return cmp.Compare(f.on, to.on)
	}
	switch f.line.Relation(to.line) {
	case order.Before:
		return -1
	case order.After:
		return 1
	}
	return 0
}

// concerning returns the first bad look that concerns a use, and the last good
// one that is known to have come before it. A look that was known at the use
// concerns the hold points. A good one acquits what lies on its other side from
// the bad one; if nobody knows on which side it lies, it does not.
func concerning(looks []finding, use finding) (bad, good *record.Line) {
	for _, l := range looks {
		if !l.bad {
			if l.compare(use) < 0 {
				good = l.line
			}
			continue
		}
		if bad != nil || knownAfter(use.line, l.line) {
			continue
		}
		way := l.compare(use)
		if !slices.ContainsFunc(looks, func(g finding) bool {
			return !g.bad && way != 0 && g.compare(use) == way && l.compare(g) == way
		}) {
			bad = l.line
		}
	}
	return bad, good
}

// foundOut says which check found a tool out after a use of it.
func (s *Stock) foundOut(of journal.Subject, use *record.Line) (m Matter) {
	looks := slices.DeleteFunc(s.looks(of), func(f finding) bool { return f.on != "" })
	bad, good := concerning(looks, finding{line: use})
	if bad == nil {
		return m
	}
	c := s.effect(bad).(*journal.ToolCheck) // only such lines are looks
	m = Matter{Kind: ToolFoundOut, Of: of, Line: bad, Use: use, Good: good, Source: "the check of " + s.dayOf(bad)}
	m.Title = words.Capital(s.toolCalled(of)) + " found " + words.Choose(c.Result == journal.AdjustedWasOut, "out of tolerance and adjusted", string(c.Result))
	m.Why = "no good check before its use is on record"
	if good != nil {
		m.Why = "its last good check was on " + s.dayOf(good)
	}
	m.Why += ", and it was used on this vehicle on " + s.dayOf(use)
	m.Remedy = "check what it was used for again"
	return m
}

// badSurvey says which survey found an oven bad in which a job baked.
func (s *Stock) badSurvey(of journal.Subject, use *record.Line) (m Matter) {
	at := time.Time(use.Clocks.Device)
	looks := slices.DeleteFunc(s.looks(of), func(f finding) bool { return f.on == "" })
	bad, good := concerning(looks, finding{line: use, on: journal.Date(at.Format(time.DateOnly))})
	if bad == nil {
		return m
	}
	d := s.effect(bad).(*journal.Service) // only such lines are looks
	place, off := FarthestOff(d)
	m = Matter{Kind: BadlySpread, Of: of, Line: bad, Use: use, Good: good, Source: fmt.Sprintf("%s: within %d K of what it is set to", practice, surveyBand)}
	m.Title = "Bad survey of " + s.toolCalled(of)
	apart := unit.Show(math.Abs(off), unit.Kelvin, s.Units().Difference, 0)
	m.Why = fmt.Sprintf("%s was %s %s than it was set to, surveyed on %s; it was used for this vehicle on %s", place, s.Writing().Number(apart), words.Choose(off < 0, "colder", "hotter"), doneOn(d, bad, at).Said(s.Writing()), s.dayOf(use))
	m.Remedy = "look at the coating and test it"
	return m
}

// FarthestOff returns the place of a surveyed oven that lay farthest from what
// it was set to, and by how many K.
func FarthestOff(d *journal.Service) (place string, kelvin float64) {
	set := d.Set.In(unit.Celsius)
	for _, p := range d.Places {
		if off := p.Reads.In(unit.Celsius) - set; math.Abs(off) > math.Abs(kelvin) {
			place, kelvin = p.Place, off
		}
	}
	return place, kelvin
}

// toolCalled is a tool with what it is, as far as the register says so.
func (s *Stock) toolCalled(of journal.Subject) string {
	is, _ := stated[journal.Tool](s, s.Lines(of))
	if is == nil {
		return "tool " + of.Last()
	}
	what := string(is.What)
	return words.Choose(strings.Contains(of.Last(), what), of.Last(), what+" "+of.Last())
}

func (s *Stock) dayOf(l *record.Line) string { return s.Writing().Day(time.Time(l.Clocks.Device)) }
