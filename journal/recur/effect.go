package recur

import (
	"cmp"
	"slices"
	"strings"

	"fettlebook/journal/parts"
	"fettlebook/journal/trade/stat"
)

// Factor is what a factor goes with, by itself: nothing but the kind of part
// and the metal is held equal.
type Factor struct {
	Name parts.Name `json:"name"`
	Says string     `json:"says"`
	From string     `json:"from"` // how it comes about
	Unit string     `json:"unit,omitempty"`
	// Number says that the groups are spans of a number, in rising order.
	Number bool `json:"number,omitempty"`
	Known  int  `json:"known"` // parts of which it was written down, among those looked at
	Tries  int  `json:"tries"` // at how many values or cuts it could have shown

	// Split is where it shows most: one value against all others, or up to a cut
	// against above it.
	Split    string        `json:"split,omitempty"`
	Groups   []stat.Sample `json:"groups"` // the table behind the picture
	Pair     stat.Pair     `json:"pair"`
	Effect   *stat.Effect  `json:"difference,omitempty"` // of the two rates
	Pooled   *stat.Pooled  `json:"pooled,omitempty"`     // odds ratio, part and metal held equal
	P        float64       `json:"p"`
	Adjusted float64       `json:"p_adjusted"`
	Stands   bool          `json:"stands_out"`        // by itself, or as one that is accused
	Because  Because       `json:"because,omitempty"` // of one that stands out, but is not accused
	Of       parts.Name    `json:"of,omitempty"`      // by which other factor
	// More is how many more parts the smaller side would need for a difference as
	// large as the one seen to stand out of this search, where it did not; 0 where
	// that is not known. MoreOther is how many the other side would need too.
	More      int `json:"more_parts,omitempty"`
	MoreOther int `json:"more_parts_other_side,omitempty"`

	there side
}

// There reports whether a group lies on the side that the split names.
func (f Factor) There(group int) bool { return f.Split != "" && f.there.has(group) }

// Because is why a factor that stands out is not accused.
type Because string

// Why factors that stand out are not accused.
const (
	GoesAlong Because = "goes along" // nothing is left of it once the other is held equal
	Together  Because = "together"   // neither can be told from the other
)

// side is the groups on one side of a split.
type side struct {
	first, last int
	name        string
	with        string // as a condition on the table; "" if none says it
}

func (s side) has(group int) bool { return s.first <= group && group <= s.last }

// side returns the side of a split that is named: of a number, and of a word
// with two values, the one with more defects than its share as the factor was
// tried.
func (s *search) side(i, at int, t tried) side {
	a, g := s.asked[i], s.groups[i]
	unit := a.column.Unit
	fewer := s.fewer(i, at, t)
	switch {
	case g.number && fewer:
		return side{at + 1, len(g.names) - 1, strings.TrimSpace("above " + digits(g.cuts[at]) + " " + unit), a.condition(parts.Greater, digits(g.cuts[at]))}
	case g.number:
		return side{0, at, strings.TrimSpace("up to " + digits(g.cuts[at]) + " " + unit), a.condition(parts.AtMost, digits(g.cuts[at]))}
	case fewer && len(g.names) == 2:
		at = 1 - at
	}
	return side{at, at, g.names[at], a.condition(parts.Is, g.names[at])}
}

// condition is a condition on the factor's column. There is none for what only
// follows from the table, nor for people: who sprayed stays in the office.
func (a asked) condition(relation parts.Relation, value string) string {
	c := a.column
	if c.Person || !slices.ContainsFunc(parts.Columns(), func(known parts.Column) bool { return known.Name == c.Name }) {
		return ""
	}
	if f, err := parts.ParseFilter(string(c.Name) + string(relation) + value); err == nil && f[0].Value.Known() {
		return f[0].String()
	}
	return "" // a word that reads as something else in a condition
}

