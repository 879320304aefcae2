package facts

import (
	"fmt"
	"math"
	"slices"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/record"
	"fettlebook/journal/trade/torque"
	"fettlebook/journal/trade/unit"
)

// goodTool notes what a tool's word rests on and reports whether it is good.
func (w *Job) goodTool(g *Group, id journal.ToolID, at *record.Line) bool {
	s := w.stock.ToolAt(id, at)
	g.rests(s.Rests...)
	if s.FoundOut != nil {
		g.lose(s.FoundOut, s.undoing(g.About))
	} else if s.Doubt != NoDoubt {
		g.state(Statement{Quantity: ToolFit, Of: string(id), Met: NotKnown, Sure: NotProven, Because: s.cause(), Tool: &s}, s.Rests...)
	}
	return s.Doubt == NoDoubt
}

// tightening is one entry of a joint with its judgement.
type tightening struct {
	at    Event
	of    *journal.Torque
	bolts int
	tool  ToolState
	spec  *record.Line
	asked *journal.TorqueSpec // nil without a figure on the register
	word  torque.Verdict
	is    Statement
}

// supersede adds a tightening. One of a bolt that is named takes the place of
// what that bolt got before. One that is right takes the place of wrong ones
// of at most as many bolts: they were tightened again.
func supersede(list []tightening, t tightening) []tightening {
	if name := journal.Called(t.of.Bolt); name != "" {
		list = slices.DeleteFunc(list, func(old tightening) bool { return journal.Called(old.of.Bolt) == name })
	} else if t.right() {
		kept := list[:0]
		for _, old := range list {
			if old.right() || old.bolts > t.bolts {
				kept = append(kept, old)
			}
		}
		list = kept
	}
	return append(list, t)
}

func (t tightening) right() bool {
	return t.word == torque.Inside || t.word == torque.InsidePlain || t.word == torque.AsPrinted
}

// tell adds a tightening to the facts of its joint.
func (t tightening) tell(f *card.JointFacts, g *Group) {
	g.rests(t.at.Line, t.spec)
	g.state(t.is, append([]*record.Line{t.at.Line, t.spec}, t.tool.Rests...)...)
	f.Bolts += t.bolts
	f.Photos += len(t.at.Line.Photos)
	f.Marked = f.Marked && t.of.Marked
	f.Inside = f.Inside && t.right()
	f.Guarded = f.Guarded && t.word == torque.Inside
	if worst := t.word.String(); f.Verdict == "" || !t.right() || f.Verdict == torque.Inside.String() {
		f.Verdict = worst
	}
	if t.tool.FoundOut != nil {
		g.lose(t.tool.FoundOut, t.tool.undoing(g.About))
	}
}

// tighten judges one tightening of the named joint of the card; of no joint of
// the card without a name.
func (s *Stock) tighten(e Event, d *journal.Torque, by *card.Card, name string) tightening {
	tool := ToolState{}
	if d.Tool != "" { // an angle alone is turned with any
		tool = s.ToolAt(d.Tool, e.Line)
	}
	t := tightening{at: e, of: d, bolts: max(1, d.Count), tool: tool, word: torque.NotProven}
	spec, line := s.Spec(d.Spec)
	t.spec, t.asked = line, spec
	borrowed := s.borrowed(spec, e.Line)
	of := torque.Spec{}
	if spec != nil {
		of = torque.Spec{
			Nominal: spec.Nominal, Low: spec.Low, High: spec.High, Tolerance: spec.Tolerance, Percent: spec.General,
			Angle: float64(spec.Angle), Source: string(spec.From),
		}
		if spec.Page != "" {
			of.Source += ", " + spec.Page
		}
	}
	use := torque.Use{Reading: d.Torque, At: time.Time(e.Line.Clocks.Device), Joint: jointOf(d.Joint), Turned: float64(d.Turned), Units: s.Units()}
	if a := d.Adapter; a != nil {
		use.Adapter = &torque.Adapter{Wrench: a.Wrench, Offset: a.Offset, Angle: float64(a.Angle)}
	}
	value, unit := split(d.Torque)
	if d.Torque.IsZero() {
		value, unit = fmt.Sprint(d.Turned), "°"
	}
	t.is = Statement{
		Quantity: JointTorque, Of: d.Joint, Value: value, Unit: unit, Source: of.Source, Met: NotKnown, Sure: NotProven,
		With: []Figure{with("tool", string(d.Tool)), with("bolts", fmt.Sprint(t.bolts))}, Tool: &t.tool,
	}
	if d.Turned > 0 && !d.Torque.IsZero() {
		t.is.With = append(t.is.With, Figure{Name: "turned", Value: fmt.Sprint(d.Turned), Unit: "°"})
	}
	if borrowed != "" {
		t.is.With = append(t.is.With, with("borrowed from", borrowed))
	}
	result, err := torque.Judge(use, of, tool.Tool)
	if err != nil {
		t.is.Because, t.is.Fault = CannotJudge, err
		return t
	}
	t.word, t.is.Result = result.Verdict, result
	if result.High > 0 {
		t.is.Limit = Limit{Low: result.Shown(result.Low), High: result.Shown(result.High), Printed: result.Printed()}
	}
	switch {
	case t.word == torque.NotProven:
		t.is.Because = NoVerdict
	case !t.right():
		t.is.Met, t.is.Sure = No, Measured
	case spec != nil && ofAnother(by, name, d.Joint, spec.Joint):
		t.word, t.is.Because = torque.NotProven, OtherJoint
		t.is.With = append(t.is.With, with("spec", string(d.Spec)), with("spec joint", spec.Joint))
	case borrowed != "":
		t.word, t.is.Because = torque.NotProven, OtherVehicle
		t.is.With = append(t.is.With, with("spec", string(d.Spec)))
	case spec.Thread != "" && d.Thread != spec.Thread:
		t.word, t.is.Because = torque.NotProven, OtherThread
		t.is.With = append(t.is.With, with("thread", string(d.Thread)), with("asked thread", string(spec.Thread)))
	case tool.Doubt != NoDoubt:
		t.word, t.is.Because = torque.NotProven, tool.cause()
		if tool.FoundOut != nil {
			t.is.Undone = tool.FoundOut.ID
		}
	default:
		t.is.Met, t.is.Sure = Yes, Measured
	}
	if spec != nil && spec.SingleUse {
		t.askNew()
	}
	return t
}

