package recur

import (
	"slices"

	"fettlebook/journal/parts"
	"fettlebook/journal/trade/stat"
	"fettlebook/journal/words"
)

// Tally is how many of the coats that were looked at had a defect: of all that
// the question lets through, or of those that also meet a condition.
type Tally struct {
	With   string // a condition on the parts table; "" for all
	Sample stat.Sample
}

// Tallies are the counts that an investigation keeps of a study: of all coats,
// then of the side of some factors that their splits name; of those that are
// accused if none is named. What only follows from the table, and people, have
// no condition that could be counted again.
func (s *Study) Tallies(of ...parts.Name) []Tally {
	if s.Looked == 0 || s.Defect == "" {
		return nil
	}
	if len(of) == 0 {
		for _, a := range s.Accused {
			of = append(of, a.Name)
		}
	}
	list := []Tally{{"", s.rate().Sample}}
	for _, name := range of {
		if f := s.Of(name); f.there.with != "" {
			list = append(list, Tally{f.there.with, stat.Sample{Defects: f.Pair.First.Defects, Parts: f.Pair.First.Parts}})
		}
	}
	return list
}

// Again is a tally that was kept, counted anew.
type Again struct {
	Then Tally
	Now  stat.Sample
	Rate *stat.Proportion // of now; nil of no part
	// Wrong is why it cannot be counted: the condition cannot be read.
	Wrong error
	// Stands says that the condition is what the split names of a factor that is
	// accused now.
	Stands bool
}

// More is how many more parts and defects there are than there were. They are
// fewer where entries were corrected since.
func (a Again) More() (defects, coats int) {
	return a.Now.Defects - a.Then.Sample.Defects, a.Now.Parts - a.Then.Sample.Parts
}

// Again counts kept tallies in a table anew, under the same question.
func (s *Study) Again(t *parts.Table, q Question, kept []Tally) []Again {
	t = t.Where(q.Filter)
	var list []Again
	for _, then := range kept {
		a := Again{Then: then}
		within := t
		if then.With != "" {
			var f parts.Filter
			if f, a.Wrong = parts.ParseFilter(then.With); a.Wrong != nil {
				list = append(list, a)
				continue
			}
			within = t.Where(f)
			a.Stands = slices.ContainsFunc(s.Accused, func(is Accused) bool { return s.Of(is.Name).there.with == f[0].String() })
		}
		a.Now = lookedAt(within, s.Defect).sample()
		if rate, err := stat.Wilson(a.Now, level); err == nil {
			a.Rate = &rate
		}
		list = append(list, a)
	}
	return list
}

// Further lists the factors that are accused and that no kept tally is about.
func (s *Study) Further(kept []Tally) (list []Accused) {
	known := make(map[string]bool)
	for _, k := range kept {
		if f, err := parts.ParseFilter(k.With); k.With != "" && err == nil {
			known[f[0].String()] = true
		}
	}
	for _, a := range s.Accused {
		if with := s.Of(a.Name).there.with; with == "" || !known[with] {
			list = append(list, a)
		}
	}
	return list
}

// Between reads "18 of 56 (32 %): between 21 % and 45 % with 95 % confidence".
func Between(s stat.Sample, in words.Writing) string {
	rate, err := stat.Wilson(s, level)
	if err != nil {
		return "no part"
	}
	return rate.Written(in)
}

func (l *looked) sample() (s stat.Sample) {
	s.Parts = len(l.rows)
	for _, bad := range l.bad {
		if bad {
			s.Defects++
		}
	}
	return s
}