// fewer reports whether a split has fewer defects inside than its share of each
// what is held equal; where that cannot tell, of all parts.
func (s *search) fewer(i, at int, t tried) bool {
	for _, one := range t.splits {
		if one.at == at {
			if beyond := stat.Roughly(one.tables...).Beyond(); beyond != 0 {
				return beyond < 0
			}
		}
	}
	g := s.groups[i]
	p := t.counts.pair(func(group int) bool { return g.within(group, at) })
	return p.First.Defects*p.Second.Parts < p.Second.Defects*p.First.Parts
}

// pair adds the strata up, those groups first for which it is so.
func (c counts) pair(first func(group int) bool) (p stat.Pair) {
	for k, group := range c.groups() {
		sample := &p.Second
		if first(k) {
			sample = &p.First
		}
		sample.Parts += group.Parts
		sample.Defects += group.Defects
	}
	return p
}

// factor says how a factor did by itself.
func (s *search) factor(i int, f stat.Finding, tested int) Factor {
	t, g := s.first[i], s.groups[i]
	out := Factor{Name: s.asked[i].column.Name, Says: s.asked[i].column.Says, From: s.asked[i].column.From, Unit: s.asked[i].column.Unit, Number: g.number, Tries: t.tries, P: t.p, Adjusted: f.Adjusted, Stands: f.Kept}
	out.Groups = t.counts.groups()
	for k, name := range g.names {
		out.Groups[k].Name = name
		out.Known += out.Groups[k].Parts
	}
	if t.best < 0 {
		return out
	}
	out.showAt(s.base[i], t.counts, s.side(i, t.splits[t.best].at, t))
	if !out.Stands {
		out.More, out.MoreOther = more(out.Pair, allowed/float64(max(1, tested)*max(1, t.tries)))
	}
	return out
}

// showAt shows a factor at a split.
func (f *Factor) showAt(l *looked, c counts, there side) {
	f.there, f.Split, f.Pair = there, there.name, c.pair(there.has)
	f.Effect, f.Pooled = difference(f.Pair), nil
	if pooled, err := stat.MantelHaenszel(l.split(c, there), level); err == nil {
		f.Pooled = &pooled
	}
}

func difference(p stat.Pair) *stat.Effect {
	if effect, err := stat.Difference(p, level); err == nil {
		return &effect
	}
	return nil
}

// split counts a split within each stratum, by their names.
func (l *looked) split(c counts, there side) []stat.Stratum {
	list := make([]stat.Stratum, len(l.strata))
	for k, name := range l.strata {
		list[k].Name = name
		for group := range c.all {
			sample := &list[k].Pair.Second
			if there.has(group) {
				sample = &list[k].Pair.First
			}
			sample.Parts += c.all[group][k]
			sample.Defects += c.bad[group][k]
		}
	}
	slices.SortFunc(list, func(a, b stat.Stratum) int { return cmp.Compare(a.Name, b.Name) })
	return list
}

// more returns how many more parts the smaller side would need, and how many the
// other one with it, for the two rates, if they are what they seem, to show four
// times in five with a p of so much; 0 where they are the same or nothing can be
// said.
func more(p stat.Pair, alpha float64) (smaller, other int) {
	few, many := p.First, p.Second
	if few.Parts > many.Parts {
		few, many = many, few
	}
	if few.Parts == 0 {
		return 0, 0
	}
	trial, err := stat.SampleSizeBeside(many, seems(many), seems(few), alpha, power)
	if err != nil {
		return 0, 0
	}
	return max(0, trial.PartsEach-few.Parts), max(0, trial.PartsEach-many.Parts)
}

// seems is the rate of a sample. Of one without a defect, or with defects only,
// half a part of one more is taken: no rate is 0 because none was seen.
func seems(s stat.Sample) float64 {
	if s.Defects == 0 || s.Defects == s.Parts {
		return (float64(s.Defects) + 0.5) / float64(s.Parts+1)
	}
	return s.Rate()
}

// power is how often a trial should show what is there.
const power = 0.8
