package recur

import (
	"cmp"
	"slices"

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
	Stands   bool          `json:"stands_out"`
	Because  Because       `json:"because,omitempty"` // of one that stands out, but is not accused
	Of       parts.Name    `json:"of,omitempty"`      // by which other factor
	// More is how many more parts of each side it would take for a difference as
	// large as the one seen to show, where it did not; 0 where that is not known.
	More int `json:"more_parts,omitempty"`

	first, last int    // the groups on the split's side
	with        string // the split's side as a condition on the table; "" if none says it
}

// There reports whether a group lies on the side that the split names.
func (f Factor) There(group int) bool { return f.Split != "" && f.first <= group && group <= f.last }

// Because is why a factor that stands out is not accused.
type Because string

// Why factors that stand out are not accused.
const (
	GoesAlong Because = "goes along" // nothing is left of it once the other is held equal
	Together  Because = "together"   // neither can be told from the other
)

// pair adds a split up over all strata, the worse side first where a number is
// cut, and names that side; above says that it is the one above the cut.
func (s *search) pair(i, at int) (p stat.Pair, side string, above bool) {
	g := s.groups[i]
	for k, group := range s.first[i].counts.groups() {
		sample := &p.Second
		if g.within(k, at) {
			sample = &p.First
		}
		sample.Parts += group.Parts
		sample.Defects += group.Defects
	}
	if !g.number {
		return p, g.names[at], false
	}
	side = "up to "
	if p.First.Defects*p.Second.Parts < p.Second.Defects*p.First.Parts {
		p.First, p.Second, side = p.Second, p.First, "above "
		above = true
	}
	side += digits(g.cuts[at])
	if unit := s.asked[i].column.Unit; unit != "" {
		side += " " + unit
	}
	return p, side, above
}

// factor says how a factor did by itself.
func (s *search) factor(i int, f stat.Finding) Factor {
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
	at := t.splits[t.best].at
	above := false
	out.Pair, out.Split, above = s.pair(i, at)
	switch out.first, out.last = at, at; {
	case above:
		out.first, out.last = at+1, len(g.names)-1
	case g.number:
		out.first = 0
	}
	out.with = s.asked[i].condition(g, at, above)
	if effect, err := stat.Difference(out.Pair, level); err == nil {
		out.Effect = &effect
	}
	if pooled, err := stat.MantelHaenszel(s.strata(i, at, above), level); err == nil {
		out.Pooled = &pooled
	}
	if !out.Stands {
		out.More = more(out.Pair)
	}
	return out
}

// condition is a side of a split as a condition on the table. There is none for
// what only follows from the table, nor for people: who sprayed stays in the
// office.
func (a asked) condition(g grouping, at int, above bool) string {
	c := a.column
	if c.Person || !slices.ContainsFunc(parts.Columns(), func(known parts.Column) bool { return known.Name == c.Name }) {
		return ""
	}
	text := string(c.Name) + string(parts.Is)
	switch {
	case !g.number:
		text += g.names[at]
	case above:
		text = string(c.Name) + string(parts.Greater) + digits(g.cuts[at])
	default:
		text = string(c.Name) + string(parts.AtMost) + digits(g.cuts[at])
	}
	if f, err := parts.ParseFilter(text); err == nil && f[0].Value.Known() {
		return f[0].String()
	}
	return "" // a word that reads as something else in a condition
}

// strata counts a split within each kind of part and metal, by their names.
func (s *search) strata(i, at int, swapped bool) []stat.Stratum {
	g, c := s.groups[i], s.first[i].counts
	list := make([]stat.Stratum, len(s.base[i].strata))
	for k, name := range s.base[i].strata {
		list[k].Name = name
		for group := range g.names {
			sample := &list[k].Pair.Second
			if g.within(group, at) != swapped {
				sample = &list[k].Pair.First
			}
			sample.Parts += c.all[group][k]
			sample.Defects += c.bad[group][k]
		}
	}
	slices.SortFunc(list, func(a, b stat.Stratum) int { return cmp.Compare(a.Name, b.Name) })
	return list
}

// more returns how many more parts the smaller side would need for the two
// rates, if they are what they seem, to show four times in five; 0 where they
// are the same or nothing can be said. Of a side without a defect, half a defect
// in one part more is taken.
func more(p stat.Pair) int {
	if p.First.Parts == 0 || p.Second.Parts == 0 {
		return 0
	}
	seems := func(s stat.Sample) float64 {
		if s.Defects == 0 || s.Defects == s.Parts {
			return (float64(s.Defects) + 0.5) / float64(s.Parts+1)
		}
		return s.Rate()
	}
	trial, err := stat.SampleSize(seems(p.First), seems(p.Second), allowed, power)
	if err != nil {
		return 0
	}
	return max(0, trial.PartsEach-min(p.First.Parts, p.Second.Parts))
}

// power is how often a trial should show what is there.
const power = 0.8

// trial works out what would part the factors that cannot be told apart.
func (a *Accused) trial(out *Study) {
	at := slices.IndexFunc(out.Factors, func(f Factor) bool { return f.Name == a.Name })
	if len(a.Together) == 0 || at < 0 {
		return
	}
	pair := out.Factors[at].Pair
	each, err := stat.SampleSize(pair.First.Rate(), pair.Second.Rate(), allowed, power)
	if err == nil {
		a.Trial = &Trial{Each: each}
	}
}
