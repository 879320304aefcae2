package main

import (
	"errors"
	"fmt"
	"strings"
	"time"

	"fettlebook/journal/trade/torque"
	"fettlebook/journal/trade/unit"
)

type figureTorque struct {
	Reading string `arg:"" help:"What the tool was set to or read, such as \"105 N.m\"."`

	Low       entered `group:"Specification" help:"The least torque specified." placeholder:"\"95 N.m\""`
	High      entered `group:"Specification" help:"The greatest torque specified." placeholder:"\"115 N.m\""`
	Nominal   entered `group:"Specification" help:"The torque specified, instead of a least and a greatest." placeholder:"\"105 N.m\""`
	Tolerance entered `group:"Specification" help:"Its tolerance to either side, in torque or in percent." placeholder:"\"10 %\""`
	Assume    entered `group:"Specification" help:"The shop's own tolerance for a torque that is printed without one." placeholder:"\"10 %\""`
	Source    string  `group:"Specification" help:"Where the specification is printed." placeholder:"\"manual, page 31-12\""`

	ToolLow       entered `group:"Tool" help:"The lowest value marked on the tool." placeholder:"\"40 N.m\""`
	ToolHigh      entered `group:"Tool" help:"The highest value marked on it." placeholder:"\"200 N.m\""`
	ToolTolerance entered `group:"Tool" help:"The tolerance on its certificate." placeholder:"\"4 %\""`
	ToolClass     string  `group:"Tool" help:"Its type and class of ISO 6789-1, which tells its tolerance too." placeholder:"\"II A\""`
	Calibrated    string  `group:"Tool" help:"When it was last found good." placeholder:"2026-01-10"`
	Due           string  `group:"Tool" help:"Through which day that holds (default: 12 months)." placeholder:"2027-01-10"`
	Uses          int     `group:"Tool" help:"How often it was used since." placeholder:"N"`
	UsesDue       int     `group:"Tool" help:"For how many uses that holds (default: 5000)." placeholder:"N"`
	Disturbed     string  `group:"Tool" help:"When it was overloaded, dropped or repaired." placeholder:"2026-02-11"`

	Wrench entered `group:"Use" help:"With an adapter: from the tool's drive to the middle of its grip." placeholder:"\"400 mm\""`
	Offset entered `group:"Use" help:"With an adapter: from the tool's drive to the bolt." placeholder:"\"50 mm\""`
	Angle  entered `group:"Use" default:"0" help:"With an adapter: degrees between the two, 0 straight on and 90 square." placeholder:"90"`
	Joint  string  `group:"Use" enum:",bracket,pin,banjo,bleeder,wheel" default:"" help:"What was tightened, to find typing errors: bracket, pin, banjo, bleeder or wheel." placeholder:"banjo"`
	On     string  `group:"Use" help:"The day of use (default: today)." placeholder:"2026-03-02"`
	JSON   bool    `name:"json" help:"Print JSON."`
}

// torqueFigure is the JSON of a tightened bolt. What is not known is left out.
type torqueFigure struct {
	worksheet
	// Result is "inside with guard band", "inside only on the plain reading", "outside" or
	// "not proven".
	Result           string   `json:"result"`
	Plain            string   `json:"plain,omitzero"` // "inside" or "outside", by the reading alone
	ReadingNM        float64  `json:"reading_nm"`
	AtBoltNM         float64  `json:"at_bolt_nm,omitzero"`
	LeastNM          float64  `json:"least_nm,omitzero"` // at the bolt, with the tool's tolerance
	MostNM           float64  `json:"most_nm,omitzero"`
	TolerancePercent float64  `json:"tolerance_percent,omitzero"` // of the tool
	LowNM            float64  `json:"low_nm,omitzero"`            // specified
	HighNM           float64  `json:"high_nm,omitzero"`
	AdapterFactor    float64  `json:"adapter_factor,omitzero"` // reading over torque at the bolt
	SettingNM        float64  `json:"setting_nm,omitzero"`     // of the tool, for the nominal torque at the bolt
	UsedOn           string   `json:"used_on"`                 // the date
	Calibrated       bool     `json:"calibrated"`              // on that day
	CalibrationDue   string   `json:"calibration_due,omitzero"`
	CalibrationUses  int      `json:"calibration_uses,omitzero"` // for which it holds
	NotProven        []string `json:"not_proven"`                // why
}

// Run prints the verdict on a tightened bolt.
func (c *figureTorque) Run(t *terminal) error {
	f, err := c.work(t.Now())
	return answer(t, c.JSON, f, err)
}

