package journal

import (
	"fmt"
	"strings"
	"time"

	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
)

// The payloads of the shop's register. Only the hub writes these.
type (
	// Shop is the data of shop.founded.
	Shop struct {
		Shop ShopID `json:"shop"`
		Name string `json:"name"`
		// LogKey verifies the hub's own log, CosignKey its countersignatures;
		// both in the verifier form of a signed note.
		LogKey    string `json:"log_key"`
		CosignKey string `json:"cosign_key"`
		Evidence
	}

	// Invitation is the data of device.invited. The token itself is on the
	// paper or screen that is shown to the tablet, never in the log.
	Invitation struct {
		Token   Digest `json:"token"` // SHA-256 of the token
		Expires Stamp  `json:"expires"`
		Name    string `json:"name,omitzero"` // what the tablet is to be called
		Evidence
	}

	// Device is the data of device.enrolled.
	Device struct {
		Device     DeviceID `json:"device"`
		Name       string   `json:"name"`
		LogKey     string   `json:"log_key"`     // verifies the device's checkpoints
		ConnectKey string   `json:"connect_key"` // public nkey of its connection
		Invitation EntryID  `json:"invitation"`
		Replaces   DeviceID `json:"replaces,omitzero"` // the log this one follows after a rollback
		Evidence
	}

	// Revocation is the data of device.revoked. What the device wrote up to
	// then stays in the record.
	Revocation struct {
		Device DeviceID `json:"device"`
		Reason string   `json:"reason"`
		Evidence
	}

	// ForkFound is the data of device.forked: two signed checkpoints that
	// cannot both be true. Both are kept, word for word.
	ForkFound struct {
		Device DeviceID `json:"device"`
		Held   string   `json:"held"`
		Shown  string   `json:"shown"`
		Evidence
	}

	// Person is the data of person.added. The person's full name is not in
	// the log; who wants it kept writes a card.
	Person struct {
		Person   PersonID `json:"person"`
		Initials string   `json:"initials"` // as pressed into a stamp
		Duties   []Duty   `json:"duties,omitempty"`
		Card     CardID   `json:"card,omitzero"`
		Evidence
	}

	// Retirement is the data of person.retired.
	Retirement struct {
		Person PersonID `json:"person"`
		Evidence
	}

	// RouteCard is the data of route.published.
	RouteCard struct {
		Route   RouteID `json:"route"`
		Edition int     `json:"edition"`                    // from 1
		Text    string  `json:"text"`                       // the card as written
		Because EntryID `json:"because,omitzero" since:"2"` // the investigation that the change came out of
		Evidence
	}

	// PowderLot is the data of powder.received.
	PowderLot struct {
		Lot       LotID       `json:"lot"`
		Chemistry Chemistry   `json:"chemistry"`
		Colour    string      `json:"colour"`
		Mass      unit.Mass   `json:"mass,omitzero"`
		Schedule  []BakePoint `json:"schedule,omitempty"` // as on the data sheet
		Most      []BakePoint `json:"most,omitempty"`     // the longest that the sheet allows
		FilmLow   unit.Length `json:"film_low,omitzero"`
		FilmHigh  unit.Length `json:"film_high,omitzero"`
		Sheet     string      `json:"sheet,omitzero"` // name and revision of the data sheet
		UseBy     Date        `json:"use_by,omitzero"`
		Opened    Date        `json:"opened,omitzero"`  // the box
		Storage   string      `json:"storage,omitzero"` // how it is kept: "dry cabinet, below 25 °C"
		Evidence
	}

	// BakePoint is one point of a bake schedule: time at metal temperature.
	BakePoint struct {
		Metal unit.Temperature `json:"metal"`
		Hold  unit.Duration    `json:"hold"`
	}

	// FluidContainer is the data of fluid.opened.
	FluidContainer struct {
		Fluid  FluidID     `json:"fluid"`
		Grade  FluidGrade  `json:"grade"`
		Volume unit.Volume `json:"volume,omitzero"`
		Batch  string      `json:"batch,omitzero"`
		UseBy  Date        `json:"use_by,omitzero"`
		Opened Date        `json:"opened,omitzero" since:"2"` // if not on the day of the entry
		Evidence
	}

	// Tool is the data of tool.registered.
	Tool struct {
		Tool      ToolID      `json:"tool"`
		What      ToolKind    `json:"what"`
		Serial    string      `json:"serial,omitzero"`
		Low       unit.Torque `json:"low,omitzero"` // lowest marked value of a torque tool
		High      unit.Torque `json:"high,omitzero"`
		Tolerance unit.Ratio  `json:"tolerance,omitzero"` // of reading, such as 4 %
		Evidence
	}

	// ToolCheck is the data of tool.checked.
	ToolCheck struct {
		Tool        ToolID      `json:"tool"`
		Result      CheckResult `json:"result"`
		Certificate string      `json:"certificate,omitzero"`
		Due         Date        `json:"due,omitzero"`    // when the next check is due
		Cycles      int         `json:"cycles,omitzero"` // or after this many uses
		Evidence
	}

	// TorqueSpec is the data of spec.recorded: a joint's figure as printed for
	// one bolt, and where it is printed: a nominal figure with or without a
	// tolerance, a range, an angle after either, or an angle from snug. A
	// figure without a source is refused.
	TorqueSpec struct {
		Spec    SpecID      `json:"spec"`
		Joint   string      `json:"joint"`
		Nominal unit.Torque `json:"nominal,omitzero"`
		Low     unit.Torque `json:"low,omitzero"`
		High    unit.Torque `json:"high,omitzero"`
		From    SpecSource  `json:"from"`
		Page    string      `json:"page,omitzero"`

		Tolerance unit.Torque `json:"tolerance,omitzero" since:"2"`  // printed with the nominal figure
		General   unit.Ratio  `json:"general,omitzero" since:"2"`    // the manual's for all figures without one of their own
		Angle     int         `json:"angle,omitzero" since:"2"`      // degrees to turn on by
		Bolts     int         `json:"bolts,omitzero" since:"2"`      // how many the joint has
		SingleUse bool        `json:"single_use,omitzero" since:"2"` // its bolts are used once only
		Thread    ThreadState `json:"thread,omitzero" since:"2"`     // for which the figure holds
		Evidence
	}

	// ClockReading is the data of clock.compared. Offset is the device's
	// clock minus the hub's; RoundTrip bounds the error of the comparison.
	ClockReading struct {
		Device      DeviceID `json:"device"`
		OffsetMs    int64    `json:"offset_ms"`
		RoundTripMs int64    `json:"round_trip_ms"`
		Evidence
	}

	// LogNote is the data of logs.noted: from an entry of the device's log on,
	// counted from 0, its entries say what their writer had seen.
	LogNote struct {
		Device DeviceID `json:"device"`
		From   int64    `json:"from"`
		Evidence
	}

	// LogClosing is the data of logs.closed: of a device that was revoked, or
	// showed two histories, only so many entries count. Of two histories they
	// are those that both have.
	LogClosing struct {
		Device DeviceID `json:"device"`
		Counts int64    `json:"counts"`
		Evidence
	}

	// LogParting is the data of logs.parted: the hub was brought back from an
	// older copy and wrote on, so its log has two histories. So many entries
	// are common to both. This one goes on.
	LogParting struct {
		Device DeviceID `json:"device"`
		Common int64    `json:"common"`
		Evidence
	}
)

