package recur

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"fettlebook/journal/parts"
	"fettlebook/journal/trade/stat"
)

// search is a study under way.
type search struct {
	parts  *looked
	asked  []asked
	groups []grouping
	base   []*looked // with what is held equal for each factor
	first  []tried   // with nothing else held equal
	apart  map[parts.Name]grouping
}

// tried is how a factor did at its best split.
type tried struct {
	counts counts
	splits []split
	best   int
	p      float64
	tries  int
}

// mostFound bounds how many factors are found one after the other. After so
// many no small shop has the parts to go on.
const mostFound = 5

func newSearch(l *looked, people bool) *search {
	s := &search{parts: l, asked: factors(people), apart: make(map[parts.Name]grouping)}
	for _, name := range []parts.Name{parts.What, parts.Metal} {
		s.apart[name] = l.words(name, asWritten)
	}
	bases := make(map[string]*looked) // most factors have the same one
	for _, a := range s.asked {
		key := fmt.Sprint(a.apart)
		if bases[key] == nil {
			bases[key] = s.holding(a.apart)
		}
		s.groups, s.base = append(s.groups, a.group(l)), append(s.base, bases[key])
	}
	return s
}

// holding returns all parts with some of what they are held apart by held equal.
func (s *search) holding(list []parts.Name) *looked {
	l := s.parts
	for _, name := range list {
		l = l.within(s.apart[name].of, s.apart[name].names)
	}
	return l
}

// try tries a factor with further factors held equal.
func (s *search) try(i int, held ...hold) tried {
	return s.tryIn(i, s.base[i].holding(held), len(held) == 0)
}

func (s *search) tryIn(i int, within *looked, whatever bool) tried {
	t := tried{counts: within.count(s.groups[i])}
	t.splits = s.groups[i].splits(t.counts, len(within.strata))
	t.best, t.p, t.tries = tell(t.splits, whatever)
	return t
}

// holding returns the same parts, with further factors held equal.
func (l *looked) holding(held []hold) *looked {
	for _, h := range held {
		l = l.within(h.of, h.names)
	}
	return l
}

// hold is a factor that is held equal.
type hold struct {
	factor, at int
	of         []int32
	names      []string
}

func (s *search) hold(i, at int) hold {
	of, names := s.groups[i].bins(at)
	return hold{i, at, of, names}
}

func isOf(i int) func(hold) bool { return func(h hold) bool { return h.factor == i } }

// run fills the study.
func (s *search) run(out *Study) {
	for i := range s.asked {
		s.first = append(s.first, s.try(i))
		out.Tries += s.first[i].tries
		if s.compares(i) {
			out.Tested++
		}
	}
	adjusted := s.adjust(s.first)
	found := s.find()
	for k := range found {
		out.Accused = append(out.Accused, s.accuse(found, k))
	}
	for i := range s.asked {
		f := s.factor(i, adjusted[i], out.Tested)
		if slices.ContainsFunc(found, isOf(i)) {
			f.Stands, f.More, f.MoreOther = true, 0, 0
		} else {
			s.excuse(&f, i, found)
		}
		for k := range out.Accused {
			if f.Because == Together && out.Accused[k].Name == f.Of {
				out.Accused[k].Together = append(out.Accused[k].Together, f.Name)
			}
		}
		out.Factors = append(out.Factors, f)
	}
	slices.SortStableFunc(out.Factors, func(a, b Factor) int { return cmp.Or(cmp.Compare(a.P, b.P), cmp.Compare(a.Name, b.Name)) })
	for k := range out.Accused {
		out.Accused[k].trial()
	}
	out.Named = s.named(out)
}

// compares reports whether a factor tells parts apart at all.
func (s *search) compares(i int) bool { return len(s.groups[i].names) > 1 }

// adjust counts all factors that were tried: the adjusted p of each.
func (s *search) adjust(all []tried) []stat.Finding {
	byFactor := make([]stat.Finding, len(all))
	var causes []stat.Cause
	for i, t := range all {
		byFactor[i].Adjusted = 1
		if s.compares(i) {
			causes = append(causes, stat.Cause{Name: string(s.asked[i].column.Name), P: t.p})
		}
	}
	result, err := stat.BenjaminiHochberg(causes, len(causes), allowed)
	if err != nil {
		return byFactor // there is none
	}
	for _, f := range result.Findings {
		byFactor[slices.IndexFunc(s.asked, func(a asked) bool { return string(a.column.Name) == f.Name })] = f
	}
	return byFactor
}

