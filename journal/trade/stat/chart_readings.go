package stat

import (
	"fmt"
	"math"

	"fettlebook/journal/words"
)

// Factors for moving ranges of two readings (NIST/SEMATECH e-Handbook 6.3.2.2).
const (
	d2 = 1.128
	d4 = 3.267
)

// Readings is a pair of charts over single readings: the readings, and their steps.
type Readings struct {
	Individuals  Chart   `json:"individuals"`
	MovingRanges Chart   `json:"moving_ranges"` // point i is the step from reading i to i+1
	Sigma        float64 `json:"sigma"`         // short-term standard deviation, mean range / 1.128
}

// IndividualsChart charts single readings, such as a film thickness per job, with limits
// from the mean step between neighbours. The readings at the indexes leaveOut do not help
// to set the limits, nor do the steps to and from them. Errors are of type *Error.
func IndividualsChart(readings []float64, leaveOut ...int) (Readings, error) {
	source := Basis{Method: "individuals and moving range charts", Source: "NIST/SEMATECH e-Handbook 6.3.2.2"}
	helps, err := source.baseline(len(readings), leaveOut)
	if err != nil {
		return Readings{}, err
	}
	sum, count := 0.0, 0
	rangeSum, rangeCount := 0.0, 0
	for i, x := range readings {
		if err := checkAmount(fmt.Sprintf("reading %d, size", i+1), math.Abs(x)); err != nil {
			return Readings{}, err
		}
		if !helps[i] {
			continue
		}
		sum += x
		count++
		if i > 0 && helps[i-1] {
			rangeSum += math.Abs(x - readings[i-1])
			rangeCount++
		}
	}
	if rangeCount == 0 {
		return Readings{}, refuse(ErrTooFew, "no two readings side by side")
	}
	if rangeSum == 0 {
		return Readings{}, refuse(ErrFlat, "%s", words.Count(count, "reading"))
	}

	mean, meanRange := sum/float64(count), rangeSum/float64(rangeCount)
	result := Readings{
		Individuals:  Chart{Basis: source, Kind: Individuals, Centre: mean},
		MovingRanges: Chart{Basis: source, Kind: MovingRanges, Centre: meanRange},
		Sigma:        meanRange / d2,
	}
	for i, x := range readings {
		result.Individuals.Points = append(result.Individuals.Points, Point{
			Value: x, Low: mean - 3*result.Sigma, High: mean + 3*result.Sigma, LeftOut: !helps[i],
		})
		if i == 0 {
			continue
		}
		result.MovingRanges.Points = append(result.MovingRanges.Points, Point{
			Name:    fmt.Sprintf("the step from point %d to %d", i, i+1),
			Value:   math.Abs(x - readings[i-1]),
			High:    d4 * meanRange,
			LeftOut: !helps[i] || !helps[i-1],
		})
	}
	result.Individuals.Quiet.Shift = (3 + usualPower()) * result.Sigma
	result.Individuals.mark()
	result.MovingRanges.mark()
	return result, nil
}

// Say returns what both charts show as one sentence.
func (r Readings) Say() string {
	if len(r.MovingRanges.Signals) == 0 {
		return r.Individuals.Say()
	}
	return r.Individuals.Say() + "; " + r.MovingRanges.Say()
}