func (*Shop) Kind() Kind           { return ShopFounded }
func (*Invitation) Kind() Kind     { return DeviceInvited }
func (*Device) Kind() Kind         { return DeviceEnrolled }
func (*Revocation) Kind() Kind     { return DeviceRevoked }
func (*ForkFound) Kind() Kind      { return DeviceForked }
func (*Person) Kind() Kind         { return PersonAdded }
func (*Retirement) Kind() Kind     { return PersonRetired }
func (*RouteCard) Kind() Kind      { return RoutePublished }
func (*PowderLot) Kind() Kind      { return PowderReceived }
func (*FluidContainer) Kind() Kind { return FluidOpened }
func (*Tool) Kind() Kind           { return ToolRegistered }
func (*ToolCheck) Kind() Kind      { return ToolChecked }
func (*TorqueSpec) Kind() Kind     { return SpecRecorded }
func (*ClockReading) Kind() Kind   { return ClockCompared }
func (*LogNote) Kind() Kind        { return LogsNoted }
func (*LogClosing) Kind() Kind     { return LogsClosed }
func (*LogParting) Kind() Kind     { return LogsParted }

func (p *Shop) Say() string { return fmt.Sprintf("the journal of %s was started", p.Name) }

func (p *Invitation) Say() string {
	return fmt.Sprintf("a tablet%s may join until %s", words.Fill(" called %s", p.Name), p.Expires)
}

func (p *Device) Say() string {
	return words.Clauses(fmt.Sprintf("tablet %s joined as %s", p.Device, p.Name), words.Fill("in place of %s", p.Replaces))
}

func (p *Revocation) Say() string {
	return fmt.Sprintf("tablet %s was revoked: %s", p.Device, p.Reason)
}

func (p *ForkFound) Say() string {
	return fmt.Sprintf("the log of %s has two histories; both are kept", p.Device)
}

func (p *Person) Say() string {
	return words.Clauses(fmt.Sprintf("%s works here", p.Person), words.Fill("stamp %s", p.Initials), words.Fill("authorised for: %s", words.Commas(p.Duties...)), words.Fill("card %s", p.Card))
}

func (p *Retirement) Say() string { return fmt.Sprintf("%s no longer works here", p.Person) }

