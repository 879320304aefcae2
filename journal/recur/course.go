package recur

import (
	"fmt"
	"math"
	"slices"

	"fettlebook/journal/parts"
	"fettlebook/journal/trade/stat"
)

// Course is how a defect went over time.
type Course struct {
	Choice  stat.Choice `json:"choice"`
	Chart   *stat.Chart `json:"chart,omitempty"` // nil where no chart can be drawn yet
	Why     string      `json:"why_none,omitempty"`
	Periods []Period    `json:"periods"` // months, from the first to the last
	Changes []Change    `json:"changes,omitempty"`
}

// Period is a month.
type Period struct {
	Name   string      `json:"month"`
	Sample stat.Sample `json:"sample"`
}

// Change is the first day on which parts went by another edition of the route
// card, with the rate before and from then on.
type Change struct {
	Card   string      `json:"card"`
	Day    string      `json:"day"`
	Before stat.Sample `json:"before"`
	After  stat.Sample `json:"after"`
	// Because is what the edition came out of, if somebody wrote it; see
	// [Study.Explained].
	Because *Reason      `json:"because,omitempty"`
	Effect  *stat.Effect `json:"difference,omitempty"` // after less before
}

// Reason is the investigation that a change came out of.
type Reason struct {
	Entry string `json:"entry"`
	Says  string `json:"says"` // what was looked into
}

// Explained returns the study with each change of card saying what it came out
// of. Who is asked knows a card by the word that stands in the table, and
// returns nil where nobody wrote it.
func (s *Study) Explained(ask func(card string) *Reason) *Study {
	if s.Course == nil {
		return s
	}
	out, course := *s, *s.Course
	course.Changes = slices.Clone(course.Changes)
	for i := range course.Changes {
		course.Changes[i].Because = ask(course.Changes[i].Card)
	}
	out.Course = &course
	return &out
}

// course charts the parts that were looked at in the order of their powders.
func course(l *looked) *Course {
	c := &Course{Periods: months(l), Changes: changes(l)}
	defects := 0
	for _, bad := range l.bad {
		if bad {
			defects++
		}
	}
	choice, err := stat.ChooseChart(stat.PartsJudged, float64(defects)/float64(max(1, len(c.Periods))))
	if err != nil {
		c.Why = err.Error()
		return c
	}
	c.Choice = choice
	if choice.Kind == stat.G {
		c.gaps(l)
		return c
	}
	var samples []stat.Sample
	for _, p := range c.Periods {
		if p.Sample.Parts > 0 {
			samples = append(samples, stat.Sample{Name: p.Name, Defects: p.Sample.Defects, Parts: p.Sample.Parts})
		}
	}
	if chart, err := stat.PChart(samples); err != nil {
		c.Why = err.Error()
	} else {
		c.Chart = &chart
	}
	return c
}

// gaps charts the good parts between one defect and the next.
func (c *Course) gaps(l *looked) {
	var gaps []int
	var names []string
	last := -1
	for i, bad := range l.bad {
		if !bad {
			continue
		}
		if last >= 0 {
			gaps = append(gaps, i-last-1)
			names = append(names, l.table.At(l.rows[i], parts.Date).String())
		}
		last = i
	}
	chart, err := stat.GChart(gaps)
	if err != nil {
		c.Why = err.Error()
		return
	}
	for i := range chart.Points {
		chart.Points[i].Name = names[i]
	}
	c.Chart = &chart.Chart
}

// months counts the parts by the month of their powder. A month without a part
// has a row of its own; parts without a day are in none.
func months(l *looked) (list []Period) {
	days := l.table.Numbers(parts.Date)
	at, name := math.NaN(), "" // the day of the row before, and its month
	for i, row := range l.rows {
		if math.IsNaN(days[row]) {
			continue
		}
		if days[row] != at {
			at, name = days[row], l.table.At(row, parts.Date).String()[:len("2006-01")]
		}
		for len(list) == 0 || list[len(list)-1].Name != name {
			next := name
			if n := len(list); n > 0 {
				next = following(list[n-1].Name)
			}
			list = append(list, Period{Name: next})
		}
		s := &list[len(list)-1].Sample
		s.Parts++
		if l.bad[i] {
			s.Defects++
		}
	}
	return list
}

// following is the month after one.
func following(month string) string {
	var y, m int
	fmt.Sscanf(month, "%d-%d", &y, &m)
	if m++; m > 12 {
		y, m = y+1, 1
	}
	return fmt.Sprintf("%04d-%02d", y, m)
}

// changes finds when a card came in, and compares what came after with what
// came before.
func changes(l *looked) (list []Change) {
	codes, names := l.table.Words(parts.CardEdition)
	var known []uint32
	for i, row := range l.rows {
		code := codes[row]
		if code == 0 || slices.Contains(known, code) {
			continue
		}
		known = append(known, code)
		if len(known) == 1 {
			continue
		}
		change := Change{Card: names[code-1], Day: l.table.At(row, parts.Date).String()}
		for k := range l.rows {
			s := &change.Before
			if k >= i {
				s = &change.After
			}
			s.Parts++
			if l.bad[k] {
				s.Defects++
			}
		}
		if effect, err := stat.Difference(stat.Pair{First: change.After, Second: change.Before}, level); err == nil {
			change.Effect = &effect
		}
		list = append(list, change)
	}
	return list
}
