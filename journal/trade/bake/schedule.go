package bake

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"fettlebook/journal/trade/unit"
)

// Point is one point of a bake schedule: a time at metal temperature.
type Point struct {
	Metal unit.Temperature `json:"metal"`
	Hold  unit.Duration    `json:"hold"`
}

// String returns the point as a data sheet has it: "20 min @ 180 °C".
func (p Point) String() string { return p.Hold.String() + " @ " + p.Metal.String() }

func (p Point) celsius() float64 { return p.Metal.In(unit.Celsius) }
func (p Point) minutes() float64 { return p.Hold.In(unit.Minute) }

// Schedule is a data sheet's bake schedule with the line fitted through its points. Make
// it with NewSchedule or ParseSchedule; the zero value is not a schedule.
type Schedule struct {
	points   []Point // coldest first
	slope    float64 // Ea/R in K
	refK     float64 // the hottest point
	refMin   float64 // what the line asks for there
	warnings []Warning
}

// ScheduleRule is a rule that a schedule must keep.
type ScheduleRule string

// The rules of a schedule.
const (
	RuleNoPoints     ScheduleRule = "a schedule needs at least one point"
	RuleWritten      ScheduleRule = "a point must be written as time @ temperature"
	RuleMissing      ScheduleRule = "a point needs a time and a temperature"
	RuleTime         ScheduleRule = "a time must be more than zero"
	RuleAbsoluteZero ScheduleRule = "a temperature must be above absolute zero"
	RuleTemperatures ScheduleRule = "two points must differ in temperature"
	RuleTimes        ScheduleRule = "two points must differ in time"
	RuleHotterFaster ScheduleRule = "a hotter point must ask for less time"
	RuleSteepness    ScheduleRule = "the time must change with temperature as a powder’s can"
)

// ScheduleError says which rule a schedule breaks.
type ScheduleError struct {
	Rule    ScheduleRule
	Value   string // what breaks it, as entered
	Problem string // what is wrong and what to do, as one sentence
	Err     error  // of a quantity that cannot be read, or nil
}

// Error returns the problem behind what it is about.
func (e *ScheduleError) Error() string {
	value := e.Value
	if runes := []rune(value); len(runes) > 80 {
		value = string(runes[:80]) + "…"
	}
	return fmt.Sprintf("schedule %q: %s", value, e.Problem)
}

// Unwrap returns the error of a quantity that cannot be read, a *unit.Error, or nil.
func (e *ScheduleError) Unwrap() error { return e.Err }

// NewSchedule fits a schedule. Two points give the activation energy exactly, more give
// the least-squares line of ln t over 1/T. One point gives a constant rate: then no time
// below it counts in either reading, and being hotter earns nothing extra. Errors are of
// type *ScheduleError.
func NewSchedule(points ...Point) (Schedule, error) {
	s := Schedule{points: slices.Clone(points)}
	for _, p := range s.points {
		if err := p.check(); err != nil {
			return Schedule{}, err
		}
	}
	slices.SortStableFunc(s.points, func(a, b Point) int {
		switch {
		case a.celsius() < b.celsius():
			return -1
		case a.celsius() > b.celsius():
			return 1
		}
		return 0
	})
	if err := s.checkOrder(); err != nil {
		return Schedule{}, err
	}
	s.fit()
	if steepness := s.slope / s.refK; steepness > maxSteepness {
		return Schedule{}, &ScheduleError{Rule: RuleSteepness, Value: s.String(), Problem: fmt.Sprintf(
			"these points give an activation energy of %.0f kJ/mol, which no powder has: check the temperatures and times", s.ActivationEnergy()/1000)}
	}
	s.warn()
	return s, nil
}

// ParseSchedule reads points as a data sheet lists them, with commas or semicolons
// between: "20 min @ 180 °C, 10 min @ 200 °C". Errors are of type *ScheduleError.
func ParseSchedule(text string) (Schedule, error) {
	var points []Point
	for _, item := range strings.FieldsFunc(text, func(r rune) bool { return r == ',' || r == ';' }) {
		if strings.TrimSpace(item) == "" {
			continue
		}
		p, err := parsePoint(strings.TrimSpace(item))
		if err != nil {
			return Schedule{}, err
		}
		points = append(points, p)
	}
	return NewSchedule(points...)
}

func parsePoint(text string) (Point, error) {
	hold, metal, found := strings.Cut(text, "@")
	if !found {
		return Point{}, &ScheduleError{Rule: RuleWritten, Value: text, Problem: "write a point as time @ metal temperature, for example 10 min @ 200 °C"}
	}
	var p Point
	var err error
	if p.Hold, err = unit.Parse[unit.Duration](hold); err == nil {
		p.Metal, err = unit.Parse[unit.Temperature](metal)
	}
	if err != nil {
		return Point{}, &ScheduleError{Rule: RuleWritten, Value: text, Problem: err.Error(), Err: err}
	}
	return p, nil
}

// Points returns the points, coldest first.
func (s Schedule) Points() []Point { return slices.Clone(s.points) }

// Warnings returns what a person should look at in the schedule itself.
func (s Schedule) Warnings() []Warning { return slices.Clone(s.warnings) }

// String lists the points, coldest first, in the form that ParseSchedule reads.
func (s Schedule) String() string { return s.Say(0) }

// Say lists the points with their temperatures in a unit, and as they are printed beside
// it where that is another.
func (s Schedule) Say(in unit.TemperatureUnit) string {
	texts := make([]string, len(s.points))
	for i, p := range s.points {
		texts[i] = p.Hold.String() + " @ " + unit.Printed(p.Metal, in, 1)
	}
	return strings.Join(texts, ", ")
}

// ActivationEnergy returns the effective activation energy in J/mol; it is 0 for a
// schedule of one point.
func (s Schedule) ActivationEnergy() float64 { return s.slope * GasConstant }

// Required returns the minutes that the fitted line asks for at a metal temperature. It
// extrapolates without limit; the readings of a trace do not.
func (s Schedule) Required(celsius float64) float64 {
	return s.refMin * math.Exp(s.slope*(1/kelvin(celsius)-1/s.refK))
}

// Most returns the schedule fraction that a data sheet allows at most, which says so as
// the longest times at metal temperatures.
func (s Schedule) Most(longest ...Point) Limit {
	most := Limit{Value: math.Inf(1), Unit: "schedules", Source: DataSheet}
	for _, p := range longest {
		most.Value = min(most.Value, p.minutes()/s.Required(p.celsius()))
	}
	if len(longest) == 0 {
		return Limit{}
	}
	return most
}

func (s Schedule) lowest() float64  { return s.points[0].celsius() }
func (s Schedule) highest() float64 { return s.points[len(s.points)-1].celsius() }
