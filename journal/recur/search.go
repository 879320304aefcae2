package recur

import (
	"cmp"
	"fmt"
	"math"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"fettlebook/journal/parts"
	"fettlebook/journal/trade/stat"
)

// Accused is a factor that still goes with the defect while all that was found
// before it is held equal, and what cannot be told from it.
type Accused struct {
	Name     parts.Name   `json:"name"`
	Split    string       `json:"split"`
	P        float64      `json:"p"` // with all found before it held equal
	Together []parts.Name `json:"together,omitempty"`
	Trial    *Trial       `json:"trial,omitempty"`
}

// Trial would part factors that cannot be told apart.
type Trial struct {
	Each stat.Trial `json:"each"` // parts that have the one and not the other, and the other way round
}

// search is a study under way.
type search struct {
	parts  *looked
	asked  []asked
	groups []grouping
	base   []*looked // with what is held equal for each factor
	first  []tried   // with nothing else held equal
}

// tried is how a factor did at its best split.
type tried struct {
	counts counts
	ways   *ways
	splits []split
	best   int
	p      float64
	tries  int
}

// mostFound bounds how many factors are found one after the other. After so
// many no small shop has the parts to go on.
const mostFound = 5

func newSearch(l *looked, people bool) *search {
	s := &search{parts: l, asked: factors(people)}
	apart := make(map[parts.Name]grouping)
	for _, name := range []parts.Name{parts.What, parts.Metal} {
		apart[name] = l.words(name, asWritten)
	}
	bases := make(map[string]*looked) // most factors have the same one
	s.groups = make([]grouping, len(s.asked))
	each(len(s.asked), func(i int) { s.groups[i] = s.asked[i].group(l).sorted() })
	for _, a := range s.asked {
		key := fmt.Sprint(a.apart)
		if bases[key] == nil {
			bases[key] = l
			for _, name := range a.apart {
				bases[key] = bases[key].within(apart[name].of, apart[name].names)
			}
		}
		s.base = append(s.base, bases[key])
	}
	return s
}

// try tries a factor with further factors held equal.
func (s *search) try(i int, held ...hold) tried {
	return s.tryIn(i, s.base[i].holding(held), len(held) == 0)
}

func (s *search) tryIn(i int, within *looked, whatever bool) tried {
	t := tried{counts: within.count(s.groups[i])}
	t.ways = s.groups[i].ways(t.counts, len(within.strata))
	t.splits, t.best, t.p, t.tries = tell(t.ways, whatever)
	return t
}

// holding returns the same parts, with further factors held equal.
func (l *looked) holding(held []hold) *looked {
	for _, h := range held {
		l = l.within(h.of, h.names)
	}
	return l
}

// each does something for each of n factors, on as many processors as there are:
// factors are tried by themselves, so the order does not show.
func each(n int, do func(i int)) {
	var next atomic.Int64
	var all sync.WaitGroup
	for range min(n, runtime.GOMAXPROCS(0)) {
		all.Go(func() {
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				do(i)
			}
		})
	}
	all.Wait()
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
	s.first = make([]tried, len(s.asked))
	each(len(s.asked), func(i int) { s.first[i] = s.try(i) })
	for i := range s.asked {
		out.Tries += s.first[i].tries
		if len(s.groups[i].names) > 1 {
			out.Tested++
		}
	}
	adjusted := s.adjust(s.first, out.Tested)
	found := s.find(out)
	for i := range s.asked {
		f := s.factor(i, adjusted[i])
		if f.P <= allowed && !slices.ContainsFunc(found, isOf(i)) {
			if f.Because, f.Of = s.excuse(i, found); !f.Stands && f.Because != Together {
				f.Because, f.Of = "", ""
			}
			for k := range out.Accused {
				if f.Because == Together && out.Accused[k].Name == f.Of {
					out.Accused[k].Together = append(out.Accused[k].Together, f.Name)
				}
			}
		}
		out.Factors = append(out.Factors, f)
	}
	slices.SortStableFunc(out.Factors, func(a, b Factor) int { return cmp.Or(cmp.Compare(a.P, b.P), cmp.Compare(a.Name, b.Name)) })
	for k := range out.Accused {
		out.Accused[k].trial(out)
	}
	out.Named = s.named(out)
}

// adjust counts all tries: the adjusted p of each factor.
func (s *search) adjust(all []tried, tested int) []stat.Finding {
	causes := make([]stat.Cause, len(all))
	for i, t := range all {
		causes[i] = stat.Cause{Name: string(s.asked[i].column.Name), P: t.p}
	}
	byFactor := make([]stat.Finding, len(all))
	result, err := stat.BenjaminiHochberg(causes, max(tested, len(causes)), allowed)
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
func (s *search) find(out *Study) (found []hold) {
	round := slices.Clone(s.first)
	for len(found) < mostFound {
		best := s.most(round, found, out.Tested)
		if best < 0 {
			break
		}
		found = append(found, s.hold(best, round[best].splits[round[best].best].at))
		within := make(map[*looked]*looked) // of each base
		for i := range s.asked {
			if within[s.base[i]] == nil {
				within[s.base[i]] = s.base[i].holding(found)
			}
		}
		each(len(s.asked), func(i int) { round[i] = s.tryIn(i, within[s.base[i]], false) })
	}
	found = s.needed(found)
	for k, h := range found {
		_, side, _ := s.pair(h.factor, h.at)
		out.Accused = append(out.Accused, Accused{Name: s.asked[h.factor].column.Name, Split: side, P: s.left(h, without(found, k))})
	}
	return found
}

// most returns the factor that shows most in a round, or less than 0 if none
// that is not found yet stands out.
func (s *search) most(round []tried, found []hold, tested int) int {
	all := s.adjust(round, tested)
	best := -1
	for i, t := range round {
		if !all[i].Kept || slices.ContainsFunc(found, isOf(i)) {
			continue
		}
		if best < 0 || t.more(round[best]) {
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

// needed drops what was found early and of which nothing is left once what was
// found later is held equal.
func (s *search) needed(found []hold) []hold {
	for k := 0; k < len(found); {
		if rest := without(found, k); len(rest) > 0 && s.left(found[k], rest) > allowed {
			found, k = rest, 0
			continue
		}
		k++
	}
	return found
}

func without(found []hold, k int) []hold {
	return slices.Concat(found[:k], found[k+1:])
}

// left is the p of a split, counting its factor's other splits, while others
// are held equal.
func (s *search) left(h hold, held []hold) float64 {
	t := s.try(h.factor, held...)
	return min(1, stat.ExactStrata(t.ways.tables(h.at)...).P*float64(max(t.tries, 1)))
}

// excuse says why a factor that shows something by itself is not accused: it
// cannot be told from one that is, or it only goes along with it. The first is
// asked also of one that would not stand out by itself: one pattern of a metal
// may be all that is wrong with the metal.
func (s *search) excuse(i int, found []hold) (Because, parts.Name) {
	t := s.first[i]
	held := s.hold(i, t.splits[t.best].at)
	for _, f := range found {
		if s.left(f, []hold{held}) > allowed {
			return Together, s.asked[f.factor].column.Name
		}
	}
	if len(found) == 0 {
		return "", ""
	}
	return GoesAlong, s.asked[found[0].factor].column.Name
}
