package journal

import (
	"fmt"
	"slices"

	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
)

// The payloads of the brake bench: rebuild, refit, torque, bleed, hand over.
type (
	// Rebuild is the data of part.rebuilt.
	Rebuild struct {
		NewParts  []Item   `json:"new_parts,omitempty"` // seals, boots …
		Lubricant string   `json:"lubricant,omitzero"`
		Kits      []KitID  `json:"kits,omitempty" since:"2"`   // out of which they came
		Fitted    []Fitted `json:"fitted,omitempty" since:"2"` // those that came out of none
		Evidence
	}

	// SeatProof is the data of seat.proved. Seats are named, or counted since
	// version 2: of two bolt seats one may be bare and the other not.
	SeatProof struct {
		Seats []string  `json:"seats,omitempty"` // bolt seats, banjo face, pad lands …
		Shown []Item    `json:"shown,omitempty"` // the same, counted
		State SeatState `json:"state"`
		Evidence
	}

	// Refitting is the data of part.refitted.
	Refitting struct {
		Bleeder BleederAt `json:"bleeder,omitzero"`
		Evidence
	}

	// Washers is the data of washer.replaced.
	Washers struct {
		Joint    string         `json:"joint"`
		Count    int            `json:"count"`
		Material WasherMaterial `json:"material"`
		Size     string         `json:"size,omitzero"`
		Kit      KitID          `json:"kit,omitzero" since:"2"` // out of which they came
		Evidence
	}

	// LineOpening is the data of line.opened. What was bled before is
	// bled again.
	LineOpening struct {
		At    string    `json:"at"`
		Joins LineJoint `json:"joins,omitzero" since:"2"` // how the line joins there
		Evidence
	}

	// LineConnection is the data of line.connected.
	LineConnection struct {
		At string `json:"at"`
		Evidence
	}

	// Torque is the data of torque.applied: a torque, a torque and then an
	// angle, or an angle alone, on one bolt or on several at once.
	Torque struct {
		Joint   string      `json:"joint"`
		Torque  unit.Torque `json:"torque,omitzero"` // as set or read, as typed
		Tool    ToolID      `json:"tool,omitzero"`   // of the torque
		Spec    SpecID      `json:"spec,omitzero"`
		Adapter *Adapter    `json:"adapter,omitzero"`
		Count   int         `json:"count,omitzero"` // equal bolts of the joint
		Pattern Pattern     `json:"pattern,omitzero"`
		Marked  bool        `json:"marked,omitzero"` // a paint line across head and seat

		Turned   int         `json:"turned,omitzero" since:"2"`    // degrees after that torque, or from snug
		TurnedBy AngleBy     `json:"turned_by,omitzero" since:"2"` // how the angle was known
		Bolt     string      `json:"bolt,omitzero" since:"2"`      // which one, of an entry for one
		NewBolts bool        `json:"new_bolts,omitzero" since:"2"` // not used before
		Thread   ThreadState `json:"thread,omitzero" since:"2"`
		Evidence
	}

	// Adapter is an offset end on a torque wrench, which changes what the
	// bolt gets.
	Adapter struct {
		Wrench unit.Length `json:"wrench"` // drive to the middle of the grip
		Offset unit.Length `json:"offset"` // drive to the bolt
		Angle  int         `json:"angle"`  // degrees between them
	}

	// Reservoir is the data of reservoir.topped. Level is a share of the way
	// from MIN to MAX.
	Reservoir struct {
		Before unit.Ratio  `json:"before"`
		After  unit.Ratio  `json:"after"`
		Added  unit.Volume `json:"added,omitzero"`
		Fluid  FluidID     `json:"fluid,omitzero"`
		RanDry bool        `json:"ran_dry,omitzero"`        // air was drawn in; everything starts over
		Span   unit.Volume `json:"span,omitzero" since:"2"` // from MIN to MAX, measured or printed
		Evidence
	}

	// Bleed is the data of bleed.done.
	Bleed struct {
		Fluid   FluidID     `json:"fluid"`
		Drawn   unit.Volume `json:"drawn"`
		Bubbles Bubbles     `json:"bubbles"`
		Screw   unit.Torque `json:"screw,omitzero"`
		Tool    ToolID      `json:"tool,omitzero"`
		ByHand  bool        `json:"by_hand,omitzero" since:"2"` // the screw was closed by hand feel; the maker gives no figure
		Whole   bool        `json:"whole,omitzero" since:"2"`   // the fluid of the whole system is being changed
		Screws  int         `json:"screws,omitzero" since:"2"`  // bleeder screws of the corner that were bled, one after the other; 1 if left out
		Which   string      `json:"which,omitzero" since:"2"`   // the one that was bled, of several: "inner"
		Evidence
	}

	// ParkingBrake is the data of parkbrake.serviced.
	ParkingBrake struct {
		State   ParkingBrakeState `json:"state"`
		Battery unit.Voltage      `json:"battery,omitzero"`
		LampOff bool              `json:"lamp_off,omitzero"`
		Evidence
	}

	// LeakCheck is the data of leak.checked.
	LeakCheck struct {
		Held   unit.Duration `json:"held"`
		Result Tightness     `json:"result"`
		Evidence
	}

	// PedalCheck is the data of pedal.checked.
	PedalCheck struct {
		Feel PedalFeel `json:"feel"`
		Evidence
	}

	// WheelFit is the data of wheel.fitted.
	WheelFit struct {
		Step    WheelStep   `json:"step"`
		Nuts    int         `json:"nuts"`
		Pattern Pattern     `json:"pattern"`
		Torque  unit.Torque `json:"torque"`
		Tool    ToolID      `json:"tool"`
		Spec    SpecID      `json:"spec,omitzero" since:"2"` // the vehicle's figure
		Evidence
	}

	// RoadTest is the data of road.tested.
	RoadTest struct {
		Distance unit.Distance `json:"distance"`
		Result   string        `json:"result"`
		Evidence
	}

	// Release is the data of vehicle.released.
	Release struct {
		Odometer unit.Distance `json:"odometer,omitzero"`
		Told     []string      `json:"told,omitempty"`              // what the customer was told
		Advised  []Advice      `json:"advised,omitempty" since:"2"` // of what everybody is told
		Sheet    string        `json:"sheet,omitzero" since:"2"`    // that was handed over, with its edition
		Evidence
	}
)

