package stat

import (
	"fmt"
	"math"
	"sort"

	"fettlebook/journal/words"
)

// CUSUM watches single parts for a rise of a rare defect. It is a running sum in whole
// steps: a defect adds Reference-1, a good part takes 1 away, it never falls below 0, and
// at Alarm it calls. So it can be kept with a pencil.
type CUSUM struct {
	Reference int `json:"reference"` // m: parts per defect at the balance point, 1/k
	Alarm     int `json:"alarm"`     // H
	// Usual is the rate at which alarms are false ones; 0 where it is not known.
	Usual float64 `json:"usual,omitempty"`
}

// The bounds keep the exact computation short. A rate below one in a thousand shows too
// seldom in a small shop for any chart.
const (
	largestReference = 1000
	largestAlarm     = 20 * largestReference
)

// ReferenceValue returns k, the rate between the usual and the worse one at which the sum
// stands still (Reynolds and Stoumbos 1999). Errors are of type *Error.
func ReferenceValue(usual, worse float64) (float64, error) {
	if err := checkChance("usual rate", usual); err != nil {
		return 0, err
	}
	if err := checkChance("worse rate", worse); err != nil {
		return 0, err
	}
	if usual >= worse {
		return 0, refuse(ErrOrder, "usual rate %s, worse rate %s", percent(usual), percent(worse))
	}
	return referenceValue(usual, worse), nil
}

func referenceValue(usual, worse float64) float64 {
	r1 := math.Log1p(-usual) - math.Log1p(-worse)
	return r1 / (math.Log(worse/usual) + r1)
}

// NewCUSUM returns the scheme for a usual and a worse rate with at least so many parts on
// average between false alarms. Errors are of type *Error.
func NewCUSUM(usual, worse float64, partsBetween int) (CUSUM, error) {
	k, err := ReferenceValue(usual, worse)
	if err != nil {
		return CUSUM{}, err
	}
	if err := checkCount("parts between false alarms", partsBetween); err != nil {
		return CUSUM{}, err
	}
	// Rounding must not lift the balance point to the usual rate or below it.
	m := int(min(math.Round(1/k), math.Ceil(1/usual)-1))
	if err := (CUSUM{Reference: m, Alarm: 1}).check(); err != nil {
		return CUSUM{}, err
	}
	alarm := 1 + sort.Search(largestAlarm, func(i int) bool {
		return CUSUM{Reference: m, Alarm: i + 1}.partsToSignal(usual) >= float64(partsBetween)
	})
	if alarm > largestAlarm {
		return CUSUM{}, refuse(ErrTooLarge, "%d parts between false alarms", partsBetween)
	}
	return CUSUM{Reference: m, Alarm: alarm, Usual: usual}, nil
}

func (c CUSUM) check() error {
	switch {
	case c.Reference < 2:
		return refuse(ErrCommon, "one defect in %d", c.Reference)
	case c.Reference > largestReference:
		return refuse(ErrTooLarge, "one defect in %d", c.Reference)
	case c.Alarm < 1:
		return refuse(ErrTooFew, "alarm at %d", c.Alarm)
	case c.Alarm > largestAlarm:
		return refuse(ErrTooLarge, "alarm at %d", c.Alarm)
	}
	return nil
}

// WorseRate returns the rate for which the scheme is the best watch, given the usual one.
// Errors are of type *Error.
func (c CUSUM) WorseRate(usual float64) (float64, error) {
	if err := c.check(); err != nil {
		return 0, err
	}
	if err := checkChance("usual rate", usual); err != nil {
		return 0, err
	}
	balance := 1 / float64(c.Reference)
	if usual >= balance {
		return 0, refuse(ErrOrder, "usual rate %s, balance point %s", percent(usual), percent(balance))
	}
	return bisect(func(worse float64) float64 { return referenceValue(usual, worse) - balance }, balance, 1), nil
}

// partsToSignal is how many parts pass on average from 0 to the alarm at a rate, the last
// part included, by the Markov chain of the sum. It is +Inf where that is more than a
// float64 holds.
func (c CUSUM) partsToSignal(rate float64) float64 {
	// The sum falls by one step at a time, so from each height it reaches either the next
	// one below or the alarm. From the top down, for every height:
	alarmed := make([]float64, c.Alarm) // chance that the alarm comes first
	parts := make([]float64, c.Alarm)   // mean parts until one or the other
	// fall returns the same two for all the way down from one height to another.
	fall := func(from, to int) (chance, mean float64) {
		still := 1.0
		for height := from; height > to; height-- {
			chance += still * alarmed[height]
			mean += still * parts[height]
			still *= 1 - alarmed[height]
		}
		return chance, mean
	}
	rise := c.Reference - 1
	for height := c.Alarm - 1; height > 0; height-- {
		if height+rise >= c.Alarm {
			alarmed[height], parts[height] = rate, 1
			continue
		}
		chance, mean := fall(height+rise, height)
		leaves := 1 - rate + rate*chance // 1 less the chance to be back at this height
		alarmed[height] = rate * chance / leaves
		parts[height] = (1 + rate*mean) / leaves
	}
	if rise >= c.Alarm {
		return 1 / rate
	}
	chance, mean := fall(rise, 0)
	return (1 + rate*mean) / (rate * chance)
}

// Watch runs over the parts in the order in which they were inspected, true for one with
// the defect. After an alarm the sum starts again from 0. Each point's High is the largest
// sum that is not an alarm. Errors are of type *Error.
func (c CUSUM) Watch(defective []bool) (Chart, error) {
	if err := c.check(); err != nil {
		return Chart{}, err
	}
	if len(defective) == 0 {
		return Chart{}, refuse(ErrNothing, "0 parts")
	}
	chart := Chart{Kind: RunningSum, Basis: Basis{
		Method: "Bernoulli CUSUM in whole steps",
		Source: "Reynolds and Stoumbos, J. Qual. Technol. 31 (1999) 87-108",
	}}
	sum := 0
	for i, defect := range defective {
		if sum >= c.Alarm {
			sum = 0
		}
		if defect {
			sum += c.Reference - 1
		} else {
			sum = max(0, sum-1)
		}
		chart.Points = append(chart.Points, Point{Value: float64(sum), High: float64(c.Alarm - 1)})
		if sum >= c.Alarm {
			chart.signal(Signal{Point: i, Rule: AboveLimit, by: &c})
		}
	}
	chart.Quiet = c.quiet()
	return chart, nil
}

// quiet says how long the rate that the scheme is best at takes to be found.
func (c CUSUM) quiet() Quiet {
	worse, err := c.WorseRate(c.Usual)
	if err != nil { // no usual rate is known
		return Quiet{}
	}
	return Quiet{Fold: worse / c.Usual, Parts: c.partsToSignal(worse)}
}

// alarmed says at which part the sum called.
func (c CUSUM) alarmed(i int, at Point, in words.Writing) string {
	return in.Sprintf("at part %d the sum reached %.0f, the alarm is at %d. Look for a cause now%s", i+1, at.Value, c.Alarm, c.falseAlarms(in))
}

// falseAlarms is the clause on how often the sum calls without a cause.
func (c CUSUM) falseAlarms(in words.Writing) string {
	if c.Usual == 0 {
		return ""
	}
	return in.Sprintf("; at the usual rate such an alarm comes once in about %s parts", about(c.partsToSignal(c.Usual)))
}

// Say returns how to keep the sum, as one sentence.
func (c CUSUM) Say() string {
	return fmt.Sprintf("start at 0, add %d for each part with the defect, take 1 away for each good one, never go below 0, and look for a cause at %d or more",
		c.Reference-1, c.Alarm)
}
