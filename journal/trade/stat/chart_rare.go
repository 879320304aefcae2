package stat

import (
	"fmt"
	"math"
)

// Gaps is a g-chart: the good parts between one defect and the next.
type Gaps struct {
	Chart
	Median        float64  `json:"median"`      // of the gaps, if chance alone is at work
	UpperByChance float64  `json:"upper_limit"` // probability limit: a longer gap has a chance of 0.00135
	Run           ShortGap `json:"short_run"`
}

// ShortGap is the run rule that takes the place of a lower limit.
type ShortGap struct {
	Length int     `json:"length"`  // so many gaps in a row
	AtMost int     `json:"at_most"` // each of at most so many good parts; negative where no rule is rare enough
	Each   float64 `json:"each"`    // chance of one such gap
	Chance float64 `json:"chance"`  // chance of the run
}

// rareRun is the chance that a run must not exceed to be called rare: that of a point
// outside three-sigma limits, both sides together.
const rareRun = 2 * threeSigma

// GChart charts the good parts between defects, for defects too rare to count by the
// month. The gaps at the indexes leaveOut do not help to set the limits, but are judged by
// them. No gap is short enough to lie below a lower limit, so a run of short gaps gives the
// alarm. Errors are of type *Error.
func GChart(gaps []int, leaveOut ...int) (Gaps, error) {
	chart := Gaps{Chart: Chart{Kind: G, Basis: Basis{
		Method: "g-chart with three-sigma limits, probability limit and run rule",
		Source: "Kaminsky et al., J. Qual. Technol. 24 (1992) 63-69; Benneyan, Health Care Manag. Sci. 4 (2001) 305-318",
	}}}
	helps, err := chart.baseline(len(gaps), leaveOut)
	if err != nil {
		return Gaps{}, err
	}
	sum, count := 0, 0
	for i, gap := range gaps {
		if err := checkCount("good parts between defects", gap); err != nil {
			return Gaps{}, err
		}
		if helps[i] {
			sum += gap
			count++
		}
	}
	if sum == 0 {
		return Gaps{}, refuse(ErrCommon, "no good part between defects")
	}
	mean := float64(sum) / float64(count)
	good := mean / (mean + 1) // chance that a part is good
	quantile := func(beyond float64) float64 { return math.Log(beyond)/math.Log(good) - 1 }
	chart.Centre = mean
	chart.Median = max(0, quantile(0.5))
	chart.UpperByChance = max(0, quantile(threeSigma))
	chart.Run = shortGap(good)
	high := mean + 3*math.Sqrt(mean*(mean+1))
	for i, gap := range gaps {
		chart.Points = append(chart.Points, Point{Value: float64(gap), High: high, LeftOut: !helps[i]})
	}
	chart.Quiet = chart.Run.quiet(len(gaps), 1-good)
	chart.guard("no gap is short enough for a lower alarm: a run of short gaps takes its place")
	chart.judge(gaps, good)
	return chart, nil
}

// shortGap finds the shortest run, of three or more gaps, that is rare by chance alone.
func shortGap(good float64) ShortGap {
	const shortest, longest = 3, 6
	atMost := func(k int) float64 { return -math.Expm1(float64(k+1) * math.Log(good)) }
	for length := shortest; length <= longest; length++ {
		run := ShortGap{Length: length, AtMost: -1}
		for math.Pow(atMost(run.AtMost+1), float64(length)) <= rareRun {
			run.AtMost++
		}
		if run.AtMost >= 0 {
			run.Each = atMost(run.AtMost)
			run.Chance = math.Pow(run.Each, float64(length))
			return run
		}
	}
	return ShortGap{AtMost: -1}
}

