package chart

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"fettlebook/journal/recur"
	"fettlebook/journal/trade/stat"
	"fettlebook/journal/words"
)

// CourseKey says how the picture of a defect over time is read.
const CourseKey = "Rings: what was counted. Dashed: what chance alone keeps to, at the usual rate. A filled ring in a square, with its word, stands out. An upright line: another edition of the route card came in."

// Course draws how a defect went over time: each figure against its limits,
// with the moments at which another edition of the route card came in. There
// is no picture where no chart can be drawn yet.
func Course(defect string, c *recur.Course, in words.Writing) Drawing {
	if c.Chart == nil {
		return Drawing{}
	}
	w := watchOf(c, in)
	w.Title = fmt.Sprintf("%s over time: %s of %s", words.Capital(defect), c.Chart.Kind, in.Count(len(c.Chart.Points), "point"))
	if n := len(c.Chart.Out()); n > 0 {
		w.Title += fmt.Sprintf(", of which %s", in.Either(n, "stands out", "stand out"))
	} else {
		w.Title += ", of which none stands out"
	}
	w.Title += ". The table has the figures."
	d := Drawing{Head: []string{"Month", "With the defect", "Share", "Lower limit", "Upper limit", "Stands out"}}
	if c.Chart.Kind == stat.G {
		d.Head = []string{"Found on", "Good parts since the one before", "Lower limit", "Upper limit", "Stands out"}
	}
	for i, at := range w.Points {
		row := []string{at.Name}
		if c.Chart.Kind != stat.G {
			row = append(row, c.Periods[i].Sample.Written(in))
		}
		if !finite(at.Value) {
			d.Rows = append(d.Rows, append(row[:1], "no part", "–", "–", "–", "–"))
			continue
		}
		d.Rows = append(d.Rows, append(row, w.says(at.Value), w.says(at.Low), w.says(at.High), or(string(at.Out), "–")))
	}
	return d.of(w)
}

// watchOf lays out the points of a chart. Months without a part have a place
// and no figure.
func watchOf(c *recur.Course, in words.Writing) Watch {
	if c.Chart.Kind == stat.G {
		w := Watch{Writing: in, Up: "good", Centre: c.Chart.Centre}
		for _, p := range c.Chart.Points {
			w.Points = append(w.Points, Watched{Name: p.Name, Value: p.Value, Low: p.Low, High: p.High, Out: p.Out})
		}
		w.ruled(c)
		for _, change := range c.Changes {
			at := slices.IndexFunc(w.Points, func(p Watched) bool { return p.Name >= change.Day })
			if at < 0 {
				at = len(w.Points)
			}
			w.Moments = append(w.Moments, moment(in, change, float64(at)-0.5))
		}
		return w.dated()
	}
	w := Watch{Writing: in, Up: "%", Centre: 100 * c.Chart.Centre, Shares: true}
	by := make(map[string]stat.Point)
	for _, p := range c.Chart.Points {
		by[p.Name] = p
	}
	for _, period := range c.Periods {
		at := Watched{Name: period.Name, Value: math.NaN(), Low: math.NaN(), High: math.NaN()}
		if p, ok := by[period.Name]; ok {
			at = Watched{Name: p.Name, Value: 100 * p.Value, Low: 100 * p.Low, High: 100 * p.High, Out: p.Out}
		}
		w.Points = append(w.Points, at)
	}
	w.ruled(c)
	for _, change := range c.Changes {
		day, err := time.Parse(time.DateOnly, change.Day)
		at := slices.IndexFunc(w.Points, func(p Watched) bool { return strings.HasPrefix(change.Day, p.Name) })
		if err == nil && at >= 0 {
			w.Moments = append(w.Moments, moment(in, change, float64(at)-0.5+float64(day.Day()-1)/31))
		}
	}
	return w.dated()
}

// dated is the same with days and months as the shop writes them.
func (w Watch) dated() Watch {
	for i := range w.Points {
		at := &w.Points[i]
		at.Name, at.Short = recur.DayIn(at.Name, w.Writing), recur.ShortIn(at.Name, w.Writing)
	}
	return w
}

// ruled marks the points by what the chart signals.
func (w *Watch) ruled(c *recur.Course) {
	for _, s := range c.Chart.Signals {
		name := c.Chart.Points[s.Point].Name
		at := s.Point
		if w.Shares {
			at = slices.IndexFunc(w.Points, func(p Watched) bool { return p.Name == name })
		}
		w.Points[at].Out = cmp.Or(w.Points[at].Out, s.Rule)
	}
}

func moment(in words.Writing, c recur.Change, at float64) Moment {
	return Moment{At: at, Label: fmt.Sprintf("%s: %s before, %s since", short(c.Card), in.Number(rate(c.Before)), in.Number(rate(c.After)))}
}

// Changes draws what came after each change of the route card less what came
// before it. There is nothing of changes that cannot be compared.
func Changes(defect string, list []recur.Change, in words.Writing) Drawing {
	out := Differences{Writing: in, Title: fmt.Sprintf("%s after each change of the route card less before it, in percentage points, with its interval. The table has the figures.", words.Capital(defect))}
	d := Drawing{Head: []string{"Route card", "Came in on", "Before", "Since", "Difference", "from", "to"}}
	for _, c := range list {
		row := []string{c.Card, recur.DayIn(c.Day, in), c.Before.Written(in), c.After.Written(in), "–", "–", "–"}
		if c.Effect != nil {
			out.Rows = append(out.Rows, Difference{Name: c.Card, Size: c.Effect.Size, Marked: !c.Effect.Size.Contains(0)})
			row = append(row[:4], ends(c.Effect.Size, in)...)
		}
		d.Rows = append(d.Rows, row)
	}
	return d.of(out)
}

func rate(s stat.Sample) string {
	if s.Parts == 0 {
		return "none"
	}
	return recur.Percent(s.Rate()) + " %"
}
