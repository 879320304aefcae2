package journal

import (
	"fmt"

	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
)

// The payloads of what is tightened: joints and wheels.
type (
	// Torque is the data of torque.applied: a torque, a torque and then an
	// angle, or an angle alone, on one bolt or on several at once.
	Torque struct {
		Joint   string      `json:"joint"`
		Torque  unit.Torque `json:"torque,omitzero" span:"torque"` // as set or read, as typed
		Tool    ToolID      `json:"tool,omitzero"`                 // of the torque
		Spec    SpecID      `json:"spec,omitzero"`
		Adapter *Adapter    `json:"adapter,omitzero"`
		Count   int         `json:"count,omitzero" span:"bolts"` // equal bolts of the joint
		Pattern Pattern     `json:"pattern,omitzero"`
		Marked  bool        `json:"marked,omitzero"` // a paint line across head and seat

		Turned   int         `json:"turned,omitzero" since:"2" span:"turn"` // degrees after that torque, or from snug
		TurnedBy AngleBy     `json:"turned_by,omitzero" since:"2"`          // how the angle was known
		Bolt     string      `json:"bolt,omitzero" since:"2"`               // which one, of an entry for one
		NewBolts bool        `json:"new_bolts,omitzero" since:"2"`          // not used before
		Thread   ThreadState `json:"thread,omitzero" since:"2"`
		Evidence
	}

	// Adapter is an offset end on a torque wrench, which changes what the
	// bolt gets.
	Adapter struct {
		Wrench unit.Length `json:"wrench" span:"lever"` // drive to the middle of the grip
		Offset unit.Length `json:"offset" span:"lever"` // drive to the bolt
		Angle  int         `json:"angle" span:"bend"`   // degrees between them
	}

	// WheelFit is the data of wheel.fitted.
	WheelFit struct {
		Step    WheelStep   `json:"step"`
		Nuts    int         `json:"nuts" span:"nuts"`
		Pattern Pattern     `json:"pattern"`
		Torque  unit.Torque `json:"torque" span:"torque"`
		Tool    ToolID      `json:"tool"`
		Spec    SpecID      `json:"spec,omitzero" since:"2"` // the vehicle's figure
		Evidence
	}
)

func (*Torque) Kind() Kind   { return TorqueApplied }
func (*WheelFit) Kind() Kind { return WheelFitted }

// Say reads "27 N.m on banjo bolt with tw-1", or "30 N.m and 90° …".
func (p *Torque) Say() string {
	got := p.Torque.String()
	if p.Turned > 0 {
		got = words.Fill("%s and ", got) + fmt.Sprintf("%d°", p.Turned)
	}
	offset := ""
	if a := p.Adapter; a != nil {
		offset = fmt.Sprintf("offset end %s at %d° on a wrench of %s", a.Offset, a.Angle, a.Wrench)
	}
	return words.Clauses(fmt.Sprintf("%s on %s", got, p.Joint)+words.Fill(" with %s", p.Tool), words.If(p.Count > 1, words.Count(p.Count, "bolt")),
		words.Fill("%s bolt", p.Bolt), words.Fill("angle by %s", p.TurnedBy), words.If(p.NewBolts, "bolts new"), words.Fill("threads %s", p.Thread),
		words.Fill("pattern %s", p.Pattern), words.Fill("figure %s", p.Spec), offset, words.If(p.Marked, "paint line drawn"))
}

func (p *WheelFit) Say() string {
	return words.Clauses(fmt.Sprintf("wheel on: %s", p.Step), fmt.Sprintf("%s on %s with %s", p.Torque, words.Count(p.Nuts, "nut"), p.Tool), fmt.Sprintf("pattern %s", p.Pattern), words.Fill("figure %s", p.Spec))
}

func (w *WheelFit) check(p *problems) { p.least("nuts", w.Nuts, 1) }

// MostTurned is the largest angle in degrees that a bolt is turned by.
const MostTurned = 720

func (t *Torque) check(p *problems) {
	p.least("count", t.Count, 0)
	p.turn("turned", t.Turned)
	switch {
	case t.Torque.IsZero() && t.Turned == 0:
		p.missing("torque")
	case !t.Torque.IsZero() && t.Tool == "":
		p.missing("tool")
	}
	if t.Bolt != "" && t.Count > 1 {
		p.add("bolt", Clash, "one bolt is named and %d are counted; write an entry for each bolt, or leave its name out", t.Count)
	}
}

// turn checks an angle in degrees.
func (p *problems) turn(path string, degrees int) {
	if p.least(path, degrees, 0); degrees > MostTurned {
		p.add(path, TooMany, "%d° is too much: a bolt is turned by at most %d° after its torque", degrees, MostTurned)
	}
}

// AngleBy is how the angle is known by which a bolt was turned.
type AngleBy = Choice[anglesBy]

type anglesBy struct{}

func (anglesBy) words() []string { return written(AngleGauge, AngleMarks) }

// The words of [AngleBy].
const (
	AngleGauge AngleBy = "angle gauge"
	AngleMarks AngleBy = "marks"
)

// ThreadState is how threads were when a bolt was tightened: the same torque
// pulls an oiled bolt tighter than a dry one.
type ThreadState = Choice[threadStates]

type threadStates struct{}

func (threadStates) words() []string { return written(ThreadDry, ThreadOiled, ThreadLocked) }

// The words of [ThreadState].
const (
	ThreadDry    ThreadState = "clean and dry"
	ThreadOiled  ThreadState = "oiled"
	ThreadLocked ThreadState = "with thread lock"
)

// Pattern is the order in which equal bolts were tightened.
type Pattern = Choice[patterns]

type patterns struct{}

func (patterns) words() []string {
	return written(StarPattern, CrossPattern, InTurn)
}

// The words of [Pattern].
const (
	StarPattern  Pattern = "star"
	CrossPattern Pattern = "cross"
	InTurn       Pattern = "in turn"
)

// WheelStep is one of the two steps of fitting a wheel.
type WheelStep = Choice[wheelSteps]

type wheelSteps struct{}

func (wheelSteps) words() []string {
	return written(WheelSnug, WheelFull)
}

// The words of [WheelStep].
const (
	WheelSnug WheelStep = "snug, wheel off the ground"
	WheelFull WheelStep = "full, wheel on the ground"
)
