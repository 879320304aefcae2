package film

import (
	"fmt"
	"math"

	"fettlebook/journal/trade/sheet"
	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
)

// Plan is how much SSPC-PA 2 measures on a large coated surface.
type Plan struct {
	Areas    int // of 10 m² or 100 ft²
	Spots    int
	Readings int // at least
	Source   string
}

// PlanMetric counts areas of 10 m². Errors are of type *Error.
func PlanMetric(surface unit.Area) (Plan, error) {
	return plan(surface.In(unit.SquareMetre)/10, surface.String())
}

// PlanFeet counts areas of 100 ft². The standard keeps the two systems apart, since 10 m²
// are not 100 ft²: the same large surface may need one area more in feet. Errors are of
// type *Error.
func PlanFeet(squareFeet float64) (Plan, error) {
	return plan(squareFeet/100, fmt.Sprintf("%g ft²", squareFeet))
}

// plan takes the surface in units of one area: each is measured up to three, any three
// up to ten, and one more for each further ten or part of them.
func plan(units float64, shown string) (Plan, error) {
	const most = 1e6
	if !(units > 0 && units <= most) {
		if shown == "" {
			shown = "not entered"
		}
		return Plan{}, sheet.Refuse("the coated surface", shown, "it must be above zero and no more than a workshop can coat: check the number and its unit")
	}
	areas := 3
	switch {
	case units <= 3:
		areas = int(math.Ceil(units))
	case units > 10:
		areas += int(math.Ceil((units - 10) / 10))
	}
	return Plan{
		Areas: areas, Spots: areas * AreaSpots, Readings: areas * AreaSpots * SpotReadings,
		Source: "SSPC-PA 2, as described in public articles",
	}, nil
}

// Say returns the plan as one sentence.
func (p Plan) Say() string {
	return fmt.Sprintf("%s, %s and at least %s", words.Count(p.Areas, "area"), words.Count(p.Spots, "spot"), words.Count(p.Readings, "reading"))
}
