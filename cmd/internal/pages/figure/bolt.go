package figure

import (
	"fmt"
	"strings"

	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/record"
	"fettlebook/journal/route"
	"fettlebook/journal/trade/torque"
	"fettlebook/journal/trade/unit"
)

const makers = "orientation only; the maker's figure comes first"

// torque says what the bolt got. Where a hold point of the card judged the
// joint, its verdict stands; other joints are judged here in the same way.
func (w *work) torque(d *journal.Torque) {
	t := w.tool(d.Tool)
	use := torque.Use{Reading: d.Torque, At: w.at(), Joint: jointOf(d.Joint)}
	if a := d.Adapter; a != nil {
		use.Adapter = &torque.Adapter{Wrench: a.Wrench, Offset: a.Offset, Angle: float64(a.Angle)}
	}
	spec := w.spec(d.Spec)
	r, err := torque.Judge(use, spec, t.Tool)
	if err != nil {
		if !w.judged() {
			w.wrong(fmt.Sprintf("%s on the %s: %s", d.Torque, d.Joint, err), makers)
		}
		return
	}
	if !w.judged() {
		w.bolt(d.Joint, r, t)
	}
	w.adapter(r)
	w.slips(r)
}

// bolt gives the verdict on a joint that no hold point judged.
func (w *work) bolt(joint string, r torque.Result, t facts.ToolState) {
	text, state := joint+": "+r.Say(), route.Broken
	if r.Verdict == torque.Inside || r.Verdict == torque.InsidePlain {
		state = route.Met
		if t.Doubt != facts.NoDoubt {
			text, state = fmt.Sprintf("%s: %s is not proven: %s", joint, r.Use.Reading, t.Say()), route.Broken
		}
	}
	limit := "the maker's figure comes first"
	if r.High > 0 {
		limit = like(r.Low, r.Use.Reading) + " to " + like(r.High, r.Use.Reading) + " at the bolt; " + limit
	}
	w.say(Sentence{Text: text, State: state, Safety: true, Rests: rests(limit, r.SpecSource)})
}

// adapter says what the tool must be set to with an offset end.
func (w *work) adapter(r torque.Result) {
	if r.Factor == 0 {
		return
	}
	text := fmt.Sprintf("with this adapter %s at the tool is %s at the bolt", r.Use.Reading, like(r.AtBolt, r.Use.Reading))
	if r.Setting > 0 {
		text += fmt.Sprintf("; for %s at the bolt the tool is set to %s", r.Nominal, like(r.Setting, r.Nominal))
	}
	w.say(Sentence{Text: text, Safety: true, Rests: "Equal force on both levers: reading to bolt as L to L + E·cos θ"})
}

// slips says what looks like a slip of the pen, such as in·lbf for ft·lbf.
func (w *work) slips(r torque.Result) {
	for _, warning := range r.Warnings {
		w.say(Sentence{Text: warning, Safety: true, Rests: makers})
	}
}

// spec returns a joint's figure as recorded; without one it is empty.
func (w *work) spec(id journal.SpecID) (of torque.Spec) {
	for _, s := range w.shop.Specs {
		if s.ID == id && s.Stated != nil {
			of = torque.Spec{Nominal: s.Stated.Nominal, Low: s.Stated.Low, High: s.Stated.High, Source: string(s.Stated.From)}
			if s.Stated.Page != "" {
				of.Source += ", " + s.Stated.Page
			}
		}
	}
	return of
}

// wheel says what the nuts got. No figure of the maker is written down for
// them, so there is none to hold it against.
func (w *work) wheel(d *journal.WheelFit) {
	joint := torque.Joint("")
	if strings.HasPrefix(string(d.Step), "full") {
		joint = torque.WheelNut // snug is less than usual, and meant to be
	}
	w.unspecified(fmt.Sprintf("each of %d nuts", d.Nuts), d.Torque, d.Tool, joint)
}

func (w *work) retorque(d *journal.Retorque) {
	w.unspecified("each wheel nut", d.Torque, d.Tool, torque.WheelNut)
	if d.Moved {
		w.say(Sentence{Text: "a nut turned before the tool clicked, so it had come loose: look for the reason before the vehicle is driven on", Safety: true, Rests: "common practice, no source"})
	}
}

func (w *work) screw(d *journal.Bleed) {
	if !d.Screw.IsZero() {
		w.unspecified("the bleeder screw", d.Screw, d.Tool, torque.Bleeder)
	}
}

// unspecified says what a bolt got for which no figure is recorded.
func (w *work) unspecified(what string, reading unit.Torque, id journal.ToolID, joint torque.Joint) {
	t := w.tool(id)
	r, err := torque.Judge(torque.Use{Reading: reading, At: w.at(), Joint: joint}, torque.Spec{}, t.Tool)
	if err != nil {
		w.wrong(fmt.Sprintf("%s on %s: %s", reading, what, err), makers)
		return
	}
	text := fmt.Sprintf("%s on %s", reading, what)
	if r.Percent > 0 {
		text += fmt.Sprintf(" is %s to %s with the tool's ±%g %%", like(r.From, reading), like(r.To, reading), r.Percent)
	}
	w.say(Sentence{Text: text + "; compare it with the maker's figure, which is not on record for it", Safety: true, Rests: "The tool's tolerance; the maker's figure comes first"})
	if r.Beyond {
		w.wrong(fmt.Sprintf("%s lies outside what is marked on %s, %s to %s, where its tolerance no longer holds", reading, id, t.Tool.Low, t.Tool.High), checks)
	}
	w.slips(r)
}

// jointOf finds the kind of joint by the words that people use for it.
func jointOf(name string) torque.Joint {
	name = strings.ToLower(name)
	for _, known := range []struct {
		word  string
		joint torque.Joint
	}{
		{"banjo", torque.Banjo}, {"hose bolt", torque.Banjo}, {"bleed", torque.Bleeder}, {"pin", torque.GuidePin},
		{"bracket", torque.BracketBolt}, {"wheel", torque.WheelNut},
	} {
		if strings.Contains(name, known.word) {
			return known.joint
		}
	}
	return ""
}

// like writes newton metres in the unit of a torque above nought.
func like(newtonMetres float64, t unit.Torque) string {
	return unit.Format(newtonMetres*t.Value()/t.In(unit.NewtonMetre), t.Unit(), 1)
}

// stated returns a thing of the register by its name, nil if it is not there.
func stated[ID ~string, P any](list []*record.Registered[ID, P], id ID) *P {
	for _, r := range list {
		if r.ID == id {
			return r.Stated
		}
	}
	return nil
}
