// Package torque says whether a bolt was tightened to its specification, and how far
// that is proven.
//
// It promises that "inside with guard band" is said only when the reading, with the
// tool's whole tolerance to either side, lies inside the specification; that the plain
// reading is always judged beside it; that a figure which is printed without limits, or
// with an angle, is judged by a convention that the sentence names, and never said to be
// inside the maker's limits; and that what was not recorded counts as not
// proven: a tool outside its range or past its date, an adapter without its lengths, a
// specification without a source.
//
//	result, err := torque.Judge(torque.Use{Reading: set, At: when}, spec, tool)
//	result.Verdict // torque.Inside
//	result.Say()   // "105 N.m is inside 95.0 N·m to 115.0 N·m with the tool's ±4 % to either side …"
//
// Figures in results are in newton metres; sentences are in the units of the use, or in
// the unit of the reading where it names none.
package torque

import (
	"cmp"
	"errors"
	"math"
	"time"

	"fettlebook/journal/trade/sheet"
	"fettlebook/journal/trade/unit"
)

type (
	// Use is one tightening.
	Use struct {
		Reading unit.Torque // as set on the tool or read from it
		At      time.Time
		Adapter *Adapter // nil when the socket sat on the tool's own drive
		Joint   Joint    // optional, to find typing errors
		Turned  float64  // degrees that the bolt was turned on by after that
		Units   unit.System
	}

	// Result is a verdict with all of its figures, in N·m.
	Result struct {
		Use        Use
		Verdict    Verdict
		Plain      Verdict // Inside or Outside by the reading alone; zero when unknown
		AtBolt     float64 // what the bolt got; 0 when the adapter's lengths are unknown
		Percent    float64 // the tool's tolerance; 0 when unknown
		From, To   float64 // AtBolt with the tolerance to either side
		Low, High  float64 // of the specification; 0 when there is none
		Nearest    bool    // low and high are the tool's own tolerance about a figure that is printed without limits
		Angle      float64 // degrees that are printed; 0 when none are
		Factor     float64 // reading over torque at the bolt, with an adapter; else 0
		Nominal    unit.Torque
		Setting    float64 // of the tool with its adapter, for the nominal torque at the bolt; 0 when unknown
		Beyond     bool    // the reading lies outside what is marked on the tool
		Validity   Validity
		Reasons    []string // why it is not proven
		Spec       Spec
		SpecSource string
		ToolSource string // of the tolerance
		Warnings   []string
	}
)

// Error says why figures cannot be used.
type Error = sheet.Error

// Judge compares one tightening with its specification. What is missing makes the
// verdict NotProven; what contradicts itself is an error of type *Error.
func Judge(use Use, spec Spec, tool Tool) (Result, error) {
	r := Result{Use: use, Spec: spec, SpecSource: spec.Source, Angle: spec.Angle}
	switch {
	case spec.angleAlone() && use.Turned > 0:
	case !(use.Reading.In(unit.NewtonMetre) > 0):
		return Result{}, sheet.Refuse("the reading", sheet.Typed(use.Reading), "the torque of a tightened bolt must be above zero: write what was set or read")
	case use.At.IsZero():
		return Result{}, sheet.Refuse("the time of use", "not entered", "without it, it is not known whether the tool was in date: write when it was used")
	}
	if spec.angleAlone() {
		if spec.Source == "" {
			r.doubt("%s", ErrNoSource)
		}
	} else if err := cmp.Or(r.findSpec(spec), r.findBolt(spec.Nominal), r.findTolerance(tool), r.checkTool(tool)); err != nil {
		return Result{}, err
	}
	r.findNearest(spec)
	if r.Angle > 0 && !(use.Turned > 0) {
		r.doubt("the figure asks for a further %g°, and no angle is on record", r.Angle)
	}
	r.conclude()
	r.Warnings = append(r.Warnings, slips(use, spec, r)...)
	return r, nil
}

// doubt adds a reason why nothing is proven.
func (r *Result) doubt(format string, args ...any) {
	r.Reasons = append(r.Reasons, r.Use.Units.Writing.Sprintf(format, args...))
}

func (r *Result) findSpec(spec Spec) error {
	limits, err := spec.Limits()
	switch {
	case errors.Is(err, ErrNoLimits): // see findNearest
	case missing(err):
		r.doubt("%s", err)
	case err != nil:
		return err
	default:
		r.Low, r.High = limits.Low, limits.High
		if limits.Assumed {
			r.Warnings = append(r.Warnings, r.Use.Units.Writing.Sprintf("the specification %s has no tolerance: the shop’s own ±%g %% is taken, which is not from its source", spec.Nominal, limits.Percent))
		}
	}
	return nil
}

