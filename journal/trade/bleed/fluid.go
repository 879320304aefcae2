package bleed

import (
	"fmt"
	"slices"

	"fettlebook/journal/trade/sheet"
	"fettlebook/journal/trade/unit"
)

// Grade is a brake fluid's grade as on its container. The zero Grade is unknown.
type Grade string

// The grades.
const (
	DOT3       Grade = "DOT 3"
	DOT4       Grade = "DOT 4"
	DOT5       Grade = "DOT 5"
	DOT51      Grade = "DOT 5.1"
	MineralOil Grade = "mineral oil"
)

type (
	// Boiling is the least boiling points that a grade must have, as printed.
	Boiling struct {
		Grade                  Grade
		DryC, DryF, WetC, WetF int
		Base                   string // what the fluid is made of
		Source                 string
		In                     unit.TemperatureUnit // that stands first; °C without
	}

	// Mixing says whether two fluids may meet in one system.
	Mixing struct {
		A, B     Grade
		OK       bool
		Why      string
		Holds    Grade // the grade whose boiling points the mixture can be trusted with; empty when none
		Source   string
		Warnings []string
	}
)

const boilingSource = "49 CFR 571.116 (FMVSS 116), S5.1.1 and S5.1.2; wet is humidified in the test, about 3.7 % water"

// BoilingOf returns the boiling points of a grade. Mineral oil has none in the rule.
// Errors are of type *Error.
func BoilingOf(g Grade) (Boiling, error) {
	b := Boiling{Grade: g, Source: boilingSource}
	switch g {
	case DOT3:
		b.DryC, b.DryF, b.WetC, b.WetF, b.Base = 205, 401, 140, 284, "glycol ether"
	case DOT4:
		b.DryC, b.DryF, b.WetC, b.WetF, b.Base = 230, 446, 155, 311, "glycol ether and borate ester"
	case DOT5:
		b.DryC, b.DryF, b.WetC, b.WetF, b.Base = 260, 500, 180, 356, "silicone"
	case DOT51:
		b.DryC, b.DryF, b.WetC, b.WetF, b.Base = 260, 500, 180, 356, "not silicone"
	case MineralOil:
		return Boiling{}, sheet.Refuse("the fluid", string(g), "FMVSS 116 gives no boiling points for it: take them from its data sheet")
	default:
		return Boiling{}, g.unknown()
	}
	return b, nil
}

func (g Grade) unknown() error {
	return sheet.Refuse("the fluid", fmt.Sprintf("%q", string(g)), "it must be DOT 3, DOT 4, DOT 5, DOT 5.1 or mineral oil: read the cap and the manual")
}

// Say returns the boiling points as one sentence.
func (b Boiling) Say() string {
	if b.In == unit.Fahrenheit {
		return fmt.Sprintf("%s boils at no less than %d °F (%d °C) dry and %d °F (%d °C) wet", b.Grade, b.DryF, b.DryC, b.WetF, b.WetC)
	}
	return fmt.Sprintf("%s boils at no less than %d °C (%d °F) dry and %d °C (%d °F) wet", b.Grade, b.DryC, b.DryF, b.WetC, b.WetF)
}

// Mix says whether fluid of grade b may be filled into a system that holds grade a.
// Errors are of type *Error.
func Mix(a, b Grade) (Mixing, error) {
	glycol := []Grade{DOT3, DOT4, DOT51} // lowest boiling points first
	for _, g := range []Grade{a, b} {
		if !slices.Contains(glycol, g) && g != DOT5 && g != MineralOil {
			return Mixing{}, g.unknown()
		}
	}
	m := Mixing{A: a, B: b, Source: "chemistry of the grades in 49 CFR 571.116; that the lower grade’s boiling points hold is a shop default"}
	inA, inB := slices.Index(glycol, a), slices.Index(glycol, b)
	switch {
	case a == b:
		m.OK, m.Holds, m.Why = true, a, "both are the same grade"
	case a == MineralOil || b == MineralOil:
		m.Why = "mineral oil swells the seals of a brake fluid system, and brake fluid those of a mineral oil system"
	case a == DOT5 || b == DOT5:
		m.Why = "silicone does not mix with the other grades"
	default:
		m.OK, m.Holds, m.Why = true, glycol[min(inA, inB)], "both are made from glycol and mix"
		if inB < inA {
			m.Warnings = append(m.Warnings, fmt.Sprintf("%s boils lower than the %s that the system holds: follow the cap and the manual", b, a))
		}
	}
	return m, nil
}

// Say returns the finding as one sentence.
func (m Mixing) Say() string {
	if m.OK {
		return fmt.Sprintf("%s may be added to %s: %s; reckon with the boiling points of %s", m.B, m.A, m.Why, m.Holds)
	}
	return fmt.Sprintf("%s must not be added to %s: %s", m.B, m.A, m.Why)
}
