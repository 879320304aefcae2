package facts

import (
	"fmt"
	"strings"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/trade/torque"
	"fettlebook/journal/trade/unit"
)

const checks = "ISO 6789-1 for range and tolerance; the shop’s own checks come first"

// at is when the entry was written, by its device's clock.
func (w *entry) at() time.Time { return time.Time(w.line.Clocks.Device) }

// tool says what is known of a torque tool at the moment of the entry: its
// range, its last check, when the next is due, and its uses since.
func (w *entry) tool(id journal.ToolID) ToolState {
	t := w.ToolAt(id, w.line)
	s := Statement{Quantity: ToolUses, Of: string(id), Value: fmt.Sprint(t.Uses), Source: t.Validity.Source, Safety: true, Tool: &t}
	if t.Doubt != NoDoubt {
		s.Met, s.Sure, s.Because = No, NotProven, t.cause()
		if s.Source == "" {
			s.Source = checks
		}
	} else {
		s.Limit.High = fmt.Sprint(t.Validity.UsesDue)
		s.With = []Figure{with("due", t.Validity.Due.Format(time.DateOnly)), with("checked", time.Time(t.Checked.Clocks.Device).Format(time.DateOnly))}
	}
	w.state(s)
	return t
}

// torque says what the bolt got.
func (w *entry) torque(d *journal.Torque) {
	if d.Tool != "" {
		w.tool(d.Tool)
	}
	t := w.tighten(Event{w.line, d}, d, nil, "")
	if w.usedOnce(d.Joint) {
		t.askNew()
	}
	s := t.is
	s.Safety = true
	if s.Fault != nil {
		s.Limit, s.Source = Limit{}, makers
	}
	w.state(s)
	r, ok := s.Result.(torque.Result)
	if !ok {
		return
	}
	if r.Factor != 0 {
		a := Statement{Quantity: AtBolt, Sure: Reckoned, Safety: true, Source: "Equal force on both levers: reading to bolt as L to L + E·cos θ", With: []Figure{typed("reading", d.Torque)}}.valued(r.Shown(r.AtBolt))
		if r.Setting > 0 {
			a.With = append(a.With, typed("wanted", r.Nominal), shown("setting", r.Shown(r.Setting)))
		}
		w.state(a)
	}
	w.warn(JointTorque, r.Warnings, makers, true)
}

// wheel says what the nuts got, in the full step held against the figure that
// is cited.
func (w *entry) wheel(d *journal.WheelFit) {
	if d.Step == journal.WheelFull && d.Spec != "" {
		w.tool(d.Tool)
		s := w.wheelNuts(Event{w.line, d}, d).is
		s.Safety = true
		w.state(s)
		return
	}
	nuts := fmt.Sprintf("each of %d nuts", d.Nuts)
	if d.Step == journal.WheelSnug { // less than usual, and meant to be
		w.unspecified(nuts, d.Torque, d.Tool, "", with("step", string(d.Step)))
		return
	}
	w.unspecified(nuts, d.Torque, d.Tool, torque.WheelNut)
}

func (w *entry) retorque(d *journal.Retorque) {
	w.unspecified("each wheel nut", d.Torque, d.Tool, torque.WheelNut)
	if d.Moved {
		w.state(Statement{Quantity: NutMoved, Value: "moved", Safety: true, Source: practice})
	}
}

func (w *entry) screw(d *journal.Bleed) {
	if !d.Screw.IsZero() {
		w.unspecified("the bleeder screw", d.Screw, d.Tool, torque.Bleeder)
	}
}

// unspecified says what a bolt got for which no figure is recorded.
func (w *entry) unspecified(what string, reading unit.Torque, id journal.ToolID, joint torque.Joint, more ...Figure) {
	t := w.tool(id)
	value, of := split(reading)
	s := Statement{Quantity: TorqueAlone, Of: what, Value: value, Unit: of, Sure: Measured, Safety: true, Source: "The tool’s tolerance; the maker’s figure comes first"}
	r, err := torque.Judge(torque.Use{Reading: reading, At: w.at(), Joint: joint, Units: w.Units()}, torque.Spec{}, t.Tool)
	if err != nil {
		s.Met, s.Sure, s.Because, s.Fault, s.Source = No, NotProven, CannotJudge, err, makers
		w.state(s)
		return
	}
	if r.Percent > 0 {
		s.With = []Figure{shown("from", r.Shown(r.From)), shown("to", r.Shown(r.To)), {Name: "tolerance", Value: fmt.Sprintf("±%g", r.Percent), Unit: "%"}}
	}
	s.With = append(s.With, more...)
	w.state(s)
	if r.Beyond {
		w.state(Statement{Quantity: ToolRange, Of: string(id), Value: value, Unit: of, Limit: Limit{Low: t.Tool.Low.String(), High: t.Tool.High.String()}, Met: No, Source: checks, Safety: true})
	}
	w.warn(TorqueAlone, r.Warnings, makers, true)
}

// OfWheel reports whether a joint's name is that of a wheel's nuts or bolts.
func OfWheel(joint string) bool { return jointOf(joint) == torque.WheelNut }

// jointOf finds the kind of joint by the words that people use for it.
func jointOf(name string) torque.Joint {
	name = " " + journal.Called(name) + " "
	for _, known := range []struct {
		word  string
		joint torque.Joint
	}{
		{"banjo", torque.Banjo}, {"hose bolt", torque.Banjo}, {"bleed", torque.Bleeder}, {" pin ", torque.GuidePin},
		{"bracket", torque.BracketBolt}, {"carrier", torque.BracketBolt}, {"wheel", torque.WheelNut},
	} {
		if strings.Contains(name, known.word) {
			return known.joint
		}
	}
	return ""
}