func (*Rebuild) Kind() Kind        { return PartRebuilt }
func (*SeatProof) Kind() Kind      { return SeatProved }
func (*Refitting) Kind() Kind      { return PartRefitted }
func (*Washers) Kind() Kind        { return WasherReplaced }
func (*LineOpening) Kind() Kind    { return LineOpened }
func (*LineConnection) Kind() Kind { return LineConnected }
func (*Torque) Kind() Kind         { return TorqueApplied }
func (*Reservoir) Kind() Kind      { return ReservoirTopped }
func (*Bleed) Kind() Kind          { return BleedDone }
func (*ParkingBrake) Kind() Kind   { return ParkbrakeServiced }
func (*LeakCheck) Kind() Kind      { return LeakChecked }
func (*PedalCheck) Kind() Kind     { return PedalChecked }
func (*WheelFit) Kind() Kind       { return WheelFitted }
func (*RoadTest) Kind() Kind       { return RoadTested }
func (*Release) Kind() Kind        { return VehicleReleased }

func (p *Rebuild) Say() string {
	return words.Clauses("rebuilt", words.Fill("new: %s", items(p.NewParts)), words.Fill("lubricant %s", p.Lubricant), words.Fill("out of kit %s", words.And(p.Kits...)), words.Fill("fitted: %s", fitted(p.Fitted)))
}

// News names the parts that went in new, counted or not.
func (p *Rebuild) News() (names []string) {
	for _, n := range p.NewParts {
		names = append(names, n.What)
	}
	for _, f := range p.Fitted {
		names = append(names, f.What)
	}
	return names
}

func (p *SeatProof) Say() string {
	return fmt.Sprintf("seats %s: %s", p.State, items(p.Counted()))
}

func (p *Refitting) Say() string {
	return "refitted" + words.Choose(p.Bleeder == NoBleeder, " (this part has no bleeder screw)", words.Fill("; bleeder screw %s", p.Bleeder))
}

func (p *Washers) Say() string {
	return words.Clauses(fmt.Sprintf("%s at %s: %s", words.Count(p.Count, "new washer"), p.Joint, p.Material), p.Size, words.Fill("out of kit %s", p.Kit))
}

