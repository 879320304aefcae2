package facts

import (
	"fettlebook/journal/card"
	"fmt"
	"math"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/trade/torque"
	"fettlebook/journal/trade/unit"
)

// ToolState is what the register says of a torque tool at the moment of a use.
type ToolState struct {
	Tool     torque.Tool // with its calibration, if there is one
	Stated   *journal.Tool
	Checked  *record.Line // the check before the use, nil without one
	Validity torque.Validity
	Doubt    string         // why the tool proves nothing; "" if it does
	Rests    []*record.Line // its registration and the check before the use
	FoundOut *record.Line   // the check after the use that found it out
}

// ToolAt looks a torque tool up at the moment of a use of it.
func ToolAt(shop *record.Shop, id journal.ToolID, use *record.Line) ToolState {
	return (&Job{shop: shop}).toolAt(id, use)
}

// use is a use of a torque tool.
type use struct {
	at *record.Line
	n  int
}

// usesOf counts the uses of a tool between two entries, over all jobs.
func (w *Job) usesOf(id journal.ToolID, after, upTo *record.Line) (n int) {
	if w.uses == nil {
		w.uses = make(map[journal.ToolID][]use)
		for l := range w.shop.All() {
			switch d := l.Effect().(type) {
			case *journal.Torque:
				w.uses[d.Tool] = append(w.uses[d.Tool], use{l, max(1, d.Count)})
			case *journal.WheelFit:
				w.uses[d.Tool] = append(w.uses[d.Tool], use{l, d.Nuts})
			case *journal.Bleed:
				w.uses[d.Tool] = append(w.uses[d.Tool], use{l, 1})
			case *journal.Retorque:
				w.uses[d.Tool] = append(w.uses[d.Tool], use{l, 1})
			}
		}
	}
	for _, u := range w.uses[id] {
		if After(u.at, after) && !After(u.at, upTo) {
			n += u.n
		}
	}
	return n
}

// toolAt looks a tool up at the moment of a use. What the next check found
// counts too: a tool that is found out of tolerance was so at an unknown time
// since the check before.
func (w *Job) toolAt(id journal.ToolID, at *record.Line) (s ToolState) {
	t := w.tool(id)
	if t == nil {
		s.Doubt = fmt.Sprintf("the tool %s is not registered", id)
		return s
	}
	is, line := stated[journal.Tool](w, t.Lines)
	if is == nil {
		s.Doubt = fmt.Sprintf("the tool %s is not registered", id)
		return s
	}
	s.Rests = append(s.Rests, line)
	s.Stated = is
	s.Tool = torque.Tool{Low: is.Low, High: is.High, Tolerance: is.Tolerance}
	var check *journal.ToolCheck
	var checked *record.Line
	for _, l := range t.Lines {
		c, ok := w.effect(l).(*journal.ToolCheck)
		switch {
		case !ok:
		case Before(l, at):
			check, checked = c, l
		case s.FoundOut == nil && c.Result != "in tolerance":
			s.FoundOut = l
			s.Doubt = fmt.Sprintf("a later check found the tool %s %s", id, c.Result)
		}
		if ok && After(l, at) {
			break // only the next check tells of this use
		}
	}
	s.Checked = checked
	switch {
	case check == nil:
		s.Doubt = fmt.Sprintf("no check of the tool %s is on record before its use", id)
		return s
	case check.Result == "out of tolerance" || check.Result == "broken":
		s.Rests = append(s.Rests, checked)
		s.Doubt = fmt.Sprintf("the last check before the use found the tool %s %s", id, check.Result)
		return s
	}
	s.Rests = append(s.Rests, checked)
	used := time.Time(at.Clocks.Device)
	on := time.Time(checked.Clocks.Device)
	if on.After(used) {
		on = used // the order of entries says that the check came first; two clocks differ
	}
	s.Tool.Calibration = torque.Calibration{On: on, UsesDue: check.Cycles, Uses: w.usesOf(id, checked, at)}
	if due, err := time.ParseInLocation(time.DateOnly, string(check.Due), used.Location()); err == nil {
		s.Tool.Calibration.Due = due
	}
	if s.Validity = s.Tool.Calibration.At(used); !s.Validity.OK && s.Doubt == "" {
		s.Doubt = s.Validity.Reason
	}
	return s
}

func (w *Job) tool(id journal.ToolID) *record.Tool {
	for _, t := range w.shop.Tools {
		if t.ID == id {
			return t
		}
	}
	return nil
}

// goodTool notes what a tool's word rests on and reports whether it is good.
func (w *Job) goodTool(g *Group, id journal.ToolID, at *record.Line) bool {
	s := w.toolAt(id, at)
	g.rests(s.Rests...)
	if s.FoundOut != nil {
		g.undo(s.FoundOut, "%s", s.Doubt)
	} else if s.Doubt != "" {
		g.say("%s", s.Doubt)
	}
	return s.Doubt == ""
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
		g.undo(t.tool.FoundOut, "%s", t.tool.Doubt)
	}
}

// tighten judges one tightening of the named joint of the card.
func (w *Job) tighten(e *Event, t *journal.Torque, name string) tightening {
	g := tightening{at: e, is: t, bolts: max(1, t.Count), tool: w.toolAt(t.Tool, e.Line), word: torque.NotProven}
	spec, line := w.spec(t.Spec)
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
	doubt := g.tool.Doubt
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

func (w *Job) spec(id journal.SpecID) (*journal.TorqueSpec, *record.Line) {
	for _, s := range w.shop.Specs {
		if s.ID == id {
			return stated[journal.TorqueSpec](w, s.Lines)
		}
	}
	return nil, nil
}

func newtonMetres(t unit.Torque) float64 {
	if t.IsZero() {
		return 0
	}
	return math.Round(t.In(unit.NewtonMetre)*1000) / 1000
}
