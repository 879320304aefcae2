package facts

import (
	"fmt"
	"math"
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
		g.undo(s.FoundOut, "%s", s.Say())
	} else if s.Doubt != NoDoubt {
		g.say("%s", s.Say())
	}
	return s.Doubt == NoDoubt
}

// tightening is one entry of a joint with its judgement.
type tightening struct {
	at    *Event
	is    *journal.Torque
	bolts int
	tool  ToolState
	spec  *record.Line
	word  torque.Verdict
	says  string
}

// supersede adds a tightening. One that is right takes the place of wrong ones
// of at most as many bolts: they were tightened again.
func supersede(list []tightening, t tightening) []tightening {
	if t.right() {
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

func (t tightening) right() bool { return t.word == torque.Inside || t.word == torque.InsidePlain }

// tell adds a tightening to the facts of its joint.
func (t tightening) tell(f *card.JointFacts, g *Group) {
	g.rests(t.at.Line, t.spec)
	g.rests(t.tool.Rests...)
	g.say("%s", t.says)
	f.Bolts += t.bolts
	f.Photos += len(t.at.Line.Photos)
	f.Marked = f.Marked && t.is.Marked
	f.Inside = f.Inside && t.right()
	f.Guarded = f.Guarded && t.word == torque.Inside
	if worst := t.word.String(); f.Verdict == "" || !t.right() || f.Verdict == torque.Inside.String() {
		f.Verdict = worst
	}
	if t.tool.FoundOut != nil {
		g.undo(t.tool.FoundOut, "%s", t.tool.Say())
	}
}

// tighten judges one tightening of the named joint of the card.
func (w *Job) tighten(e *Event, t *journal.Torque, name string) tightening {
	g := tightening{at: e, is: t, bolts: max(1, t.Count), tool: w.stock.ToolAt(t.Tool, e.Line), word: torque.NotProven}
	spec, line := w.stock.Spec(t.Spec)
	g.spec = line
	of := torque.Spec{}
	if spec != nil {
		of = torque.Spec{Nominal: spec.Nominal, Low: spec.Low, High: spec.High, Source: string(spec.From)}
		if spec.Page != "" {
			of.Source += ", " + spec.Page
		}
	}
	use := torque.Use{Reading: t.Torque, At: time.Time(e.Line.Clocks.Device)}
	if a := t.Adapter; a != nil {
		use.Adapter = &torque.Adapter{Wrench: a.Wrench, Offset: a.Offset, Angle: float64(a.Angle)}
	}
	result, err := torque.Judge(use, of, g.tool.Tool)
	if err != nil {
		g.says = fmt.Sprintf("%s on the %s: %s", t.Torque, t.Joint, err)
		return g
	}
	g.word, g.says = result.Verdict, fmt.Sprintf("%s: %s", t.Joint, result.Say())
	if of.Source != "" {
		g.says += " (" + of.Source + ")"
	}
	doubt := g.tool.Say()
	if spec != nil {
		if other := w.card.Joint(spec.Joint); other != "" && other != name {
			doubt = fmt.Sprintf("the figure %s is for another joint, %s", t.Spec, spec.Joint)
		}
	}
	if doubt != "" && g.right() {
		g.word = torque.NotProven
		g.says = fmt.Sprintf("%s: %s is not proven: %s", t.Joint, t.Torque, doubt)
	}
	return g
}

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
		tight = supersede(tight, w.tighten(e, t, name))
	}
	f.Done = len(tight) > 0
	f.Inside, f.Guarded, f.Marked = f.Done, f.Done, f.Done
	for _, t := range tight {
		t.tell(f, g)
	}
	f.Complete = f.Bolts >= max(1, is.Bolts)
	switch {
	case !f.Done && before != nil:
		g.rests(before.Line)
		g.undo(loose.Line, "%s", loosening(loose))
	case !f.Done:
		g.wait("the %s is not tightened yet", is.Names[0])
	case !f.Complete:
		g.wait("%d of %d bolts of the %s are tightened", f.Bolts, is.Bolts, is.Names[0])
	}
	return f
}

// loosens reports whether an event undoes what was tightened at a joint.
func loosens(e Event, is card.Joint) bool {
	if _, line := e.Data.(*journal.LineOpening); line {
		return is.Hydraulic
	}
	return e.is(journal.Loosens) && is.Of != "" && card.Base(e.Line.Subject.Part()) == is.Of
}

func loosening(e *Event) string {
	switch d := e.Data.(type) {
	case *journal.LineOpening:
		return fmt.Sprintf("the line was opened at %s after the joint was tightened", d.At)
	case *journal.Removal:
		return "the part was taken off after the joint was tightened"
	default:
		return "the part was put on after the joint was tightened"
	}
}
