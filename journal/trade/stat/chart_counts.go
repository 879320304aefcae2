package stat

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// fewExpected is the expected count below which three-sigma limits mislead and exact
// limits take their place: common practice.
const fewExpected = 5

// exactLimits notes on how many points limits of that distribution stand in.
func (c *Chart) exactLimits(points int, distribution string) {
	switch points {
	case 0:
		return
	case len(c.Points):
		c.Method = fmt.Sprintf("%s with exact %s limits", c.Kind, distribution)
	default:
		c.Method = fmt.Sprintf("%s with three-sigma and exact %s limits", c.Kind, distribution)
	}
	c.guard(fmt.Sprintf("on %d of %d points fewer than %d are expected: three-sigma limits would mislead, so exact %s limits with the same chance stand in",
		points, len(c.Points), fewExpected, distribution))
}

// PChart charts the share of parts with the defect in samples of any size. The samples at
// the indexes leaveOut do not help to set the limits, but are judged by them. Where a
// sample expects fewer than five parts with, or without, the defect its limits are exact
// binomial ones. Errors are of type *Error.
func PChart(samples []Sample, leaveOut ...int) (Chart, error) {
	chart := Chart{Kind: P, Basis: Basis{
		Method: "p-chart with three-sigma limits",
		Source: "NIST/SEMATECH e-Handbook 6.3.3.2",
	}}
	helps, err := chart.baseline(len(samples), leaveOut)
	if err != nil {
		return Chart{}, err
	}
	var all Sample
	for i, s := range samples {
		if err := s.check(false); err != nil {
			return Chart{}, err
		}
		if helps[i] {
			all.Defects += s.Defects
			all.Parts += s.Parts
		}
	}
	if all.Defects == 0 {
		return Chart{}, refuse(ErrNoDefects, "%v", all)
	}
	p := all.Rate()
	chart.Centre = p
	exact := 0
	for i, s := range samples {
		n := float64(s.Parts)
		point := Point{Name: s.Name, Value: s.Rate(), LeftOut: !helps[i]}
		if n*min(p, 1-p) < fewExpected {
			exact++
			low, high := binomialLimits(s.Parts, p)
			point.Low, point.High = float64(low)/n, float64(high)/n
		} else {
			reach := 3 * math.Sqrt(p*(1-p)/n)
			point.Low, point.High = max(0, p-reach), min(1, p+reach)
		}
		chart.Points = append(chart.Points, point)
	}
	chart.exactLimits(exact, "binomial")
	chart.mark()
	last := samples[len(samples)-1].Parts
	chart.quiet(total(samples), func(rate float64, above int) float64 {
		return distuv.Binomial{N: float64(last), P: rate}.Survival(float64(above))
	}, float64(last), 1)
	return chart, nil
}

func total(samples []Sample) (defects int) {
	for _, s := range samples {
		defects += s.Defects
	}
	return defects
}

// quiet finds the multiple of the usual rate at which a point of the size of the last one
// lies above its upper limit four times in five, if any rate up to most does.
func (c *Chart) quiet(defects int, above func(rate float64, count int) float64, size, most float64) {
	c.Quiet.Defects = defects
	limit := int(math.Floor(c.Points[len(c.Points)-1].High*size*(1+rounding) + rounding))
	short := func(rate float64) float64 { return above(rate, limit) - wantedPower }
	if c.Quiet.Blind = short(most) < 0; c.Quiet.Blind {
		return
	}
	c.Quiet.Fold = bisect(short, c.Centre, most) / c.Centre
}

// binomialLimits returns the lowest and highest count of n that are in: beyond each lies
// at most the chance beyond a three-sigma limit.
func binomialLimits(n int, p float64) (low, high int) {
	if p > 0.5 { // count the good parts instead, which are few
		low, high = binomialLimits(n, 1-p)
		return n - high, n - low
	}
	if p == 0 {
		return 0, 0
	}
	return countLimits(distuv.Binomial{N: float64(n), P: p}.CDF)
}

// countLimits searches the two limits from the chance of a count or fewer.
func countLimits(atMost func(float64) float64) (low, high int) {
	for atMost(float64(low)) <= threeSigma {
		low++
	}
	high = low
	for 1-atMost(float64(high)) > threeSigma {
		high++
	}
	return low, high
}

// CChart charts the number of defects in equal amounts of work, such as weeks alike or
// full racks. The counts at the indexes leaveOut do not help to set the limits. Below a
// mean of five the limits are exact Poisson ones. Errors are of type *Error.
func CChart(counts []int, leaveOut ...int) (Chart, error) {
	inspected := make([]Inspection, len(counts))
	for i, count := range counts {
		inspected[i] = Inspection{Defects: count, Units: 1}
	}
	return countChart(C, "NIST/SEMATECH e-Handbook 6.3.3.1", inspected, leaveOut)
}

// Inspection counts the defects found on some amount of work. One part may have several.
type Inspection struct {
	Name    string  `json:"name,omitempty"`
	Defects int     `json:"defects"`
	Units   float64 `json:"units"` // such as parts, or square metres; a fraction is fine
}

// UChart charts the defects per unit where the amount inspected varies. The inspections at
// the indexes leaveOut do not help to set the limits. Where one expects fewer than five
// defects its limits are exact Poisson ones. Errors are of type *Error.
func UChart(inspected []Inspection, leaveOut ...int) (Chart, error) {
	return countChart(U, "Montgomery, Introduction to Statistical Quality Control, section 7.3", inspected, leaveOut)
}

func countChart(kind Kind, source string, inspected []Inspection, leaveOut []int) (Chart, error) {
	chart := Chart{Kind: kind, Basis: Basis{Method: string(kind) + " with three-sigma limits", Source: source}}
	helps, err := chart.baseline(len(inspected), leaveOut)
	if err != nil {
		return Chart{}, err
	}
	defects, units := 0, 0.0
	for i, in := range inspected {
		if err := checkCount("defects", in.Defects); err != nil {
			return Chart{}, err
		}
		if err := checkAmount("units inspected", in.Units); err != nil {
			return Chart{}, err
		}
		if in.Units == 0 {
			return Chart{}, refuse(ErrNothing, "units inspected %v", in.Units)
		}
		if helps[i] {
			defects += in.Defects
			units += in.Units
		}
	}
	if defects == 0 {
		return Chart{}, refuse(ErrNoDefects, "0 defects on %s units", figure(units))
	}
	u := float64(defects) / units
	chart.Centre = u
	exact := 0
	for i, in := range inspected {
		point := Point{Name: in.Name, Value: float64(in.Defects) / in.Units, LeftOut: !helps[i]}
		if mean := u * in.Units; mean < fewExpected {
			exact++
			low, high := countLimits(distuv.Poisson{Lambda: mean}.CDF)
			point.Low, point.High = float64(low)/in.Units, float64(high)/in.Units
		} else {
			reach := 3 * math.Sqrt(u/in.Units)
			point.Low, point.High = max(0, u-reach), u+reach
		}
		chart.Points = append(chart.Points, point)
	}
	chart.exactLimits(exact, "Poisson")
	chart.mark()
	all := 0
	for _, in := range inspected {
		all += in.Defects
	}
	last := inspected[len(inspected)-1].Units
	chart.quiet(all, func(rate float64, above int) float64 {
		return distuv.Poisson{Lambda: rate * last}.Survival(float64(above))
	}, last, 1000*u)
	return chart, nil
}
