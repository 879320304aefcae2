package stat

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"fettlebook/journal/words"
)

// Paired is how far two readings on the same part lie apart, over several parts.
type Paired struct {
	Basis
	Parts int      `json:"parts"`
	Mean  Interval `json:"mean"` // first less second
}

// MeanDifference returns the mean of differences, one for each part, with Student's
// interval. Errors are of type *Error.
func MeanDifference(differences []float64, level float64) (Paired, error) {
	if err := checkLevel(level); err != nil {
		return Paired{}, err
	}
	n := len(differences)
	if n < 2 {
		return Paired{}, refuse(ErrTooFew, "%s", words.Count(n, "difference"))
	}
	sum := 0.0
	for i, d := range differences {
		if err := checkAmount(fmt.Sprintf("difference %d, size", i+1), math.Abs(d)); err != nil {
			return Paired{}, err
		}
		sum += d
	}
	mean, squares := sum/float64(n), 0.0
	for _, d := range differences {
		squares += (d - mean) * (d - mean)
	}
	t := distuv.StudentsT{Sigma: 1, Nu: float64(n - 1)}
	reach := -t.Quantile((1-level)/2) * math.Sqrt(squares/float64(n-1)/float64(n))
	return Paired{
		Basis: Basis{Method: "mean of paired differences with Student’s interval", Source: "Student, Biometrika 6 (1908) 1-25"},
		Parts: n,
		Mean:  Interval{Value: mean, Low: mean - reach, High: mean + reach, Level: level},
	}, nil
}