// quiet finds the multiple of the usual rate at which such a run of short gaps comes four
// times in five.
func (r ShortGap) quiet(gaps int, rate float64) Quiet {
	q := Quiet{Defects: gaps}
	if r.AtMost < 0 {
		return q
	}
	each := math.Pow(wantedPower, 1/float64(r.Length))
	q.Fold = -math.Expm1(math.Log1p(-each)/float64(r.AtMost+1)) / rate
	q.In = fmt.Sprintf("the next %d gaps", r.Length)
	return q
}

func (g *Gaps) judge(gaps []int, good float64) {
	if g.Run.AtMost < 0 {
		g.guard("the defect is so common that no run of short gaps is rare: count defects per period instead")
	}
	short := 0
	for i, gap := range gaps {
		if g.Points[i].Value > g.Points[i].High {
			longer := math.Pow(good, float64(gap))
			g.signal(Signal{Point: i, Rule: AboveLimit, Chance: longer})
		}
		if gap > g.Run.AtMost {
			short = 0
			continue
		}
		if short++; short >= g.Run.Length {
			g.signal(Signal{Point: i, Rule: ShortRun, Chance: g.Run.Chance, run: g.Run})
		}
	}
}

// Times is a t-chart. Its points and limits are in the unit of time that was given.
type Times struct {
	Chart
	Transformed   Readings `json:"transformed"` // the charts from which the limits come
	LowerByChance float64  `json:"lower_limit"` // probability limit: a shorter time has a chance of 0.00135
	Median        float64  `json:"median"`      // of the times, if chance alone is at work
	UpperByChance float64  `json:"upper_limit"` // probability limit: a longer time has a chance of 0.00135
	MeanTime      float64  `json:"mean_time"`   // plain mean of the times
}

// nelson is the power that makes exponential times nearly normal.
const nelson = 1 / 3.6

// TChart charts the time between defects where parts are not counted: each time is
// transformed to be nearly normal, charted as a single reading, and the limits transformed
// back. The times at the indexes leaveOut do not help to set the limits. Where the lower
// limit falls below 0 the exponential probability limit stands in. Errors are of type
// *Error.
func TChart(times []float64, leaveOut ...int) (Times, error) {
	chart := Times{Chart: Chart{Kind: T, Basis: Basis{
		Method: "t-chart: power 1/3.6, then individuals chart; exponential probability limits",
		Source: "Nelson, J. Qual. Technol. 26 (1994) 239-243; Montgomery, Introduction to Statistical Quality Control, section 7.3.5",
	}}}
	helps, err := chart.baseline(len(times), leaveOut)
	if err != nil {
		return Times{}, err
	}
	transformed := make([]float64, len(times))
	sum, count := 0.0, 0
	for i, time := range times {
		if err := checkAmount("time between defects", time); err != nil {
			return Times{}, err
		}
		transformed[i] = math.Pow(time, nelson)
		if helps[i] {
			sum += time
			count++
		}
	}
	if chart.Transformed, err = IndividualsChart(transformed, leaveOut...); err != nil {
		return Times{}, err
	}
	chart.MeanTime = sum / float64(count)
	chart.LowerByChance = -chart.MeanTime * math.Log1p(-threeSigma)
	chart.Median = chart.MeanTime * math.Ln2
	chart.UpperByChance = -chart.MeanTime * math.Log(threeSigma)

	back := func(x float64) float64 { return math.Pow(x, 1/nelson) }
	limits := chart.Transformed.Individuals.Points[0]
	low, high := chart.LowerByChance, back(limits.High)
	if limits.Low > 0 {
		low = back(limits.Low)
	} else {
		chart.guard(fmt.Sprintf("the lower limit would be below 0, so the exponential limit %s stands in", figure(low)))
	}
	chart.Centre = back(chart.Transformed.Individuals.Centre)
	for i, time := range times {
		chart.Points = append(chart.Points, Point{Value: time, Low: low, High: high, LeftOut: !helps[i]})
	}
	chart.Quiet = Quiet{Defects: len(times), Fold: -chart.MeanTime * math.Log1p(-wantedPower) / low}
	chart.mark()
	return chart, nil
}
