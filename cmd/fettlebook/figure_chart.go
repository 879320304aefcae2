package main

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"fettlebook/journal/trade/stat"
)

type figureChart struct {
	Points   []string `arg:"" optional:"" name:"point" help:"\"12 of 50\" parts with the defect, or \"5 in 2.5\" defects in units inspected, or a plain count or reading; a name may stand before it, as in \"week 3: 2 of 40\"."`
	From     string   `help:"A CSV file with the points instead, or - for standard input: a name if any, the count or reading, and the parts or units if any." placeholder:"FILE"`
	Kind     string   `enum:",p,u,c,g,t,readings,sum" default:"" help:"The chart: p (share of parts), u (defects per unit), c (defects in equal amounts), g (good parts between defects), t (time between defects), readings, or sum (running sum over parts, 1 for one with the defect); left out, the one that fits is chosen." placeholder:"p"`
	LeaveOut []int    `help:"Points, counted from 1, that must not help to set the limits." placeholder:"N"`
	Usual    entered  `default:"2 %" help:"With sum: the usual rate." placeholder:"\"2 %\""`
	Worse    entered  `default:"6 %" help:"With sum: the rate that must be found." placeholder:"\"6 %\""`
	Between  int      `default:"500" help:"With sum: the least parts between false alarms, on average." placeholder:"N"`
	JSON     bool     `name:"json" help:"Print JSON."`
}

type (
	// chartFigure is the JSON of a chart. Shares of a p-chart lie between 0 and 1. What
	// the kind of chart does not have is left out.
	chartFigure struct {
		worksheet
		Kind           string       `json:"kind"`         // such as "p-chart"
		Why            string       `json:"why,omitzero"` // it was chosen, if it was
		Centre         float64      `json:"centre"`
		Points         []chartPoint `json:"points"`
		Out            []int        `json:"out"`                       // the points that stand out, counted from 1
		Steps          []chartPoint `json:"steps,omitempty"`           // with readings, each from the one before
		UpperByChance  float64      `json:"upper_by_chance,omitzero"`  // with g and t: longer has a chance of 0.00135
		LowerByChance  float64      `json:"lower_by_chance,omitzero"`  // with t: shorter has
		Median         float64      `json:"median,omitzero"`           // with g and t
		PartsPerDefect int          `json:"parts_per_defect,omitzero"` // with sum: at which it stands still
		Alarm          int          `json:"alarm,omitzero"`            // with sum

		chart stat.Chart
	}

	// chartPoint is a figure with its own limits.
	chartPoint struct {
		Name    string  `json:"name"` // as typed, or its number
		Value   float64 `json:"value"`
		Low     float64 `json:"low"`
		High    float64 `json:"high"`
		Out     string  `json:"out,omitzero"` // the rule by which it stands out
		LeftOut bool    `json:"left_out"`     // did not help to set the limits
	}
)

// Run prints the chart.
func (c *figureChart) Run(ctx context.Context, t *terminal) error {
	f, err := c.work(ctx, t)
	return answer(t, c.JSON, f, err)
}

func (c *figureChart) work(ctx context.Context, t *terminal) (*chartFigure, error) {
	if (c.From == "") == (len(c.Points) == 0) {
		return nil, wrongUse("give the points on the command line, or a file with --from, and not both")
	}
	texts := c.Points
	if c.From != "" {
		var err error
		if texts, err = pointsFrom(ctx, t, c.From, c.Kind); err != nil {
			return nil, err
		}
	}
	f := &chartFigure{worksheet: worksheet{Figure: "chart"}}
	points, err := pointsOf(texts)
	if err != nil {
		return nil, err
	}
	f.typed("points", strings.Join(texts, "; "))
	leaveOut, err := c.leftOut(len(points.all))
	if err != nil {
		return nil, err
	}
	kind := c.Kind
	if kind == "" {
		if kind, err = f.choose(points); err != nil {
			return nil, err
		}
	}
	if err := f.draw(c, kind, points, leaveOut); err != nil {
		return nil, err
	}
	f.tabulate(points)
	return f, nil
}

// leftOut counts from 0.
func (c *figureChart) leftOut(points int) (indexes []int, err error) {
	for _, n := range c.LeaveOut {
		if n < 1 || n > points {
			return nil, fmt.Errorf("there is no point %d to leave out: the points are 1 to %d", n, points)
		}
		indexes = append(indexes, n-1)
	}
	return indexes, nil
}

// choose takes the chart that fits the form of the points and how many defects they have.
func (f *chartFigure) choose(p points) (string, error) {
	watched := map[manner]stat.Watched{ofParts: stat.PartsJudged, inUnits: stat.DefectsPerArea, alone: stat.DefectsCounted}[p.manner]
	defects := 0.0
	for _, one := range p.all {
		defects += one.value / float64(len(p.all))
	}
	if p.manner == alone && slices.ContainsFunc(p.all, func(one point) bool { return one.fraction }) {
		watched = stat.ReadingsTaken
	}
	choice, err := stat.ChooseChart(watched, defects)
	if err != nil {
		return "", err
	}
	f.Why = choice.Say()
	f.result("chart", "%s", f.Why)
	f.Warnings = append(f.Warnings, choice.Guards...)
	switch choice.Kind {
	case stat.Individuals:
		return "readings", nil
	case stat.G, stat.T:
		f.Warnings = append(f.Warnings, "the points are counts by period, so they are charted as such; for the chart that fits give the good parts between defects with --kind g, or the times with --kind t")
	}
	return map[manner]string{ofParts: "p", inUnits: "u", alone: "c"}[p.manner], nil
}

