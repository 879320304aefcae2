package journal

import (
	"fmt"
	"slices"
	"strings"

	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
)

// The payloads of tools, and of the figures that joints are tightened by.
type (
	// Tool is the data of tool.registered.
	Tool struct {
		Tool      ToolID      `json:"tool"`
		What      ToolKind    `json:"what"`
		Serial    string      `json:"serial,omitzero"`
		Low       unit.Torque `json:"low,omitzero" span:"tool torque"` // lowest marked value of a torque tool
		High      unit.Torque `json:"high,omitzero" span:"tool torque"`
		Tolerance unit.Ratio  `json:"tolerance,omitzero" span:"share"` // of reading, such as 4 %
		Evidence
	}

	// ToolCheck is the data of tool.checked.
	ToolCheck struct {
		Tool        ToolID      `json:"tool"`
		Result      CheckResult `json:"result"`
		Certificate string      `json:"certificate,omitzero"`
		Due         Date        `json:"due,omitzero"`                // when the next check is due
		Cycles      int         `json:"cycles,omitzero" span:"uses"` // or after this many uses
		Evidence
	}

	// TorqueSpec is the data of spec.recorded: a joint's figure as printed for
	// one bolt, and where it is printed: a nominal figure with or without a
	// tolerance, a range, an angle after either, or an angle from snug. A
	// figure without a source is refused. A figure may name the vehicles that
	// it was looked up for; one that names none says nothing of it.
	TorqueSpec struct {
		Spec    SpecID      `json:"spec"`
		Joint   string      `json:"joint"`
		Nominal unit.Torque `json:"nominal,omitzero" span:"torque"`
		Low     unit.Torque `json:"low,omitzero" span:"torque"`
		High    unit.Torque `json:"high,omitzero" span:"torque"`
		From    SpecSource  `json:"from"`
		Page    string      `json:"page,omitzero"`

		Tolerance unit.Torque `json:"tolerance,omitzero" since:"2" span:"tolerance"` // printed with the nominal figure
		General   unit.Ratio  `json:"general,omitzero" since:"2" span:"share"`       // the manual's for all figures without one of their own
		Angle     int         `json:"angle,omitzero" since:"2" span:"turn"`          // degrees to turn on by
		Bolts     int         `json:"bolts,omitzero" since:"2" span:"bolts"`         // how many the joint has
		SingleUse bool        `json:"single_use,omitzero" since:"2"`                 // its bolts are used once only
		Thread    ThreadState `json:"thread,omitzero" since:"2"`                     // for which the figure holds

		Fits []string `json:"fits,omitempty" since:"3"` // vehicles that it is for, as the shop calls their make-up
		VINs []string `json:"vins,omitempty" since:"3"` // or by their VINs, or by how these begin
		Evidence
	}
)

func (*Tool) Kind() Kind       { return ToolRegistered }
func (*ToolCheck) Kind() Kind  { return ToolChecked }
func (*TorqueSpec) Kind() Kind { return SpecRecorded }

func (p *Tool) Say() string {
	return words.Clauses(fmt.Sprintf("%s put into use: %s", p.Tool, p.What), words.Fill("serial %s", p.Serial), words.Span(p.Low, p.High), words.Given("±%s", p.Tolerance))
}

func (p *ToolCheck) Say() string {
	return words.Clauses(fmt.Sprintf("%s checked: %s", p.Tool, p.Result), words.Fill("certificate %s", p.Certificate),
		words.Fill("next check %s", p.Due.Said(p.writing)), words.If(p.Cycles > 0, fmt.Sprintf("or after %s", words.Count(p.Cycles, "use"))))
}

func (p *TorqueSpec) Say() string {
	return words.Clauses(fmt.Sprintf("figure %s for %s: %s", p.Spec, p.Joint, p.Printed()), words.If(!p.Nominal.IsZero(), words.Span(p.Low, p.High)),
		words.Given("±%s", p.Tolerance), words.Given("±%s by the manual’s general tolerance", p.General), words.If(p.Bolts > 0, words.Count(p.Bolts, "bolt")),
		words.If(p.SingleUse, "bolts used once only"), words.Fill("threads %s", p.Thread), string(p.From), words.Fill("page %s", p.Page), words.Fill("for %s", p.Vehicles()))
}

// typeOfVIN is how much of a VIN tells what a vehicle is: the characters behind
// these tell which one it is. ISO 3779 has the maker in the first three, and what
// describes the vehicle in those after them, up to the ninth; many makers have a
// check digit there.
const typeOfVIN = 8

// Vehicles names the vehicles that the figure was looked up for, "" if it names
// none. Of a VIN it has no more than what the vehicle is: a figure is cited in the
// records of others.
func (p *TorqueSpec) Vehicles() string {
	var list []string
	for _, name := range p.Fits {
		list = append(list, "“"+name+"”")
	}
	for _, number := range p.VINs {
		if said := "VIN " + number[:min(typeOfVIN, len(number))] + "…"; !slices.Contains(list, said) {
			list = append(list, said)
		}
	}
	return words.And(list...)
}

// Printed writes the figure as it is printed: "30 N.m and 90°", "20 N.m to 24
// N.m".
func (p *TorqueSpec) Printed() string { return p.printed(unit.Torque.String) }

// In writes the figure as it is printed with the usual spelling of its units, and
// those of the shop beside others.
func (p *TorqueSpec) In(units unit.System) string {
	return p.printed(units.SpelledTorque(p.Nominal, p.High))
}

func (p *TorqueSpec) printed(say func(unit.Torque) string) string {
	printed := say(p.Nominal)
	if printed == "" {
		printed = words.Between(say(p.Low), say(p.High))
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
	for i, name := range p.Fits {
		if words.Squash(name) == "" { // what names nothing would fit nothing
			found.missing(row("fits", i))
		}
	}
	distinct(found, "fits", p.Fits)
	for i, number := range p.VINs {
		if !beginsVIN(number) {
			found.add(row("vins", i), Clash, "write the whole VIN or at least its first %d characters, without spaces", typeOfVIN)
		}
	}
	distinct(found, "vins", p.VINs)
}

// beginsVIN reports whether a text is the beginning of a VIN that tells what the
// vehicle is. Older vehicles have numbers of other lengths, with letters that ISO
// 3779 has in none.
func beginsVIN(text string) bool {
	return len(text) >= typeOfVIN && !strings.ContainsFunc(text, func(r rune) bool {
		return !('A' <= r && r <= 'Z' || 'a' <= r && r <= 'z' || '0' <= r && r <= '9')
	})
}

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