// findNearest sets the range of a figure that is printed without limits: as near to it as
// the tool can be set.
func (r *Result) findNearest(spec Spec) {
	if _, err := spec.Limits(); !errors.Is(err, ErrNoLimits) {
		return
	}
	if r.Percent == 0 {
		r.doubt("%s", ErrNoLimits)
		return
	}
	near := percent(spec.Nominal.In(unit.NewtonMetre), r.Percent)
	r.Low, r.High, r.Nearest, r.Nominal = near.Low, near.High, true, spec.Nominal
}

func (r *Result) findBolt(nominal unit.Torque) (err error) {
	r.AtBolt = r.Use.Reading.In(unit.NewtonMetre)
	if r.Use.Adapter == nil {
		return nil
	}
	if r.Use.Adapter.IsZero() {
		r.AtBolt = 0
		r.doubt("an adapter was used and its lengths were not recorded, so nobody knows what the bolt got")
		return nil
	}
	if r.Factor, err = r.Use.Adapter.Factor(); err != nil {
		return err
	}
	r.AtBolt /= r.Factor
	if !nominal.IsZero() {
		r.Nominal, r.Setting = nominal, nominal.In(unit.NewtonMetre)*r.Factor
	}
	r.Warnings = append(r.Warnings, "the tool’s tolerance does not cover errors in the adapter’s lengths: measure them well")
	return nil
}

func (r *Result) findTolerance(tool Tool) error {
	percent, source, err := tool.Permissible()
	switch {
	case missing(err):
		r.doubt("%s", err)
	case err != nil:
		return err
	default:
		r.Percent, r.ToolSource = percent, source
		r.From, r.To = r.AtBolt*(1-percent/100), r.AtBolt*(1+percent/100)
	}
	return nil
}

// checkTool looks at the tool's range, which holds for its own reading whatever sits on
// its drive, and at its calibration.
func (r *Result) checkTool(tool Tool) error {
	reading := r.Use.Reading.In(unit.NewtonMetre)
	low, high := tool.Low.In(unit.NewtonMetre), tool.High.In(unit.NewtonMetre)
	r.Beyond = sheet.Below(reading, low) || sheet.Above(reading, high)
	switch {
	case tool.Low.IsZero() || tool.High.IsZero():
		r.doubt("the tool’s range is not recorded: write its lowest and highest marked values")
	case !(low < high):
		return sheet.Refuse("the tool’s range", tool.Low.String()+" to "+tool.High.String(), "the lowest marked value must be below the highest: check both and their units")
	case sheet.Below(reading, low):
		r.doubt("%s is below the tool’s lowest marked value, %s, where its tolerance no longer holds", r.reading(), r.printed(tool.Low))
	case sheet.Above(reading, high):
		r.doubt("%s is above the tool’s highest marked value, %s", r.reading(), r.printed(tool.High))
	}
	if r.Validity = tool.Calibration.At(r.Use.At); !r.Validity.OK {
		r.doubt("%s", r.Validity.Told)
	}
	return nil
}

// angleWithin is how far in degrees an angle may be off by convention: by a gauge or by
// marks nobody turns a bolt more exactly.
const angleWithin = 5.0

// turnedAsPrinted reports whether the bolt was turned on by what is printed, which is
// nothing where no angle is.
func (r *Result) turnedAsPrinted() bool {
	if r.Angle > 0 {
		return math.Abs(r.Use.Turned-r.Angle) <= angleWithin
	}
	return r.Use.Turned == 0
}

func (r *Result) conclude() {
	guarded := false
	if r.High > 0 && r.AtBolt > 0 {
		r.Plain = Outside
		if !sheet.Below(r.AtBolt, r.Low) && !sheet.Above(r.AtBolt, r.High) {
			r.Plain = Inside
		}
		guarded = !sheet.Below(r.From, r.Low) && !sheet.Above(r.To, r.High)
	}
	switch {
	case len(r.Reasons) > 0:
		r.Verdict = NotProven
	case r.Plain == Outside || !r.turnedAsPrinted():
		r.Verdict = Outside
	case r.Nearest || r.Angle > 0:
		r.Verdict = AsPrinted
	case guarded:
		r.Verdict = Inside
	default:
		r.Verdict = InsidePlain
	}
}
