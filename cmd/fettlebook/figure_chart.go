package main

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"fettlebook/journal/trade/sheet"
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

// Run prints the chart.
func (c *figureChart) Run(ctx context.Context, t *terminal) error {
	return t.figure("chart", c.JSON, func(in *intake) (sheet.Sheet, error) { return c.work(ctx, t, in) })
}

func (c *figureChart) work(ctx context.Context, t *terminal, in *intake) (s sheet.Sheet, err error) {
	if (c.From == "") == (len(c.Points) == 0) {
		return s, wrongUse("give the points on the command line, or a file with --from, and not both")
	}
	texts := c.Points
	if c.From != "" {
		if texts, err = pointsFrom(ctx, t, c.From, c.Kind); err != nil {
			return s, err
		}
	}
	points, err := pointsOf(texts)
	if err != nil {
		return s, err
	}
	in.typed("points", strings.Join(texts, "; "))
	leaveOut, err := c.leftOut(len(points.all))
	if err != nil {
		return s, err
	}
	kind := c.Kind
	if kind == "" {
		if kind, err = choose(points, &s); err != nil {
			return s, err
		}
	}
	drawn, err := c.draw(in, kind, points, leaveOut)
	s.Join(drawn)
	return s, err
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
func choose(p points, s *sheet.Sheet) (string, error) {
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
	s.Join(choice.Sheet())
	switch choice.Kind {
	case stat.Individuals:
		return "readings", nil
	case stat.G, stat.T:
		s.Warn("the points are counts by period, so they are charted as such; for the chart that fits give the good parts between defects with --kind g, or the times with --kind t")
	}
	return map[manner]string{ofParts: "p", inUnits: "u", alone: "c"}[p.manner], nil
}

// draw works out the chart.
func (c *figureChart) draw(in *intake, kind string, p points, leaveOut []int) (s sheet.Sheet, err error) {
	wanted := map[string]manner{"p": ofParts, "u": inUnits}[kind]
	if p.manner != wanted && !(kind == "u" && p.manner == ofParts) {
		return s, fmt.Errorf("point 1, %q: a chart %s takes points such as %s", p.all[0].text, kind, wanted.example())
	}
	var counts []int
	if kind == "c" || kind == "g" || kind == "sum" {
		if counts, err = p.counts(); err != nil {
			return s, err
		}
	}
	switch kind {
	case "p":
		r, err := stat.PChart(p.samples(), leaveOut...)
		return r.Sheet(), err
	case "u":
		r, err := stat.UChart(p.inspections(), leaveOut...)
		return r.Sheet(), err
	case "c":
		r, err := stat.CChart(counts, leaveOut...)
		p.name(r)
		return r.Sheet(), err
	case "g":
		r, err := stat.GChart(counts, leaveOut...)
		p.name(r.Chart)
		return r.Sheet(), err
	case "t":
		r, err := stat.TChart(p.values(), leaveOut...)
		p.name(r.Chart)
		return r.Sheet(), err
	case "readings":
		r, err := stat.IndividualsChart(p.values(), leaveOut...)
		p.name(r.Individuals)
		return r.Sheet(), err
	}
	return c.watch(in, p, counts)
}

// watch runs a running sum over single parts.
func (c *figureChart) watch(in *intake, p points, counts []int) (s sheet.Sheet, err error) {
	usual, worse := in.level("usual", c.Usual), in.level("worse", c.Worse)
	defective := make([]bool, len(counts))
	for i, n := range counts {
		if n > 1 {
			return s, fmt.Errorf("point %d, %q: write 1 for a part with the defect and 0 for a good one", i+1, p.all[i].text)
		}
		defective[i] = n == 1
	}
	scheme, err := stat.NewCUSUM(usual, worse, c.Between)
	if err != nil {
		return s, err
	}
	kept, err := scheme.Watch(defective)
	p.name(kept)
	s.Limit("rates", sheet.Words(fmt.Sprintf("usual %s, worse %s, %d parts between false alarms", c.Usual, c.Worse, c.Between)), sheet.ShopDefault, "usual, worse and between")
	s.Join(scheme.Sheet(kept))
	return s, err
}
