package stat

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"fettlebook/journal/words"
)

// Kind names a chart.
type Kind string

// The charts.
const (
	P            Kind = "p-chart"               // share of parts with the defect
	U            Kind = "u-chart"               // defects per unit inspected
	C            Kind = "c-chart"               // defects in equal amounts of work
	G            Kind = "g-chart"               // good parts between two defects
	T            Kind = "t-chart"               // time between two defects
	Individuals  Kind = "individuals chart"     // single readings
	MovingRanges Kind = "moving range chart"    // steps from one reading to the next
	RunningSum   Kind = "Bernoulli CUSUM chart" // running sum over single parts
)

// Rule names why a point stands out.
type Rule string

// The rules. A point exactly on a limit is in.
const (
	AboveLimit Rule = "above the upper limit"
	BelowLimit Rule = "below the lower limit"
	ShortRun   Rule = "short gaps in a row"
)

// Chart is a sequence of figures with the limits that chance alone keeps to.
type Chart struct {
	Basis
	Kind    Kind     `json:"kind"`
	Centre  float64  `json:"centre"`
	Points  []Point  `json:"points"`
	Signals []Signal `json:"signals"` // what stands out, in the order of the points
}

// Point is one figure with its own limits.
type Point struct {
	Name    string  `json:"name,omitempty"`
	Value   float64 `json:"value"`
	Low     float64 `json:"low"`
	High    float64 `json:"high"`
	Out     Rule    `json:"out,omitzero"` // by which it stands out
	LeftOut bool    `json:"left_out"`     // did not help to set the limits
}

// Signal is a point, or a run that ends with it, that chance alone hardly explains.
type Signal struct {
	Point  int     `json:"point"` // index into Points
	Rule   Rule    `json:"rule"`
	Chance float64 `json:"chance,omitempty"` // of this by chance alone, where the chart can tell
	Words  string  `json:"words"`
}

// Out returns the indexes of the points that stand out, each once.
func (c Chart) Out() []int {
	var out []int
	for _, signal := range c.Signals {
		out = append(out, signal.Point)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// Say returns what the chart shows as one sentence.
func (c Chart) Say() string {
	opening := fmt.Sprintf("%s of %s around %s: ", c.Kind, words.Count(len(c.Points), "point"), figure(c.Centre))
	if len(c.Signals) == 0 {
		return opening + "all lie within their limits, so nothing but chance is seen"
	}
	words := make([]string, len(c.Signals))
	for i, signal := range c.Signals {
		words[i] = signal.Words
	}
	return opening + strings.Join(words, "; ")
}

// name is what a sentence calls the point: its own name, or its number counted from 1.
func (c Chart) name(i int) string {
	if name := c.Points[i].Name; name != "" {
		return name
	}
	return fmt.Sprintf("point %d", i+1)
}

// rounding is how far beyond a limit, relative to it, a point still lies on the limit.
const rounding = 1e-9

// mark sets the signals of the points beyond their limits.
func (c *Chart) mark() {
	for i, point := range c.Points {
		slack := rounding * math.Max(math.Abs(point.Low), math.Abs(point.High))
		signal := Signal{Point: i}
		switch {
		case point.Value > point.High+slack:
			signal.Rule = AboveLimit
			signal.Words = fmt.Sprintf("%s (%s) lies above its upper limit %s", c.name(i), figure(point.Value), figure(point.High))
		case point.Value < point.Low-slack:
			signal.Rule = BelowLimit
			signal.Words = fmt.Sprintf("%s (%s) lies below its lower limit %s", c.name(i), figure(point.Value), figure(point.Low))
		default:
			continue
		}
		c.Signals = append(c.Signals, signal)
	}
}

// usualBaseline is the number of points from which limits are commonly taken to be firm
// (NIST/SEMATECH e-Handbook 6.3.3.1: twenty to twenty-five samples, from memory).
const usualBaseline = 20

// baseline tells for each of n points whether it helps to set the limits. It adds a guard
// where they are few, and refuses fewer than two.
func (b *Basis) baseline(n int, leaveOut []int) ([]bool, error) {
	helps := slices.Repeat([]bool{true}, n)
	for _, i := range leaveOut {
		if i < 0 || i >= n {
			return nil, refuse(ErrNoPoint, "point %d of %d", i, n)
		}
		helps[i] = false
	}
	count := 0
	for _, helping := range helps {
		if helping {
			count++
		}
	}
	switch {
	case count < 2:
		return nil, refuse(ErrTooFew, "%s", words.Count(count, "point"))
	case count < usualBaseline:
		b.guard(fmt.Sprintf("the limits rest on only %d points and are provisional; %d are usual", count, usualBaseline))
	}
	return helps, nil
}
