package write

import (
	"slices"
	"strconv"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/record"
	"fettlebook/journal/trade/unit"
)

// What joints are called that are tightened by an entry of another kind.
const (
	bleederScrew = "bleeder screw"
	wheelNuts    = "wheel nuts"
)

// foreseeJoint chooses for the joint that is tightened its figure, and the tool that it
// was tightened with last. The figure's torque can be tapped, and how many bolts there
// are; neither is filled in, since the one is set and the other counted.
func (t *task) foreseeJoint(now time.Time) {
	joint := t.start.Get("joint")
	if joint == "" {
		return
	}
	same := t.sameJoint(joint)
	t.choose("spec", string(t.figureOf(same)))
	t.choose("tool", string(t.toolOf(same, now)))
	t.printed("torque", "count")
	if n := t.bolts(joint); n > 0 {
		t.sheet = t.sheet.Offering("count", strconv.Itoa(n))
	}
}

// sameJoint tells the names of a joint: by themselves, and by the job's card.
func (t *task) sameJoint(joint string) func(string) bool {
	name := ""
	st := t.snap.Standing(t.subject.Job())
	if st != nil && st.Card != nil {
		name = st.Card.Joint(joint)
	}
	return func(other string) bool {
		return journal.Called(other) == journal.Called(joint) || name != "" && st.Card.Joint(other) == name
	}
}

// figureOf is the figure of a joint that this vehicle's joints were tightened by, or the
// only one that the register has for it. Of several only a person knows which is printed
// for it. What other vehicles' figures are is borrowed, and never chosen beforehand.
func (t *task) figureOf(joint func(string) bool) journal.SpecID {
	whose := make(map[facts.Owner][]journal.SpecID)
	for _, s := range t.snap.Shop.Specs {
		if s.Stated != nil && joint(s.Stated.Joint) {
			of := t.owner(s.Stated)
			whose[of] = append(whose[of], s.ID)
		}
	}
	list := whose[facts.OfThis]
	if len(list) == 0 {
		list = whose[facts.OfNobody]
	}
	if len(list) == 1 {
		return list[0]
	}
	for _, l := range t.ofVehicle() {
		switch d := l.Effect().(type) {
		case *journal.Torque:
			if joint(d.Joint) && slices.Contains(list, d.Spec) {
				return d.Spec
			}
		case *journal.WheelFit:
			if joint(wheelNuts) && slices.Contains(list, d.Spec) {
				return d.Spec
			}
		}
	}
	return ""
}

// ofVehicle is what the jobs of this vehicle say, from the newest on.
func (t *task) ofVehicle() (list []*record.Line) {
	job := t.snap.Job(t.subject.Job())
	if job == nil {
		return nil
	}
	jobs := []*record.Job{job}
	if job.Vehicle != nil {
		jobs = job.Vehicle.Jobs
	}
	for _, j := range slices.Backward(jobs) {
		lines := j.Timeline()
		slices.Reverse(lines)
		list = append(list, lines...)
	}
	return list
}

// toolOf is the tool that a joint was tightened with last, or else the one that was used
// last for any: if it is in date and marked for the figure.
func (t *task) toolOf(joint func(string) bool, now time.Time) journal.ToolID {
	spec, _ := t.snap.Stock().Spec(journal.SpecID(t.start.Get("spec")))
	fits := func(id journal.ToolID, near bool) bool {
		return id != "" && t.fit("torque tool", string(id), now) && t.within(id, spec, near, now)
	}
	var other journal.ToolID
	for _, l := range t.newest() {
		of, id := tightened(l.Effect())
		switch {
		case id == "":
		case joint(of) && fits(id, false):
			return id
		case other == "" && fits(id, true):
			other = id
		}
	}
	return other
}

// tightened is what an entry tightened, and with which tool.
func tightened(p journal.Payload) (joint string, tool journal.ToolID) {
	switch d := p.(type) {
	case *journal.Torque:
		return d.Joint, d.Tool
	case *journal.WheelFit:
		return wheelNuts, d.Tool
	case *journal.Bleed:
		return bleederScrew, d.Tool
	}
	return "", ""
}

// within reports whether a figure lies within what a tool is marked with. Where either is
// not known it may, unless it has to be known.
func (t *task) within(id journal.ToolID, spec *journal.TorqueSpec, known bool, now time.Time) bool {
	tool := t.snap.Stock().ToolNow(id, now).Stated
	if spec == nil || tool.Low.IsZero() || tool.High.IsZero() {
		return !known
	}
	for _, q := range []unit.Torque{spec.Nominal, spec.Low, spec.High} {
		if !q.IsZero() && (q.In(unit.NewtonMetre) < tool.Low.In(unit.NewtonMetre) || q.In(unit.NewtonMetre) > tool.High.In(unit.NewtonMetre)) {
			return false
		}
	}
	return true
}

// printed offers what the chosen figure prints, to be tapped.
func (t *task) printed(torque, count string) {
	spec, _ := t.snap.Stock().Spec(journal.SpecID(t.start.Get("spec")))
	if spec == nil {
		return
	}
	if !spec.Nominal.IsZero() {
		t.sheet = t.sheet.Offering(torque, t.snap.Shop.Units.SpelledTorque(spec.Nominal)(spec.Nominal))
	}
	if spec.Bolts > 0 {
		t.sheet = t.sheet.Offering(count, strconv.Itoa(spec.Bolts))
	}
}

// bolts is how many bolts of a joint the parts of the corner were stated to have.
func (t *task) bolts(joint string) (n int) {
	for _, p := range partsOf(t.snap, t.subject) {
		has := facts.MakeUp(p)
		if has == nil {
			continue
		}
		for _, j := range has.Joints {
			if journal.Called(j.Joint) == journal.Called(joint) {
				n += j.Bolts
			}
		}
	}
	return n
}
