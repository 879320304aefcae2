package stat

import (
	"errors"
	"fmt"
	"math"
)

// MaxCount is the largest count taken. No small shop gets near it, so a larger one is a
// slip of the finger; and it bounds the time that an exact method needs.
const MaxCount = 10_000_000

// The rules that an *Error names.
var (
	ErrMoreThanAll  = errors.New("there cannot be more defects than parts: check both counts")
	ErrNegative     = errors.New("this cannot be negative: check the figure")
	ErrTooLarge     = errors.New("this is more than can be right: check for one digit too many")
	ErrNothing      = errors.New("nothing was inspected, so there is no rate: count the parts first")
	ErrLevel        = errors.New("a confidence level must lie between 0 and 1: write 0.95 for 95 %")
	ErrSide         = errors.New("an interval must have both sides, or only the upper or the lower one: choose one of the three")
	ErrProbability  = errors.New("a chance must lie between 0 and 1: write 0.05 for 5 %")
	ErrNotANumber   = errors.New("this is not a number: leave the reading out or take it again")
	ErrNoContrast   = errors.New("all parts have the defect or none has, so the two groups cannot be compared: wait for more parts")
	ErrOrder        = errors.New("the worse rate must lie above the usual rate: swap them or choose others")
	ErrSame         = errors.New("the two rates are the same, so no number of parts can tell them apart: choose two rates")
	ErrTooFew       = errors.New("this is too little to set limits from: collect more first")
	ErrNoDefects    = errors.New("without a single defect no chart can set limits: use the bound for none found")
	ErrCommon       = errors.New("the defect is too common for this chart: count defects per period instead")
	ErrFlat         = errors.New("the readings never change, so they say nothing about chance: take a finer gauge")
	ErrNoPoint      = errors.New("there is no such point to leave out: count the points from 0")
	ErrWatched      = errors.New("this cannot be charted: choose what is counted or measured")
	ErrTested       = errors.New("every cause that was looked at counts, shown or not: this cannot be fewer than those listed")
	ErrBothRequired = errors.New("no stratum has parts of both groups and parts with and without the defect: sort by something coarser")
)

// Error says which figure breaks which rule.
type Error struct {
	Value string // the figure at fault, such as "12 of 10"
	Rule  error  // one of the Err values of this package
}

// Error returns the figure and the rule as one sentence.
func (e *Error) Error() string { return e.Value + ": " + e.Rule.Error() }

// Unwrap returns the rule, so that errors.Is finds it.
func (e *Error) Unwrap() error { return e.Rule }

func refuse(rule error, format string, args ...any) error {
	return &Error{Value: fmt.Sprintf(format, args...), Rule: rule}
}

func checkLevel(level float64) error {
	switch {
	case math.IsNaN(level):
		return refuse(ErrNotANumber, "confidence level %v", level)
	case level <= 0 || level >= 1:
		return refuse(ErrLevel, "confidence level %v", level)
	}
	return nil
}

// checkChance takes a probability strictly between 0 and 1.
func checkChance(name string, p float64) error {
	switch {
	case math.IsNaN(p):
		return refuse(ErrNotANumber, "%s %v", name, p)
	case p <= 0 || p >= 1:
		return refuse(ErrProbability, "%s %v", name, p)
	}
	return nil
}

func checkCount(name string, count int) error {
	switch {
	case count < 0:
		return refuse(ErrNegative, "%s %d", name, count)
	case count > MaxCount:
		return refuse(ErrTooLarge, "%s %d", name, count)
	}
	return nil
}

// checkAmount takes a finite quantity that is not negative, such as a time.
func checkAmount(name string, amount float64) error {
	switch {
	case math.IsNaN(amount) || math.IsInf(amount, 0):
		return refuse(ErrNotANumber, "%s %v", name, amount)
	case amount < 0:
		return refuse(ErrNegative, "%s %v", name, amount)
	case amount > largestAmount:
		return refuse(ErrTooLarge, "%s %v", name, amount)
	}
	return nil
}

// largestAmount keeps sums and squares of amounts far inside the range of a float64.
const largestAmount = 1e12