func (p *LineOpening) Say() string {
	return words.Clauses("hydraulics opened at "+p.At, words.Fill("joins by %s", p.Joins))
}

func (p *LineConnection) Say() string { return "hydraulics closed at " + p.At }

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

func (p *Reservoir) Say() string {
	return words.Clauses(fmt.Sprintf("fluid %s of the way from MIN to MAX, then %s", p.Before, p.After), words.Given("added %s", p.Added), words.Fill("from %s", p.Fluid),
		words.If(p.RanDry, "ran dry: air was drawn in"), words.Given("%s from MIN to MAX", p.Span))
}

func (p *Bleed) Say() string {
	return words.Clauses(fmt.Sprintf("bled %s of %s", p.Drawn, p.Fluid)+p.at(), fmt.Sprintf("bubbles at the end: %s", p.Bubbles),
		words.Given("bleeder screw %s", p.Screw)+words.Fill(" with %s", p.Tool), words.If(p.ByHand, "bleeder screw closed by hand, as the maker gives no figure"),
		words.If(p.Whole, "the fluid of the whole system is being changed"))
}

// at says at which bleeder screws, as far as somebody wrote it.
func (p *Bleed) at() string {
	if p.Which != "" {
		return " at the " + p.Which + " bleeder screw"
	}
	return words.If(p.Screws > 0, " at "+words.Count(p.Screws, "bleeder screw"))
}

// LineJoint is how a brake line joins where it was opened.
type LineJoint = Choice[lineJoints]

type lineJoints struct{}

func (lineJoints) words() []string { return written(JoinsByBanjo, JoinsByFlare, JoinsByBleeder) }

// The words of [LineJoint].
const (
	JoinsByBanjo   LineJoint = "banjo with washers"
	JoinsByFlare   LineJoint = "flare nut"
	JoinsByBleeder LineJoint = "bleeder screw"
)

func (p *ParkingBrake) Say() string {
	return words.Clauses(fmt.Sprintf("parking brake: %s", p.State), words.Given("battery %s", p.Battery), words.If(p.LampOff, "lamp off"))
}

func (p *LeakCheck) Say() string {
	return words.Clauses(fmt.Sprintf("brake pedal held down for %s", p.Held), words.Choose(p.Result == Dry, "all joints dry", words.Fill("a joint is %s", p.Result)))
}

func (p *PedalCheck) Say() string { return fmt.Sprintf("pedal %s", p.Feel) }

func (p *WheelFit) Say() string {
	return words.Clauses(fmt.Sprintf("wheel on: %s", p.Step), fmt.Sprintf("%s on %s with %s", p.Torque, words.Count(p.Nuts, "nut"), p.Tool), fmt.Sprintf("pattern %s", p.Pattern), words.Fill("figure %s", p.Spec))
}

func (p *RoadTest) Say() string { return fmt.Sprintf("driven %s: %s", p.Distance, p.Result) }

func (p *Release) Say() string {
	return words.Clauses("handed back", words.Given("odometer %s", p.Odometer), words.Fill("advice given: %s", words.Commas(p.Advised...)), words.Fill("customer told: %s", words.Commas(p.Told...)), words.Fill("sheet handed over: %s", p.Sheet))
}

// Counted returns the seats with their numbers: one of each that is only named.
func (s *SeatProof) Counted() []Item {
	list := slices.Clone(s.Shown)
	for _, name := range s.Seats {
		if !slices.ContainsFunc(s.Shown, func(i Item) bool { return Called(i.What) == Called(name) }) {
			list = append(list, Item{What: name, Count: 1})
		}
	}
	return list
}

func (s *SeatProof) check(p *problems) {
	p.counted("shown", s.Shown)
	if len(s.Seats)+len(s.Shown) == 0 {
		p.missing("shown")
	}
}

func (r *Rebuild) check(p *problems)  { distinct(p, "kits", r.Kits) }
func (w *Washers) check(p *problems)  { p.least("count", w.Count, 1) }
func (w *WheelFit) check(p *problems) { p.least("nuts", w.Nuts, 1) }
func (r *Release) check(p *problems)  { distinct(p, "advised", r.Advised) }

