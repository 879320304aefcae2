package recur

import (
	"math"
	"slices"
	"strconv"

	"fettlebook/journal/parts"
	"fettlebook/journal/trade/stat"
	"fettlebook/journal/words"
)

// looked is the parts that somebody looked at, as the tests need them.
type looked struct {
	table   *parts.Table
	rows    []int // of the table
	bad     []bool
	stratum []int    // of each row
	strata  []string // their names
}

// lookedAt takes the parts that were looked at for a defect.
func lookedAt(t *parts.Table, defect string) *looked {
	l := &looked{table: t}
	seen, _ := t.Words(parts.Defect(defect))
	at, _ := t.Words(parts.Looked)
	for i := range t.Len() {
		if at[i] == yes {
			l.rows = append(l.rows, i)
			l.bad = append(l.bad, seen[i] == yes)
		}
	}
	l.stratum, l.strata = make([]int, len(l.rows)), []string{""}
	return l
}

// The codes of answers in a table.
const (
	no  = 1
	yes = 2
)

// within returns the same parts, told apart by further groups: parts of
// different groups are not compared with each other.
func (l *looked) within(groups []int32, names []string) *looked {
	out := *l
	out.stratum, out.strata = make([]int, len(l.rows)), nil
	number := make([]int, len(l.strata)*(len(names)+1)) // one more than that of the stratum
	for i, group := range groups {
		key := l.stratum[i]*(len(names)+1) + int(group+1)
		if number[key] == 0 {
			name := "not written"
			if group != unknown {
				name = names[group]
			}
			out.strata = append(out.strata, words.Commas(l.strata[l.stratum[i]], name))
			number[key] = len(out.strata)
		}
		out.stratum[i] = number[key] - 1
	}
	return &out
}

// grouping is a factor as groups of parts: values of a word, or the spans
// between the cuts of a number, in rising order.
type grouping struct {
	of     []int32 // the group of each part that was looked at; unknown without one
	names  []string
	cuts   []float64 // of a number: group g lies up to cuts[g], the last one above all
	number bool
	// order lists the parts of the first group, then those of the second, and so
	// on; ends are where each group ends in it.
	order []int32
	ends  []int32
}

const unknown = -1

// words groups the parts by a column of words or answers.
func (l *looked) words(name parts.Name, say func(string) string) grouping {
	codes, list := l.table.Words(name)
	g := grouping{of: make([]int32, len(l.rows))}
	number := make([]int32, len(list)+1)
	for i := range number {
		number[i] = unknown
	}
	for i, row := range l.rows {
		g.of[i] = unknown
		if code := codes[row]; code > 0 {
			if number[code] == unknown {
				number[code] = int32(len(g.names))
				g.names = append(g.names, say(list[code-1]))
			}
			g.of[i] = number[code]
		}
	}
	return g
}

// numbers groups the parts by a column of numbers, at cuts that leave about as
// many parts between each two.
func (l *looked) numbers(name parts.Name) grouping {
	all := l.table.Numbers(name)
	g := grouping{number: true}
	values := make([]float64, len(l.rows))
	for i, row := range l.rows {
		values[i] = all[row]
	}
	g.cuts, g.of = spans(values)
	for i := range len(g.cuts) + 1 {
		switch {
		case len(g.cuts) == 0:
			g.names = append(g.names, "all")
		case i == 0:
			g.names = append(g.names, "up to "+digits(g.cuts[0]))
		case i == len(g.cuts):
			g.names = append(g.names, "above "+digits(g.cuts[i-1]))
		default:
			g.names = append(g.names, "above "+digits(g.cuts[i-1])+" to "+digits(g.cuts[i]))
		}
	}
	return g
}

func digits(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// sorted returns the grouping with its parts in order.
func (g grouping) sorted() grouping {
	g.ends = make([]int32, len(g.names)+1)
	n := 0
	for _, at := range g.of {
		if at != unknown {
			g.ends[at+1]++
			n++
		}
	}
	for i := range g.names {
		g.ends[i+1] += g.ends[i]
	}
	g.order = make([]int32, n)
	for i, at := range g.of {
		if at != unknown {
			g.order[g.ends[at]] = int32(i)
			g.ends[at]++
		}
	}
	return g
}

// cell is the parts and defects of a group in a stratum.
type cell struct{ stratum, bad, all int32 }

// counts are the cells that have parts, of each group by rising stratum. There
// may be thousands of groups and hundreds of strata, and few parts in each.
type counts [][]cell

// groups adds the strata up.
func (c counts) groups() []stat.Sample {
	list := make([]stat.Sample, len(c))
	for g, cells := range c {
		for _, one := range cells {
			list[g].Parts += int(one.all)
			list[g].Defects += int(one.bad)
		}
	}
	return list
}

func (l *looked) count(g grouping) counts {
	c := make(counts, len(g.names))
	in := make([]cell, len(l.strata)) // of the group that is counted
	var strata []int32                // that it has parts in
	all := make([]cell, 0, len(g.names))
	from := int32(0)
	for i, end := range g.ends[:len(g.names)] {
		strata = strata[:0]
		for _, part := range g.order[from:end] {
			one := &in[l.stratum[part]]
			if one.all == 0 {
				strata = append(strata, int32(l.stratum[part]))
			}
			if one.all++; l.bad[part] {
				one.bad++
			}
		}
		slices.Sort(strata)
		first := len(all)
		for _, s := range strata {
			all = append(all, cell{s, in[s].bad, in[s].all})
			in[s] = cell{}
		}
		c[i], from = all[first:len(all):len(all)], end
	}
	return c
}

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
		least, p, told := stat.Scarcely(tables...)
		if !told || best < 0 || p < beyondTies*list[best].exact.P || math.Abs(least-allowed) < allowed*(beyondTies-1) {
			s.exact = stat.ExactStrata(tables...)
			least, told = s.exact.Least, false
		}
		if least <= allowed {
			tries++
		}
		if told {
			continue // it shows less than the best one
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

// beyondTies is by what factor a p has to be above another one to be sure to be
// greater, whatever the rounding.
const beyondTies = 1 + 1e-6

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

// within reports whether a group lies inside a split.
func (g grouping) within(group, at int) bool { return group == at || g.number && group <= at }

// inside reports for each part on which side of a split it lies: 1 inside, 0
// outside, unknown if the factor is not known of it.
func (g grouping) inside(at int) []int32 {
	side := make([]int32, len(g.of))
	for i, group := range g.of {
		switch {
		case group == unknown:
			side[i] = unknown
		case g.within(int(group), at):
			side[i] = 1
		}
	}
	return side
}

// bins returns the groups by which a factor is held equal: of words the one
// value against all others, of a number about [mostBins] spans, the cut among
// their ends.
func (g grouping) bins(at int) ([]int32, []string) {
	if !g.number {
		return g.inside(at), []string{"other", g.names[at]}
	}
	ends := []int{at}
	for i := 1; i < mostBins; i++ {
		ends = append(ends, len(g.cuts)*i/mostBins)
	}
	slices.Sort(ends)
	ends = slices.Compact(ends)
	of, names := make([]int32, len(g.of)), make([]string, len(ends)+1)
	for i, group := range g.of {
		if of[i] = unknown; group != unknown {
			bin, _ := slices.BinarySearch(ends, int(group))
			of[i] = int32(bin)
		}
	}
	for i := range names {
		names[i] = strconv.Itoa(i)
	}
	return of, names
}

// mostBins is in how many spans a number is held equal.
const mostBins = 20
