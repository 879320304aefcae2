package stat

import (
	"cmp"
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
	// Quiet says what would have stood out, where nothing did.
	Quiet Quiet `json:"quiet"`
}

// Quiet is how much a chart on which no point stands out may still hide: what would show
// four times in five, or so many parts later on average.
type Quiet struct {
	Defects int     `json:"defects,omitempty"` // on the chart; 0 for readings
	Fold    float64 `json:"fold,omitempty"`    // this many times the usual rate
	Shift   float64 `json:"shift,omitempty"`   // of readings, a change by this
	In      string  `json:"in,omitempty"`      // where, if not in a single point: "the next 3 gaps"
	Parts   float64 `json:"parts,omitempty"`   // of a running sum, parts until it calls, on average
	Blind   bool    `json:"blind,omitempty"`   // no point can ever lie outside
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
	Words  string  `json:"words"`            // as programs get them

	run ShortGap // of a short run
	by  *CUSUM   // of a running sum, by which scheme
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
func (c Chart) Say() string { return c.Written(words.Writing{}) }

// Written is Say in a way of writing; points are called by the names that they have.
func (c Chart) Written(in words.Writing) string {
	opening := in.Sprintf("%s of %s around %s: ", c.Kind, in.Count(len(c.Points), "point"), c.figure(c.Centre))
	if c.Kind == RunningSum {
		opening = in.Sprintf("running sum over %s: ", in.Count(len(c.Points), "part"))
	}
	switch {
	case len(c.Signals) == 0 && c.Kind == RunningSum:
		return opening + "no alarm" + c.Quiet.say(in)
	case len(c.Signals) == 0:
		return opening + "no point lies outside its limits" + c.Quiet.say(in)
	}
	said := make([]string, len(c.Signals))
	for i, signal := range c.Signals {
		said[i] = c.signalled(signal, in)
	}
	return opening + strings.Join(said, "; ")
}

// say is the clause on what would have shown. A chart of single points is a coarse net, and
// must not pass for a proof that nothing changed.
func (q Quiet) say(in words.Writing) string {
	where := cmp.Or(q.In, "a single point")
	switch {
	case q.Blind:
		return "; with so few parts to a point none ever can"
	case q.Parts > 0:
		return in.Sprintf("; %s times the usual rate calls after about %s parts on average", figure(q.Fold), about(q.Parts))
	case q.Shift > 0:
		return in.Sprintf("; only a change by %s would show in %s (%s)", figure(q.Shift), where, usually)
	case q.Fold > 0:
		return in.Sprintf("; with %s only a %s-fold change would show in %s (%s)", in.Count(q.Defects, "defect"), fold(q.Fold), where, usually)
	}
	return ""
}

// fold writes a ratio with two digits that count, rounded up: what is said to show does.
func fold(ratio float64) figured {
	unit := math.Pow(10, math.Floor(math.Log10(ratio))-1)
	return figure(math.Ceil(ratio/unit-rounding) * unit)
}

// name is what a sentence calls the point: its own name, or its number counted from 1.
func (c Chart) name(i int) string {
	if name := c.Points[i].Name; name != "" {
		return name
	}
	return fmt.Sprintf("point %d", i+1)
}

// figure writes a figure of the chart: shares as people read them.
func (c Chart) figure(x float64) figured {
	if c.Kind == P {
		return percent(x)
	}
	return figure(x)
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
		case point.Value < point.Low-slack:
			signal.Rule = BelowLimit
		default:
			continue
		}
		c.signal(signal)
	}
}

// signal adds what stands out, with its words.
func (c *Chart) signal(s Signal) {
	s.Words = c.signalled(s, words.Writing{})
	c.Signals = append(c.Signals, s)
}

// signalled says what stands out in a way of writing.
func (c Chart) signalled(s Signal, in words.Writing) string {
	point := c.Points[s.Point]
	switch {
	case s.by != nil:
		return s.by.alarmed(s.Point, point, in)
	case s.Rule == ShortRun:
		return in.Sprintf("%s: %d gaps in a row of %d good parts or fewer (by chance %s of the time). Look for a cause now",
			c.name(s.Point), s.run.Length, s.run.AtMost, percent(s.Chance))
	case c.Kind == G:
		return in.Sprintf("%s: %.0f good parts in a row, more than the limit %s (by chance %s of the time): better than before, or defects are not being written down",
			c.name(s.Point), point.Value, figure(point.High), percent(s.Chance))
	case s.Rule == BelowLimit:
		return in.Sprintf("%s (%s) lies below its lower limit %s", c.name(s.Point), c.figure(point.Value), c.figure(point.Low))
	}
	return in.Sprintf("%s (%s) lies above its upper limit %s", c.name(s.Point), c.figure(point.Value), c.figure(point.High))
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
		b.guard(fmt.Sprintf("the limits rest on only %s and are provisional; %d are usual", words.Count(count, "point"), usualBaseline))
	}
	return helps, nil
}