// draw works out the chart.
func (f *chartFigure) draw(c *figureChart, kind string, p points, leaveOut []int) (err error) {
	wanted := map[string]manner{"p": ofParts, "u": inUnits}[kind]
	if p.manner != wanted && !(kind == "u" && p.manner == ofParts) {
		return fmt.Errorf("point 1, %q: a chart %s takes points such as %s", p.all[0].text, kind, wanted.example())
	}
	if kind == "sum" {
		return f.watch(c, p)
	}
	switch kind {
	case "p":
		f.Formula = []string{"p̄ ± 3·√(p̄(1 − p̄)/n)"}
		f.chart, err = stat.PChart(p.samples(), leaveOut...)
	case "u":
		f.Formula = []string{"ū ± 3·√(ū/a), a the amount inspected"}
		f.chart, err = stat.UChart(p.inspections(), leaveOut...)
	case "c", "g":
		counts, wrong := p.counts()
		if wrong != nil {
			return wrong
		}
		if kind == "c" {
			f.Formula = []string{"c̄ ± 3·√c̄"}
			f.chart, err = stat.CChart(counts, leaveOut...)
			break
		}
		f.Formula = []string{"ḡ + 3·√(ḡ(ḡ + 1)) above; a run of short gaps below"}
		var r stat.Gaps
		r, err = stat.GChart(counts, leaveOut...)
		f.chart, f.UpperByChance, f.Median = r.Chart, r.UpperByChance, r.Median
	case "t":
		f.Formula = []string{"y = t^(1/3.6), ȳ ± 3·mean step/1.128, and back"}
		var r stat.Times
		r, err = stat.TChart(p.values(), leaveOut...)
		f.chart, f.UpperByChance, f.LowerByChance, f.Median = r.Chart, r.UpperByChance, r.LowerByChance, r.Median
	case "readings":
		f.Formula = []string{"x̄ ± 3·mean step/1.128; steps up to 3.267·mean step"}
		var r stat.Readings
		r, err = stat.IndividualsChart(p.values(), leaveOut...)
		f.chart, f.Steps = r.Individuals, pointsWithin(r.MovingRanges)
		f.Verdict = append(f.Verdict, r.Say())
	}
	if err == nil && len(f.Verdict) == 0 {
		f.Verdict = append(f.Verdict, f.chart.Say())
	}
	return err
}

// watch runs a running sum over single parts.
func (f *chartFigure) watch(c *figureChart, p points) error {
	in := intake{worksheet: &f.worksheet}
	usual, worse := in.level("usual", c.Usual), in.level("worse", c.Worse)
	counts, err := p.counts()
	if err = errors.Join(in.err, err); err != nil {
		return err
	}
	defective := make([]bool, len(counts))
	for i, n := range counts {
		if n > 1 {
			return fmt.Errorf("point %d, %q: write 1 for a part with the defect and 0 for a good one", i+1, p.all[i].text)
		}
		defective[i] = n == 1
	}
	scheme, err := stat.NewCUSUM(usual, worse, c.Between)
	if err != nil {
		return err
	}
	if f.chart, err = scheme.Watch(defective); err != nil {
		return err
	}
	f.PartsPerDefect, f.Alarm = scheme.Reference, scheme.Alarm
	f.Formula = []string{fmt.Sprintf("a defect adds %d, a good part takes 1 away, never below 0, and %d is an alarm", scheme.Reference-1, scheme.Alarm)}
	f.Limits = append(f.Limits, limit{"rates", fmt.Sprintf("usual %s, worse %s, %d parts between false alarms", c.Usual, c.Worse, c.Between), "common practice, no source", "--usual, --worse and --between"})
	f.Verdict = []string{f.chart.Say(), scheme.Say()}
	return nil
}

// tabulate lists the points, their limits, and what stands out.
func (f *chartFigure) tabulate(typed points) {
	f.Formula = append(f.Formula, f.chart.Method+"; "+f.chart.Source)
	f.Warnings = append(f.Warnings, f.chart.Guards...)
	f.Kind, f.Centre, f.Points = string(f.chart.Kind), f.chart.Centre, pointsWithin(f.chart)
	if f.chart.Kind != stat.RunningSum {
		f.result("centre", "%s", digits(f.Centre))
	}
	for _, i := range f.chart.Out() {
		f.Out = append(f.Out, i+1)
	}
	f.table = append(f.table, []string{"point", "value", "low", "high", ""})
	for i := range f.Points {
		p := &f.Points[i]
		if name := typed.all[i].name; name != "" {
			p.Name = name
		}
		var said []string
		if p.Out != "" {
			said = append(said, "OUT: "+p.Out)
		}
		if p.LeftOut {
			said = append(said, "left out")
		}
		f.table = append(f.table, []string{p.Name, digits(p.Value), digits(p.Low), digits(p.High), strings.Join(said, ", ")})
	}
	f.Limits = append(f.Limits, limit{"each point", "within its low and high", f.chart.Source, ""})
}

// pointsWithin returns a chart's points with what stands out.
func pointsWithin(c stat.Chart) (all []chartPoint) {
	for i, p := range c.Points {
		all = append(all, chartPoint{Name: fmt.Sprint(i + 1), Value: p.Value, Low: p.Low, High: p.High, LeftOut: p.LeftOut})
	}
	for _, s := range c.Signals {
		all[s.Point].Out = string(s.Rule)
	}
	return all
}