func (c *figureTorque) work(now time.Time) (*torqueFigure, error) {
	f := &torqueFigure{worksheet: worksheet{Figure: "torque"}}
	in := intake{worksheet: &f.worksheet}
	use := torque.Use{Reading: quantity(&in, "reading", entered(c.Reading), unit.NewtonMetre, 2), At: now, Joint: jointOf(c.Joint)}
	spec := c.spec(&in)
	tool := c.tool(&in, now.Location())
	if c.Wrench != "" || c.Offset != "" {
		use.Adapter = &torque.Adapter{
			Wrench: quantity(&in, "wrench", c.Wrench, unit.Millimetre, 1),
			Offset: quantity(&in, "offset", c.Offset, unit.Millimetre, 1),
			Angle:  in.number("angle", c.Angle),
		}
	}
	if c.On != "" {
		use.At = in.day("used on", c.On, now.Location())
	}
	in.typed("joint", string(use.Joint))
	if in.err != nil {
		return nil, in.err
	}
	r, err := torque.Judge(use, spec, tool)
	if err != nil {
		return nil, err
	}
	// A figure from a tool that cannot have given it is none, even as not proven.
	if beyond(use.Reading, tool) || !tool.Calibration.On.IsZero() && !r.Validity.OK {
		return nil, errors.New(r.Say())
	}
	f.fill(r)
	if use.Adapter != nil {
		if err := f.adapt(*use.Adapter, spec.Nominal); err != nil {
			return nil, err
		}
	}
	return f, nil
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
	in.typed("tool's class", c.ToolClass)
	return torque.Tool{
		Low:       quantity(in, "tool's lowest", c.ToolLow, unit.NewtonMetre, 2),
		High:      quantity(in, "tool's highest", c.ToolHigh, unit.NewtonMetre, 2),
		Tolerance: quantity(in, "tool's tolerance", c.ToolTolerance, unit.Percent, 1),
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

// beyond reports whether a reading lies outside what is marked on the tool.
func beyond(reading unit.Torque, tool torque.Tool) bool {
	const sameness = 1e-9 // so that nothing hangs on the unit
	nm := reading.In(unit.NewtonMetre)
	return nm < tool.Low.In(unit.NewtonMetre)*(1-sameness) || nm > tool.High.In(unit.NewtonMetre)*(1+sameness)
}

func (f *torqueFigure) fill(r torque.Result) {
	f.Result, f.ReadingNM, f.AtBoltNM = r.Verdict.String(), r.Use.Reading.In(unit.NewtonMetre), r.AtBolt
	f.LeastNM, f.MostNM, f.TolerancePercent = r.From, r.To, r.Percent
	f.LowNM, f.HighNM, f.NotProven = r.Low, r.High, r.Reasons
	f.UsedOn, f.Calibrated, f.CalibrationUses = r.Use.At.Format(time.DateOnly), r.Validity.OK, r.Validity.UsesDue
	f.Formula = []string{"inside when reading ± the tool's tolerance lies inside the specification; a figure that equals its limit is inside"}
	f.result("at the bolt", "%s", unit.Format(r.AtBolt, unit.NewtonMetre, 2))
	if r.Percent > 0 {
		f.result("with the tolerance", "%.2f to %s", r.From, unit.Format(r.To, unit.NewtonMetre, 2))
		f.Limits = append(f.Limits, limit{"tool's tolerance", fmt.Sprintf("±%g %% of reading", r.Percent), r.ToolSource, "--tool-tolerance"})
	}
	if r.High > 0 {
		f.Limits = append(f.Limits, limit{"specified", fmt.Sprintf("%.2f to %s", r.Low, unit.Format(r.High, unit.NewtonMetre, 2)), r.SpecSource, ""})
		f.Plain = "outside"
		if r.Plain == torque.Inside {
			f.Plain = "inside"
		}
		f.result("plain reading", "%s", f.Plain)
	}
	if !r.Validity.Due.IsZero() {
		f.CalibrationDue = r.Validity.Due.Format(time.DateOnly)
		f.Limits = append(f.Limits, limit{"calibration", fmt.Sprintf("through %s and %d uses", f.CalibrationDue, r.Validity.UsesDue), r.Validity.Source, "--due and --uses-due"})
	}
	f.Warnings, f.Verdict = r.Warnings, []string{r.Say()}
}

// adapt says what an adapter changes.
func (f *torqueFigure) adapt(a torque.Adapter, nominal unit.Torque) error {
	var err error
	if f.AdapterFactor, err = a.Factor(); err != nil {
		return err
	}
	f.Formula = append(f.Formula, "reading/bolt = L/(L + E·cos θ), L the wrench, E the adapter, θ between them: equal force on both levers")
	f.result("adapter", "the tool reads %s of the torque at the bolt", percents(f.AdapterFactor))
	if nominal.IsZero() {
		return nil
	}
	if f.SettingNM, err = a.Setting(nominal); err != nil {
		return err
	}
	f.result("set the tool to", "%s for %s at the bolt", unit.Format(f.SettingNM, unit.NewtonMetre, 2), nominal)
	return nil
}
