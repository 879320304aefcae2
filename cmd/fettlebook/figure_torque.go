package main

import (
	"errors"
	"strings"
	"time"

	"fettlebook/journal/trade/sheet"
	"fettlebook/journal/trade/torque"
	"fettlebook/journal/trade/unit"
)

type figureTorque struct {
	Reading string `arg:"" help:"What the tool was set to or read, such as \"105 N·m\"."`

	Low       entered `group:"Specification" help:"The least torque specified." placeholder:"\"95 N·m\""`
	High      entered `group:"Specification" help:"The greatest torque specified." placeholder:"\"115 N·m\""`
	Nominal   entered `group:"Specification" help:"The torque specified, instead of a least and a greatest." placeholder:"\"105 N·m\""`
	Tolerance entered `group:"Specification" help:"Its tolerance to either side, as a torque or in per cent." placeholder:"\"10 %\""`
	Assume    entered `group:"Specification" help:"The shop’s own tolerance for a torque that is printed without one." placeholder:"\"10 %\""`
	Source    string  `group:"Specification" help:"Where the specification is printed." placeholder:"\"manual, page 31-12\""`

	ToolLow       entered `group:"Tool" help:"The lowest value marked on the tool." placeholder:"\"40 N·m\""`
	ToolHigh      entered `group:"Tool" help:"The highest value marked on it." placeholder:"\"200 N·m\""`
	ToolTolerance entered `group:"Tool" help:"The tolerance on its certificate." placeholder:"\"4 %\""`
	ToolClass     string  `group:"Tool" help:"Its type and class to ISO 6789-1, which also gives its tolerance." placeholder:"\"II A\""`
	Calibrated    string  `group:"Tool" help:"When it was last found good." placeholder:"2026-01-10"`
	Due           string  `group:"Tool" help:"Through which day that holds (default: 12 months)." placeholder:"2027-01-10"`
	Uses          int     `group:"Tool" help:"How often it has been used since." placeholder:"N"`
	UsesDue       int     `group:"Tool" help:"For how many uses that holds (default: 5000)." placeholder:"N"`
	Disturbed     string  `group:"Tool" help:"When it was overloaded, dropped or repaired." placeholder:"2026-02-11"`

	Wrench entered `group:"Use" help:"With an adapter: from the tool’s drive to the middle of its grip." placeholder:"\"400 mm\""`
	Offset entered `group:"Use" help:"With an adapter: from the tool’s drive to the bolt." placeholder:"\"50 mm\""`
	Angle  entered `group:"Use" default:"0" help:"With an adapter: degrees between the two, 0 straight on and 90 square." placeholder:"90"`
	Joint  string  `group:"Use" enum:",bracket,pin,banjo,bleeder,wheel" default:"" help:"What was tightened, to find typing errors: bracket, pin, banjo, bleeder or wheel." placeholder:"banjo"`
	On     string  `group:"Use" help:"The day of use (default: today)." placeholder:"2026-03-02"`
	JSON   bool    `name:"json" help:"Print JSON."`
}

// Run prints the verdict on a tightened bolt.
func (c *figureTorque) Run(t *terminal) error {
	return t.figure("torque", c.JSON, func(in *intake) (sheet.Sheet, error) { return c.work(in, t.Now()) })
}

func (c *figureTorque) work(in *intake, now time.Time) (sheet.Sheet, error) {
	use := torque.Use{Reading: quantity(in, "reading", entered(c.Reading), unit.NewtonMetre, 2), At: now, Joint: jointOf(c.Joint)}
	spec := c.spec(in)
	tool := c.tool(in, now.Location())
	if c.Wrench != "" || c.Offset != "" {
		use.Adapter = &torque.Adapter{
			Wrench: quantity(in, "wrench", c.Wrench, unit.Millimetre, 1),
			Offset: quantity(in, "offset", c.Offset, unit.Millimetre, 1),
			Angle:  in.number("angle", c.Angle),
		}
	}
	if c.On != "" {
		use.At = in.day("used on", c.On, now.Location())
	}
	in.typed("joint", string(use.Joint))
	r, err := torque.Judge(use, spec, tool)
	// A figure from a tool that cannot have given it is none, even as not proven.
	if err == nil && (r.Beyond || !tool.Calibration.On.IsZero() && !r.Validity.OK) {
		err = errors.New(r.Say())
	}
	return r.Sheet(), err
}

func (c *figureTorque) spec(in *intake) torque.Spec {
	s := torque.Spec{
		Low:     quantity(in, "low", c.Low, unit.NewtonMetre, 2),
		High:    quantity(in, "high", c.High, unit.NewtonMetre, 2),
		Nominal: quantity(in, "nominal", c.Nominal, unit.NewtonMetre, 2),
		Source:  c.Source,
	}
	if strings.HasSuffix(strings.TrimSpace(string(c.Tolerance)), "%") {
		s.Percent = quantity(in, "tolerance", c.Tolerance, unit.Percent, 1)
	} else {
		s.Tolerance = quantity(in, "tolerance", c.Tolerance, unit.NewtonMetre, 2)
	}
	s.Assume = quantity(in, "assumed tolerance", c.Assume, unit.Percent, 1)
	return s
}

func (c *figureTorque) tool(in *intake, zone *time.Location) torque.Tool {
	in.typed("tool’s class", c.ToolClass)
	return torque.Tool{
		Low:       quantity(in, "tool’s lowest", c.ToolLow, unit.NewtonMetre, 2),
		High:      quantity(in, "tool’s highest", c.ToolHigh, unit.NewtonMetre, 2),
		Tolerance: quantity(in, "tool’s tolerance", c.ToolTolerance, unit.Percent, 1),
		Class:     torque.Class(strings.ToUpper(c.ToolClass)),
		Calibration: torque.Calibration{
			On:        in.day("calibrated", c.Calibrated, zone),
			Due:       in.day("due", c.Due, zone),
			Disturbed: in.day("disturbed", c.Disturbed, zone),
			Uses:      c.Uses,
			UsesDue:   c.UsesDue,
		},
	}
}

func jointOf(word string) torque.Joint {
	return map[string]torque.Joint{
		"bracket": torque.BracketBolt, "pin": torque.GuidePin, "banjo": torque.Banjo, "bleeder": torque.Bleeder, "wheel": torque.WheelNut,
	}[word]
}
