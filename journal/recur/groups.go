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

// counts are the parts and defects of each group in each stratum.
type counts struct {
	bad, all [][]int // by group, by stratum
}

// groups adds the strata up.
func (c counts) groups() []stat.Sample {
	list := make([]stat.Sample, len(c.all))
	for g := range list {
		for s := range c.all[g] {
			list[g].Parts += c.all[g][s]
			list[g].Defects += c.bad[g][s]
		}
	}
	return list
}

func (l *looked) count(g grouping) counts {
	c := counts{make([][]int, len(g.names)), make([][]int, len(g.names))}
	n := len(l.strata)
	flat := make([]int, 2*len(g.names)*n)
	for i := range g.names {
		c.bad[i], flat = flat[:n:n], flat[n:]
		c.all[i], flat = flat[:n:n], flat[n:]
	}
	for i, at := range g.of {
		if at == unknown {
			continue
		}
		c.all[at][l.stratum[i]]++
		if l.bad[i] {
			c.bad[at][l.stratum[i]]++
		}
	}
	return c
}

// split is one way to part the parts in two by a factor: one value against all
// others, or up to a cut against above it.
type split struct {
	at     int // the group, or the last one below the cut
	tables []stat.Pair
	exact  stat.Conditional
}

// splits lists the ways of a grouping.
func (g grouping) splits(c counts, strata int) (list []split) {
	if len(g.names) < 2 {
		return nil // all alike
	}
	bad, all := make([]int, strata), make([]int, strata)
	for i := range g.names {
		for s := range strata {
			bad[s] += c.bad[i][s]
			all[s] += c.all[i][s]
		}
	}
	inBad, inAll := make([]int, strata), make([]int, strata)
	for i := range g.names {
		if g.number && i == len(g.names)-1 {
			break // nothing lies above
		}
		if !g.number {
			clear(inBad)
			clear(inAll)
		}
		var tables []stat.Pair
		for s := range strata {
			inBad[s] += c.bad[i][s]
			inAll[s] += c.all[i][s]
			if inAll[s] > 0 && inAll[s] < all[s] { // else it tells nothing
				tables = append(tables, stat.Pair{
					First:  stat.Sample{Defects: inBad[s], Parts: inAll[s]},
					Second: stat.Sample{Defects: bad[s] - inBad[s], Parts: all[s] - inAll[s]},
				})
			}
		}
		list = append(list, split{at: i, tables: tables})
		if !g.number && len(g.names) == 2 {
			break // the other value is the same question
		}
	}
	return list
}

// tell tries all splits and returns the one that shows most, its p, which
// counts the others, and how many could have shown anything. Where chance alone
// may give many counts, the exact test is only made of the split that is
// farthest from what is expected: of the others it is known that they could
// have shown, and that they show less. Unless p is wanted whatever it is, it is
// left at 1 where that split lies within one standard deviation: p is far above
// [allowed] then, and no search keeps it.
func tell(list []split, whatever bool) (best int, p float64, tries int) {
	best, p = -1, 1
	far := -1
	for i := range list {
		s := &list[i]
		if s.exact = stat.Roughly(s.tables...); s.exact.Variance >= manyCounts {
			tries++
			if far < 0 || s.farther(&list[far]) {
				far = i
			}
			continue
		}
		if s.exact = stat.ExactStrata(s.tables...); s.exact.Least <= allowed {
			tries++
		}
		if best < 0 || s.shows(&list[best]) {
			best = i
		}
	}
	if far >= 0 {
		if whatever || math.Abs(list[far].exact.Beyond()) > 1 {
			list[far].exact = stat.ExactStrata(list[far].tables...)
		}
		if best < 0 || list[far].shows(&list[best]) {
			best = far
		}
	}
	if best >= 0 {
		p = min(1, list[best].exact.P*float64(max(tries, 1)))
	}
	return best, p, tries
}

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
