package recur

import (
	"slices"

	"fettlebook/journal/parts"
	"fettlebook/journal/trade/stat"
)

// Accused is a factor that goes with the defect, also while all others that do
// are held equal, and what cannot be told from it.
type Accused struct {
	Name   parts.Name   `json:"name"`
	Split  string       `json:"split"`
	Pair   stat.Pair    `json:"pair"` // there and elsewhere, with nothing held equal
	Effect *stat.Effect `json:"difference,omitempty"`
	// Held is what is held equal: the kind of part, the metal, and what else is
	// accused. Odds, which is pooled over all of that, and both p are worked out so.
	Held     []parts.Name   `json:"held_equal"`
	Odds     *stat.Interval `json:"odds_ratio,omitempty"`
	P        float64        `json:"p"` // the factor's other values and cuts counted
	Adjusted float64        `json:"p_adjusted"`
	Together []parts.Name   `json:"together,omitempty"`
	Trial    *Trial         `json:"trial,omitempty"`
}

// Trial would part factors that cannot be told apart.
type Trial struct {
	Each stat.Trial `json:"each"` // parts that have one of them and not the others
	// Of are those that can be had again. What is past, such as a day, cannot.
	Of []parts.Name `json:"of"`
}

// accuse says what the k-th factor that was found goes with.
func (s *search) accuse(found []hold, k int) Accused {
	h, others := found[k], without(found, k)
	i := h.factor
	t := s.try(i, others...)
	there := s.side(i, h.at, t)
	a := Accused{Name: s.asked[i].column.Name, Split: there.name, Pair: s.first[i].counts.pair(there.has), Held: slices.Clone(s.asked[i].apart)}
	a.Effect = difference(a.Pair)
	for _, o := range others {
		a.Held = append(a.Held, s.asked[o.factor].column.Name)
	}
	if pooled, err := stat.MantelHaenszel(s.base[i].holding(others).split(t.counts, there), level); err == nil && pooled.StandardError > 0 {
		a.Odds = &pooled.OddsRatio
	}
	a.P, a.Adjusted = s.beside(found, k)
	return a
}

// fewer reports whether the defect is rarer there than elsewhere.
func (a Accused) fewer() bool {
	if a.Odds != nil {
		return a.Odds.Value < 1
	}
	return a.Pair.First.Defects*a.Pair.Second.Parts < a.Pair.Second.Defects*a.Pair.First.Parts
}

// trial works out what would part the factors that cannot be told apart; none
// if at most one of them can be had again and the others are as past as it is.
func (a *Accused) trial() {
	if len(a.Together) == 0 {
		return
	}
	t := &Trial{}
	for _, name := range append([]parts.Name{a.Name}, a.Together...) {
		if !past(name) {
			t.Of = append(t.Of, name)
		}
	}
	var err error
	if t.Each, err = stat.SampleSize(seems(a.Pair.First), seems(a.Pair.Second), allowed, power); err == nil && len(t.Of) > 0 {
		a.Trial = t
	}
}

// past reports whether a value of a factor cannot be had again.
func past(name parts.Name) bool { return name == SameDay || name == SameRack || name == parts.Bake }