func (b *Bleed) check(p *problems) {
	if p.least("screws", b.Screws, 0); b.Which != "" && b.Screws > 1 {
		p.add("which", Clash, "one bleeder screw is named and %d are counted; write an entry for each, or leave its name out", b.Screws)
	}
}

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

// SeatState is how seats looked before assembly.
type SeatState = Choice[seatStates]

type seatStates struct{}

func (seatStates) words() []string {
	return written(SeatBare, FilmCutAway, FilmLeft)
}

// The words of [SeatState].
const (
	SeatBare    SeatState = "bare"
	FilmCutAway SeatState = "film cut away"
	FilmLeft    SeatState = "film left"
)

// BleederAt is where the bleeder sits on the fitted caliper. Air collects at
// the top; a bleeder below cannot let it out.
type BleederAt = Choice[bleederPlaces]

type bleederPlaces struct{}

func (bleederPlaces) words() []string {
	return written(BleederUp, BleederDown, NoBleeder)
}

// The words of [BleederAt].
const (
	BleederUp   BleederAt = "up"
	BleederDown BleederAt = "down"
	NoBleeder   BleederAt = "none"
)

// WasherMaterial is what a sealing washer is made of.
type WasherMaterial = Choice[washerMaterials]

type washerMaterials struct{}

func (washerMaterials) words() []string {
	return written(CopperWasher, AluminiumWasher, BondedSeal, OtherWasher)
}

// The words of [WasherMaterial].
const (
	CopperWasher    WasherMaterial = "copper"
	AluminiumWasher WasherMaterial = "aluminium"
	BondedSeal      WasherMaterial = "bonded seal"
	OtherWasher     WasherMaterial = "other"
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

// Bubbles is what came out of a bleeder at the end.
type Bubbles = Choice[bubbles]

type bubbles struct{}

func (bubbles) words() []string {
	return written(NoBubbles, SomeBubbles, ManyBubbles)
}

// The words of [Bubbles].
const (
	NoBubbles   Bubbles = "none"
	SomeBubbles Bubbles = "some"
	ManyBubbles Bubbles = "many"
)

// ParkingBrakeState is a step of servicing a parking brake.
type ParkingBrakeState = Choice[parkingBrakeStates]

type parkingBrakeStates struct{}

func (parkingBrakeStates) words() []string {
	return written(ServiceModeOn, ServiceModeOff, Calibrated, Adjusted)
}

// The words of [ParkingBrakeState].
const (
	ServiceModeOn  ParkingBrakeState = "service mode on"
	ServiceModeOff ParkingBrakeState = "service mode off"
	Calibrated     ParkingBrakeState = "calibrated"
	Adjusted       ParkingBrakeState = "adjusted" // of a cable or a drum
)

// Tightness is the result of a leak check.
type Tightness = Choice[tightnesses]

type tightnesses struct{}

func (tightnesses) words() []string {
	return written(Dry, Weeping, Leaking)
}

// The words of [Tightness].
const (
	Dry     Tightness = "dry"
	Weeping Tightness = "weeping"
	Leaking Tightness = "leaking"
)

// PedalFeel is how the pedal felt.
type PedalFeel = Choice[pedalFeels]

type pedalFeels struct{}

func (pedalFeels) words() []string {
	return written(PedalFirm, PedalSoft, PedalSinking)
}

// The words of [PedalFeel].
const (
	PedalFirm    PedalFeel = "firm"
	PedalSoft    PedalFeel = "soft"
	PedalSinking PedalFeel = "sinking"
)

// Advice is what a customer is told at handover, whoever it is.
type Advice = Choice[advices]

type advices struct{}

func (advices) words() []string {
	return written(FilmCare, FirstDays, NutsAgain, PadsBedIn, FirstDrop, PedalChange)
}

// The words of [Advice].
const (
	FilmCare    Advice = "care of the film: no acid or alkaline wheel cleaner, no pressure washer close to it"
	FirstDays   Advice = "first days: no wax, no car wash and no road salt on the film"
	NutsAgain   Advice = "have the wheel nuts tightened again after the distance that the sheet says"
	PadsBedIn   Advice = "brake gently until the pads have bedded in"
	FirstDrop   Advice = "stop and call at the first drop of fluid"
	PedalChange Advice = "stop and call if the pedal travels further than today"
)