func (p *RouteCard) Say() string {
	return words.Clauses(fmt.Sprintf("route card %s, edition %d, is in force from now on", p.Route, p.Edition), words.If(!p.Because.IsZero(), "it came out of an investigation"))
}

func (p *PowderLot) Say() string {
	return words.Clauses(fmt.Sprintf("powder lot %s received: %s", p.Lot, p.Colour), string(p.Chemistry), p.Mass.String(), words.Fill("schedule %s, metal temperature", p.Printed()), words.Fill("at most %s, metal temperature", points(p.Most)),
		words.Fill("film %s", words.Span(p.FilmLow, p.FilmHigh)), words.Fill("as on %s", p.Sheet), words.Fill("use by %s", p.UseBy), words.Fill("opened on %s", p.Opened), words.Fill("stored: %s", p.Storage))
}

func (p *FluidContainer) Say() string {
	return words.Clauses(fmt.Sprintf("fluid container %s opened: %s", p.Fluid, p.Grade), p.Volume.String(), words.Fill("batch %s", p.Batch), words.Fill("use by %s", p.UseBy), words.Fill("open since %s", p.Opened))
}

func (p *Tool) Say() string {
	return words.Clauses(fmt.Sprintf("%s put into use: %s", p.Tool, p.What), words.Fill("serial %s", p.Serial), words.Span(p.Low, p.High), words.Given("±%s", p.Tolerance))
}

func (p *ToolCheck) Say() string {
	return words.Clauses(fmt.Sprintf("%s checked: %s", p.Tool, p.Result), words.Fill("certificate %s", p.Certificate),
		words.Fill("next check %s", p.Due), words.If(p.Cycles > 0, fmt.Sprintf("or after %s", words.Count(p.Cycles, "use"))))
}

func (p *TorqueSpec) Say() string {
	return words.Clauses(fmt.Sprintf("figure %s for %s: %s", p.Spec, p.Joint, p.Printed()), words.If(!p.Nominal.IsZero(), words.Span(p.Low, p.High)),
		words.Given("±%s", p.Tolerance), words.Given("±%s by the manual's general tolerance", p.General), words.If(p.Bolts > 0, words.Count(p.Bolts, "bolt")),
		words.If(p.SingleUse, "bolts used once only"), words.Fill("threads %s", p.Thread), string(p.From), words.Fill("page %s", p.Page))
}

// Printed writes the figure as it is printed: "30 N.m and 90°", "20 N.m to 24
// N.m".
func (p *TorqueSpec) Printed() string {
	printed := p.Nominal.String()
	if printed == "" {
		printed = words.Span(p.Low, p.High)
	}
	if p.Angle > 0 {
		printed = words.Fill("%s and ", printed) + fmt.Sprintf("%d°", p.Angle)
	}
	return printed
}

func (p *TorqueSpec) check(found *problems) {
	if p.Nominal.IsZero() && (p.Low.IsZero() || p.High.IsZero()) && p.Angle == 0 {
		found.missing("nominal")
	}
	if p.Nominal.IsZero() && (!p.Tolerance.IsZero() || !p.General.IsZero()) {
		found.add("nominal", Clash, "a tolerance is one of a nominal figure; write that too")
	}
	found.turn("angle", p.Angle)
	found.least("bolts", p.Bolts, 0)
}

func (p *ClockReading) Say() string {
	return fmt.Sprintf("clock of %s against the hub's: %s, round trip %s", p.Device, p.Ahead(), p.Within())
}

func (p *LogNote) Say() string {
	return fmt.Sprintf("from entry %d on, tablet %s says in each entry what it had seen", p.From+1, p.Device)
}

func (p *LogClosing) Say() string {
	if p.Counts == 0 {
		return fmt.Sprintf("nothing in the log of tablet %s counts", p.Device)
	}
	return fmt.Sprintf("the log of tablet %s counts up to its entry %d", p.Device, p.Counts)
}

func (p *LogParting) Say() string {
	return fmt.Sprintf("the hub's log %s has two histories with their first %s in common; this one goes on", p.Device, words.Count(int(p.Common), "entry"))
}

// Ahead is how far the device's clock was before the hub's: "+3.120 s".
func (c *ClockReading) Ahead() string { return words.If(c.OffsetMs >= 0, "+") + seconds(c.OffsetMs) }

// Within bounds how far off the comparison may be: "0.045 s".
func (c *ClockReading) Within() string { return seconds(c.RoundTripMs) }

// Printed writes the schedule as the data sheet has it.
func (p *PowderLot) Printed() string { return points(p.Schedule) }

// points writes the points of a bake: "10 min at 200 °C or 15 min at 190 °C".
func points(list []BakePoint) string {
	var said []string
	for _, b := range list {
		said = append(said, fmt.Sprintf("%s at %s", b.Hold, b.Metal))
	}
	return strings.Join(said, " or ")
}

