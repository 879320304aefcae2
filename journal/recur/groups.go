package recur

import (
	"slices"
	"strconv"

	"fettlebook/journal/parts"
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