// ofAnother reports whether a figure is for another joint of the card than the
// one that was tightened. What the card has no name for is told by the words
// for it; of one that nobody knows by its words the figure is believed. Without a
// card both have to be known by their words.
func ofAnother(by *card.Card, name, tightened, printed string) bool {
	is, of := jointOf(printed), jointOf(tightened)
	if by == nil {
		return is != "" && of != "" && is != of
	}
	if figure := by.Joint(printed); figure != "" {
		return figure != name
	}
	plain := is == torque.WheelNut || is == torque.Banjo || is == torque.Bleeder // words that mean nothing else
	return is != "" && is != of && (of != "" || plain)
}

// askNew takes a tightening as not proven whose bolts are used once only,
// unless somebody wrote that they are new. It reports whether it did.
func (t *tightening) askNew() bool {
	if !t.right() || t.of.NewBolts {
		return false
	}
	t.word, t.is.Met, t.is.Sure, t.is.Because = torque.NotProven, NotKnown, NotProven, BoltsNotNew
	return true
}

// undoing states that a later check found the tool out.
func (t ToolState) undoing(about journal.Subject) Statement {
	return Statement{About: about, Quantity: ToolFit, Of: string(t.ID), Met: No, Sure: Undone, Because: t.cause(), Tool: &t}
}

// cause is a tool's doubt as what keeps a reading from being proven.
func (t ToolState) cause() Cause { return Cause("tool " + string(t.Doubt)) }

func newtonMetres(t unit.Torque) float64 {
	if t.IsZero() {
		return 0
	}
	return math.Round(t.In(unit.NewtonMetre)*1000) / 1000
}

// joint judges one joint of the card: what was tightened since it was last
// loose. A reading outside its specification counts until as many bolts were
// tightened again.
func (w *Job) joint(c *cornerWork, name string, g *Group) *card.JointFacts {
	f := new(card.JointFacts)
	is := w.card.Joints[name]
	bolts, stated := c.bolts(w.card, name)
	once := c.singleUse(w.card, name)
	loose := lastOf(c.events, func(e Event) bool { return loosens(e, is) })
	var tight []tightening
	var before *Event
	for i := range c.events {
		e := &c.events[i]
		t, ok := e.Data.(*journal.Torque)
		if !ok || w.card.Joint(t.Joint) != name {
			continue
		}
		if e.before(loose) {
			before = e
			continue
		}
		got := w.stock.tighten(*e, t, w.card, name)
		if once != nil && got.askNew() {
			g.rests(once)
		}
		tight = supersede(tight, got)
	}
	f.Done = len(tight) > 0
	f.Inside, f.Guarded, f.Marked = f.Done, f.Done, f.Done
	for _, t := range tight {
		t.tell(f, g)
	}
	f.Needed, f.Stated = bolts > 0, stated
	if bolts == 0 {
		bolts = max(1, is.Bolts)
	}
	bolts = boltsOf(tight, bolts, stated)
	f.Complete = f.Bolts >= bolts
	switch {
	case !f.Done && before != nil:
		g.rests(before.Line)
		g.undo(loose.Line, JointTorque, loosening(loose), loosenedAt(loose))
	case !f.Done:
		g.await(JointTorque, NotTight, c.called(w.card, name))
	case !f.Complete:
		g.pend(Statement{About: g.About, Quantity: JointTorque, Of: c.called(w.card, name), Value: fmt.Sprint(f.Bolts), Limit: Limit{Low: fmt.Sprint(bolts)}, Met: No, Sure: NotYet, Because: BoltsMissing})
	}
	return f
}

// boltsOf is how many bolts a joint has: by its figure, if that says more than
// what was counted on the parts, or if nobody counted.
func boltsOf(tight []tightening, bolts int, counted bool) int {
	figure := 0
	for _, t := range tight {
		if t.asked != nil {
			figure = max(figure, t.asked.Bolts)
		}
	}
	if figure > 0 && !counted {
		return figure
	}
	return max(figure, bolts)
}

// loosens reports whether an event undoes what was tightened at a joint.
func loosens(e Event, is card.Joint) bool {
	if _, line := e.Data.(*journal.LineOpening); line {
		return is.Hydraulic
	}
	part := card.Base(e.Line.Subject.Part())
	return e.is(journal.Loosens) && part != "" && (part == is.Of || slices.Contains(is.Beside, part))
}

// loosening says what an event did to a joint that was tight.
func loosening(e *Event) Cause {
	switch e.Data.(type) {
	case *journal.LineOpening:
		return LineOpenedAfter
	case *journal.Removal:
		return OffAfterTight
	default:
		return OnAfterTight
	}
}

// loosenedAt is the place at which a line was opened, or "".
func loosenedAt(e *Event) string {
	if d, ok := e.Data.(*journal.LineOpening); ok {
		return d.At
	}
	return ""
}
