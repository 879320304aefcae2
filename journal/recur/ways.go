package recur

import (
	"math"

	"fettlebook/journal/trade/stat"
)

// split is one way to part the parts in two by a factor: one value against all
// others, or up to a cut against above it.
type split struct {
	at    int // the group, or the last one below the cut
	exact stat.Conditional
}

// ways are the splits of a factor.
type ways struct {
	grouping
	counts counts
	sum    []cell // of each stratum
	// Of a number, what lies up to the last cut that was asked for.
	upTo []cell
	till int
	room []stat.Pair
}

func (g grouping) ways(c counts, strata int) *ways {
	w := &ways{grouping: g, counts: c, sum: make([]cell, strata), till: -1}
	for _, cells := range c {
		add(w.sum, cells)
	}
	return w
}

func add(sum, cells []cell) {
	for _, one := range cells {
		sum[one.stratum].bad += one.bad
		sum[one.stratum].all += one.all
	}
}

// len is how many ways there are.
func (w *ways) len() int {
	switch n := len(w.names); {
	case n < 2:
		return 0 // all alike
	case w.number:
		return n - 1 // nothing lies above the last one
	case n == 2:
		return 1 // the other value is the same question
	default:
		return n
	}
}

// tables are those of a split, of the strata that tell anything. They are good
// until the next ones are asked for.
func (w *ways) tables(at int) []stat.Pair {
	w.room = w.room[:0]
	if !w.number {
		for _, one := range w.counts[at] {
			w.table(int(one.stratum), one)
		}
		return w.room
	}
	if at < w.till || w.upTo == nil {
		w.upTo, w.till = make([]cell, len(w.sum)), -1
	}
	for w.till < at {
		w.till++
		add(w.upTo, w.counts[w.till])
	}
	for s, one := range w.upTo {
		w.table(s, one)
	}
	return w.room
}

// table adds what lies inside of a stratum, against what lies outside.
func (w *ways) table(stratum int, in cell) {
	if sum := w.sum[stratum]; in.all > 0 && in.all < sum.all && sum.bad > 0 { // else it tells nothing
		w.room = append(w.room, stat.Pair{
			First:  stat.Sample{Defects: int(in.bad), Parts: int(in.all)},
			Second: stat.Sample{Defects: int(sum.bad - in.bad), Parts: int(sum.all - in.all)},
		})
	}
}

// tell tries all splits and returns the one that shows most, its p, which
// counts the others, and how many could have shown anything. Where chance alone
// may give many counts, the exact test is only made of the split that is
// farthest from what is expected: of the others it is known that they could
// have shown, and that they show less. Nor is it made of splits with so few
// parts that the same is told at a glance. Unless p is wanted whatever it is, it is
// left at 1 where that split lies within one standard deviation, or within two and
// it is the best of many: p is far above [allowed] then, and no search keeps it.
func tell(w *ways, whatever bool) (list []split, best int, p float64, tries int) {
	list = make([]split, w.len())
	best, p = -1, 1
	far := -1
	for i := range list {
		s, tables := &list[i], w.tables(i)
		s.at = i
		if s.exact = stat.Roughly(tables...); s.exact.Variance >= manyCounts {
			tries++
			if far < 0 || s.farther(&list[far]) {
				far = i
			}
			continue
		}
		least, atLeast, told := stat.Scarcely(tables...)
		less := told && best >= 0 && atLeast > surely*list[best].exact.P
		if !less || math.Abs(least-allowed) < allowed*(surely-1) {
			s.exact = stat.ExactStrata(tables...)
			least = s.exact.Least
		}
		if least <= allowed {
			tries++
		}
		if less {
			continue
		}
		if best < 0 || s.shows(&list[best]) {
			best = i
		}
	}
	if far >= 0 {
		within := 1.0
		if tries >= manyTries {
			within = 2
		}
		if whatever || math.Abs(list[far].exact.Beyond()) > within {
			list[far].exact = stat.ExactStrata(w.tables(far)...)
		}
		if best < 0 || list[far].shows(&list[best]) {
			best = far
		}
	}
	if best >= 0 {
		p = min(1, list[best].exact.P*float64(max(tries, 1)))
	}
	return list, best, p, tries
}

// surely is by what factor a p has to be above another one to be greater whatever
// the rounding.
const surely = 1 + 1e-6

// manyTries is from how many tries on two standard deviations are nothing.
const manyTries = 10

// manyCounts is the variance from which on chance may give many counts.
const manyCounts = 9

// farther reports whether a split lies farther from what is expected than
// another; of two that lie as far, the one with more defects inside does.
func (s *split) farther(than *split) bool {
	a, b := s.exact.Beyond(), than.exact.Beyond()
	if d := math.Abs(a) - math.Abs(b); math.Abs(d) > 1e-9*math.Abs(a) {
		return d > 0
	}
	return a > b
}

// shows reports whether a split shows more than another. Of two that show as
// much, because they ask the same, the one with more defects inside is named.
func (s *split) shows(than *split) bool {
	if a, b := s.exact.P, than.exact.P; math.Abs(a-b) > 1e-9*max(a, b) {
		return a < b
	}
	return s.exact.Beyond() > than.exact.Beyond()
}