// find finds one factor after the other: the one that shows most, then the one
// that shows most while that is held equal, until none stands out.
func (s *search) find() (found []hold) {
	round := s.first
	for len(found) < mostFound {
		best := s.most(round)
		if best < 0 {
			break
		}
		found = append(found, s.hold(best, round[best].splits[round[best].best].at))
		round = s.round(found)
	}
	return s.needed(found)
}

// round tries all factors while some are held equal, which are not tried
// themselves.
func (s *search) round(held []hold) []tried {
	if len(held) == 0 {
		return s.first
	}
	round := make([]tried, len(s.asked))
	within := make(map[*looked]*looked) // of each base
	for i := range s.asked {
		if slices.ContainsFunc(held, isOf(i)) {
			round[i] = tried{best: -1, p: 1}
			continue
		}
		if within[s.base[i]] == nil {
			within[s.base[i]] = s.base[i].holding(held)
		}
		round[i] = s.tryIn(i, within[s.base[i]], false)
	}
	return round
}

// most returns the factor that shows most in a round, or less than 0 if none
// stands out.
func (s *search) most(round []tried) int {
	all := s.adjust(round)
	best := -1
	for i, t := range round {
		if all[i].Kept && (best < 0 || t.more(round[best])) {
			best = i
		}
	}
	return best
}

// more reports whether a factor shows more than another; of two that show as
// much, the one that lies farther from chance.
func (t tried) more(than tried) bool {
	if t.p != than.p {
		return t.p < than.p
	}
	return math.Abs(t.splits[t.best].exact.Beyond()) > math.Abs(than.splits[than.best].exact.Beyond())
}

// needed drops, the weakest first, what was found and does not stand out any
// more while all else that was found is held equal.
func (s *search) needed(found []hold) []hold {
	for len(found) > 1 {
		weakest, most := -1, allowed
		for k := range found {
			if _, adjusted := s.beside(found, k); adjusted > most {
				weakest, most = k, adjusted
			}
		}
		if weakest < 0 {
			break
		}
		found = without(found, weakest)
	}
	return found
}

// beside is the p of the k-th find while the others are held equal: its factor's
// other splits counted, and with all factors counted too.
func (s *search) beside(found []hold, k int) (p, adjusted float64) {
	h, others := found[k], without(found, k)
	round := slices.Clone(s.round(others))
	round[h.factor].p = s.left(h, others)
	return round[h.factor].p, s.adjust(round)[h.factor].Adjusted
}

func without(found []hold, k int) []hold {
	return slices.Concat(found[:k], found[k+1:])
}

// left is the p of a split, counting its factor's other splits, while others
// are held equal.
func (s *search) left(h hold, held []hold) float64 {
	t := s.try(h.factor, held...)
	at := slices.IndexFunc(t.splits, func(one split) bool { return one.at == h.at })
	if at < 0 {
		return 1
	}
	return min(1, stat.ExactStrata(t.splits[at].tables...).P*float64(max(t.tries, 1)))
}

// excuse says why a factor that shows something by itself is not accused: it
// cannot be told from one that is, or it only goes along with it, with the one
// that leaves least of it. The first is asked also of one that would not stand
// out by itself: one pattern of a metal may be all that is wrong with the metal.
func (s *search) excuse(f *Factor, i int, found []hold) {
	for _, accused := range found {
		name := s.asked[accused.factor].column.Name
		t := s.first[i]
		if slices.Contains(s.asked[i].apart, name) { // else it would be tried within what it may explain
			t = s.tryIn(i, s.holding(slices.DeleteFunc(slices.Clone(s.asked[i].apart), func(n parts.Name) bool { return n == name })), true)
		}
		if t.p > allowed {
			continue
		}
		at := t.splits[t.best].at
		if s.left(accused, []hold{s.hold(i, at)}) > allowed {
			f.Because, f.Of = Together, name
			f.showAt(s.base[i], s.first[i].counts, s.side(i, at, t))
			return
		}
	}
	if !f.Stands {
		return
	}
	own := s.hold(i, s.first[i].splits[s.first[i].best].at)
	least := -1.0
	for _, accused := range found {
		if left := s.left(own, []hold{accused}); left > least {
			f.Because, f.Of, least = GoesAlong, s.asked[accused.factor].column.Name, left
		}
	}
}