// Duty is what a person may do in the shop, and as what the person works in it:
// at the bench, as the one who looks a second time, at the desk, as its owner.
type Duty = Choice[duties]

type duties struct{}

func (duties) words() []string {
	return written(BenchDuty, DeskDuty, SecondCheckDuty, WaiveDuty, ReleaseDuty, OwnerDuty)
}

// The words of [Duty].
const (
	BenchDuty       Duty = "bench"
	DeskDuty        Duty = "desk"
	SecondCheckDuty Duty = "second check"
	WaiveDuty       Duty = "waive"
	ReleaseDuty     Duty = "release"
	OwnerDuty       Duty = "owner" // of the shop; it holds no other duty by itself
)

// Chemistry is a powder's binder.
type Chemistry = Choice[chemistries]

type chemistries struct{}

func (chemistries) words() []string {
	return written(PolyesterTGIC, PolyesterHAA, Epoxy, EpoxyPolyester, Polyurethane, Acrylic, ZincRichEpoxy, ChemistryNotStated)
}

// The words of [Chemistry].
const (
	PolyesterTGIC      Chemistry = "polyester/TGIC"
	PolyesterHAA       Chemistry = "polyester/HAA"
	Epoxy              Chemistry = "epoxy"
	EpoxyPolyester     Chemistry = "epoxy-polyester"
	Polyurethane       Chemistry = "polyurethane"
	Acrylic            Chemistry = "acrylic"
	ZincRichEpoxy      Chemistry = "zinc-rich epoxy"
	ChemistryNotStated Chemistry = "not stated"
)

// FluidGrade is a brake fluid's grade as on its container.
type FluidGrade = Choice[fluidGrades]

type fluidGrades struct{}

func (fluidGrades) words() []string {
	return written(DOT3, DOT4, DOT5, DOT51, MineralOil)
}

// The words of [FluidGrade].
const (
	DOT3       FluidGrade = "DOT 3"
	DOT4       FluidGrade = "DOT 4"
	DOT5       FluidGrade = "DOT 5"
	DOT51      FluidGrade = "DOT 5.1"
	MineralOil FluidGrade = "mineral oil"
)

// ToolKind is what a tool or gauge is.
type ToolKind = Choice[toolKinds]

type toolKinds struct{}

func (toolKinds) words() []string {
	return written(TorqueWrench, TorqueScrewdriver, FilmGauge, Thermocouple, InfraredThermometer, DataRecorder, Oven, BlastCabinet, PressureGauge, OtherTool, AirDryer, AirFilter, PowderBooth)
}

// The words of [ToolKind].
const (
	TorqueWrench        ToolKind = "torque wrench"
	TorqueScrewdriver   ToolKind = "torque screwdriver"
	FilmGauge           ToolKind = "film gauge"
	Thermocouple        ToolKind = "thermocouple"
	InfraredThermometer ToolKind = "infrared thermometer"
	DataRecorder        ToolKind = "data recorder"
	Oven                ToolKind = "oven"
	BlastCabinet        ToolKind = "blast cabinet"
	PressureGauge       ToolKind = "pressure gauge"
	OtherTool           ToolKind = "other"
	AirDryer            ToolKind = "air dryer"
	AirFilter           ToolKind = "air filter"
	PowderBooth         ToolKind = "powder booth"
)

// CheckResult is what a check of a tool showed.
type CheckResult = Choice[checkResults]

type checkResults struct{}

func (checkResults) words() []string {
	return written(InTolerance, OutOfTolerance, AdjustedWasOut, BrokenTool)
}

// The words of [CheckResult].
const (
	InTolerance    CheckResult = "in tolerance"
	OutOfTolerance CheckResult = "out of tolerance"
	AdjustedWasOut CheckResult = "adjusted, was out"
	BrokenTool     CheckResult = "broken"
)

// SpecSource is where a figure is printed.
type SpecSource = Choice[specSources]

type specSources struct{}

func (specSources) words() []string {
	return written(FromManual, FromLabel, FromCustomer)
}

// The words of [SpecSource].
const (
	FromManual   SpecSource = "maker's manual"
	FromLabel    SpecSource = "label"
	FromCustomer SpecSource = "supplied by customer"
)

// Date is a calendar day, 2026-03-02.
type Date string

// UnmarshalText checks the day.
func (d *Date) UnmarshalText(text []byte) error {
	if _, err := time.Parse(time.DateOnly, string(text)); err != nil {
		return fmt.Errorf("%.20q is not a day such as 2026-03-02", text)
	}
	*d = Date(text)
	return nil
}

// IsZero reports whether no day is set.
func (d Date) IsZero() bool { return d == "" }

func (r *RouteCard) check(p *problems) {
	p.least("edition", r.Edition, 1)
}
