package bake

import (
	"fmt"
	"math"

	"fettlebook/journal/trade/unit"
)

const (
	// Effective energies of sheets lie at 40-65 kJ/mol and those of laboratories below
	// 130, from memory; outside this range a figure of the sheet was probably misread.
	leastEnergy, mostEnergy = 20e3, 200e3 // J/mol

	// maxSteepness bounds Ea/(R·T_ref), at most about 50 for any powder, so that no
	// temperature can make a rate overflow.
	maxSteepness = 500
)

// check looks at one point alone. Comparisons are written so that a NaN fails them.
func (p Point) check() error {
	refuse := func(rule ScheduleRule, problem string) error {
		return &ScheduleError{Rule: rule, Value: p.String(), Problem: problem}
	}
	switch k, t := kelvin(p.celsius()), p.minutes(); {
	case p.Metal.IsZero():
		return refuse(RuleMissing, "the metal temperature is missing: a point needs a time and a temperature")
	case p.Hold.IsZero():
		return refuse(RuleMissing, "the time is missing: a point needs a time and a temperature")
	case !(k > 0) || math.IsInf(k, 0):
		return refuse(RuleAbsoluteZero, p.Metal.String()+" is not above absolute zero: check the temperature")
	case !(t > 0) || math.IsInf(t, 0):
		return refuse(RuleTime, p.Hold.String()+" is not a time to bake: it must be more than zero")
	}
	return nil
}

// checkOrder compares each point with the next hotter one.
func (s Schedule) checkOrder() error {
	if len(s.points) == 0 {
		return &ScheduleError{Rule: RuleNoPoints, Problem: "no point is given: write for example 20 min @ 180 °C, 10 min @ 200 °C"}
	}
	for i, hot := range s.points[1:] {
		cold := s.points[i]
		refuse := func(rule ScheduleRule, format string, args ...any) error {
			return &ScheduleError{Rule: rule, Value: cold.String() + ", " + hot.String(), Problem: fmt.Sprintf(format, args...)}
		}
		switch {
		case cold.celsius() == hot.celsius():
			return refuse(RuleTemperatures, "two points are at %s: two points must differ in temperature", hot.Metal)
		case cold.minutes() == hot.minutes():
			return refuse(RuleTimes, "%s is asked for at both %s and %s: two points must differ in time, so leave the hotter one out", hot.Hold, cold.Metal, hot.Metal)
		case cold.minutes() < hot.minutes():
			return refuse(RuleHotterFaster, "%s asks for %s, longer than the %s at %s: a hotter point must ask for less time, so check for a mix-up", hot.Metal, hot.Hold, cold.Hold, cold.Metal)
		}
	}
	return nil
}

// fit lays the line of ln t over 1/T through the points by least squares.
func (s *Schedule) fit() {
	n := float64(len(s.points))
	var meanX, meanY float64
	for _, p := range s.points {
		meanX += 1 / kelvin(p.celsius()) / n
		meanY += math.Log(p.minutes()) / n
	}
	var sxx, sxy float64
	for _, p := range s.points {
		dx := 1/kelvin(p.celsius()) - meanX
		sxx += dx * dx
		sxy += dx * (math.Log(p.minutes()) - meanY)
	}
	if sxx > 0 && n > 1 {
		s.slope = sxy / sxx
	}
	s.refK = kelvin(s.highest())
	s.refMin = math.Exp(meanY + s.slope*(1/s.refK-meanX))
}

func (s *Schedule) warn() {
	add := func(kind WarningKind, format string, args ...any) {
		s.warnings = append(s.warnings, Warning{Kind: kind, Says: fmt.Sprintf(format, args...)})
	}
	rules := DefaultRules()
	for _, p := range s.points {
		switch c := p.celsius(); {
		case p.Metal.Unit() == unit.Celsius && rules.looksFahrenheit(c):
			add(WarnFahrenheit, "the schedule’s %s looks like °F written as °C: check the unit on the data sheet", p.Metal)
		case c > rules.Suspect.Value:
			add(WarnSuspect, "the schedule’s %s is above %s, hotter than powder is baked: check the data sheet", p.Metal, unit.Short(rules.Suspect.Value, unit.Celsius, p.Metal.Unit(), 1))
		}
	}
	switch ea := s.ActivationEnergy(); {
	case len(s.points) == 1:
		add(WarnOnePoint, "the schedule has one point only, so time below %s counts for nothing and hotter metal earns nothing extra", s.points[0].Metal)
	case ea < leastEnergy || ea > mostEnergy:
		add(WarnEnergy, "the schedule’s activation energy of %.1f kJ/mol is outside %.0f to %.0f kJ/mol: check its temperatures and times", ea/1000, leastEnergy/1000, mostEnergy/1000)
	}
}
