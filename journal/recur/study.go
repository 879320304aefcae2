package recur

import (
	"cmp"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/parts"
	"fettlebook/journal/trade/stat"
)

// Study is what a parts table says about a defect.
type Study struct {
	Defect string   `json:"defect"` // what it looks like
	Filter []string `json:"filter,omitempty"`
	Parts  int      `json:"parts"`  // coats in the table
	Looked int      `json:"looked"` // of these, those that somebody looked at

	Rates   []Rate   `json:"rates"` // of every defect, the most frequent first
	Course  *Course  `json:"course,omitempty"`
	Factors []Factor `json:"factors"` // by rising p
	// Tested is how many factors were tried, Tries at how many values and cuts
	// in all. Both count, shown or not.
	Tested  int       `json:"factors_tested"`
	Tries   int       `json:"tries"`
	Accused []Accused `json:"accused"`
	Named   []Named   `json:"named"`
	Place   *Place    `json:"film_at_defect,omitempty"`
	Late    *Late     `json:"late,omitempty"`
}

// Rate is how often a defect was seen.
type Rate struct {
	Defect string          `json:"defect"`
	Rate   stat.Proportion `json:"rate"`
}

// Of makes a study. Errors are those of [Question.Check].
func Of(t *parts.Table, q Question) (*Study, error) {
	if err := q.Check(); err != nil {
		return nil, err
	}
	t = t.Where(q.Filter)
	s := &Study{Defect: q.Defect, Parts: t.Len()}
	for _, c := range q.Filter {
		s.Filter = append(s.Filter, c.String())
	}
	s.rates(t)
	if s.Defect == "" && len(s.Rates) > 0 {
		s.Defect = s.Rates[0].Defect
	}
	if s.Defect == "" { // nobody looked, or nobody found anything: there is nothing to study
		looked, _ := t.Words(parts.Looked)
		for _, code := range looked {
			if code == yes {
				s.Looked++
			}
		}
		return s, nil
	}
	l := lookedAt(t, s.Defect)
	if s.Looked = len(l.rows); s.Looked == 0 {
		return s, nil
	}
	s.Course = course(l)
	s.Place, s.Late = place(t, s.Defect), late(t, s.Defect)
	newSearch(l, q.People).run(s)
	return s, nil
}

// rates counts every defect that was seen.
func (s *Study) rates(t *parts.Table) {
	looked, _ := t.Words(parts.Looked)
	for _, look := range journal.Look("").Words() {
		sample := stat.Sample{}
		seen, _ := t.Words(parts.Defect(look))
		for i, code := range looked {
			if code == yes {
				sample.Parts++
				if seen[i] == yes {
					sample.Defects++
				}
			}
		}
		if rate, err := stat.Wilson(sample, level); err == nil && (sample.Defects > 0 || look == s.Defect) {
			s.Rates = append(s.Rates, Rate{look, rate})
		}
	}
	slices.SortStableFunc(s.Rates, func(a, b Rate) int { return cmp.Compare(b.Rate.Sample.Defects, a.Rate.Sample.Defects) })
}
