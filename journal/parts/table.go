package parts

import (
	"cmp"
	"math"
	"slices"

	"fettlebook/journal"
)

// Table is many rows, in the order in which their powder went on. It is never
// changed and may be read by several at a time.
type Table struct {
	columns []Column
	at      map[Name]int
	cells   []cells
	n       int
}

// cells are the values of one column.
type cells struct {
	numbers []float64 // of numbers and days; NaN where absent
	codes   []uint32  // of words: 0 where absent, else one more than the place in names; of answers: 1 no, 2 yes
	names   []string  // in the order of the rows, each of which has one somewhere
}

// New returns a table of rows. Columns that the dictionary does not have are
// left out.
func New(rows ...Row) *Table {
	g := growing{Table: empty()}
	g.rows(rows)
	return g.merged(nil)
}

func empty() *Table {
	t := &Table{columns: Columns(), at: make(map[Name]int)}
	t.cells = make([]cells, len(t.columns))
	for i, c := range t.columns {
		t.at[c.Name] = i
	}
	return t
}

// With returns the table with the rows of some jobs replaced; a job without
// rows leaves it.
func (t *Table) With(changed map[journal.JobID][]Row) *Table {
	g := t.grow()
	for _, rows := range changed {
		g.rows(rows)
	}
	return g.merged(t.others(func(job journal.JobID) bool { _, ok := changed[job]; return ok }))
}

// others lists the rows that are not of some jobs.
func (t *Table) others(than func(journal.JobID) bool) []int {
	job := t.cells[t.at[Job]]
	gone := make([]bool, len(job.names)+1)
	for i, name := range job.names {
		gone[i+1] = than(journal.JobID(name))
	}
	return t.where(func(i int) bool { return !gone[job.codes[i]] })
}

// where lists the rows for which it is so.
func (t *Table) where(so func(i int) bool) []int {
	var list []int
	for i := range t.n {
		if so(i) {
			list = append(list, i)
		}
	}
	return list
}

// pick returns a table of some rows, in the given order.
func (t *Table) pick(rows []int) *Table {
	out := &Table{columns: t.columns, at: t.at, cells: make([]cells, len(t.cells)), n: len(rows)}
	for i := range t.cells {
		out.cells[i] = t.cells[i].pick(t.columns[i].Kind, rows)
	}
	return out
}

func (s *cells) pick(kind Kind, rows []int) (out cells) {
	if kind == Number || kind == Day {
		out.numbers = make([]float64, len(rows))
		for k, r := range rows {
			out.numbers[k] = s.numbers[r]
		}
		return out
	}
	out.codes = make([]uint32, len(rows))
	anew := make([]uint32, len(s.names)+1) // their codes among those that are picked
	for k, r := range rows {
		code := s.codes[r]
		if kind == Word && code > 0 {
			if anew[code] == 0 {
				out.names = append(out.names, s.names[code-1])
				anew[code] = uint32(len(out.names))
			}
			code = anew[code]
		}
		out.codes[k] = code
	}
	return out
}

// order is that of the table: by the day of the powder, by part, and by coat. The
// order in which rows came does not show.
func (t *Table) order() func(a, b int) int {
	days, coats, part := t.cells[t.at[Date]].numbers, t.cells[t.at[Coat]].numbers, t.cells[t.at[Part]]
	return func(a, b int) int {
		return cmp.Or(compareNumbers(days[a], days[b]), cmp.Compare(part.name(a), part.name(b)), cmp.Compare(coats[a], coats[b]))
	}
}

// compareNumbers puts what is absent last: what has no day is the newest.
func compareNumbers(a, b float64) int {
	switch an, bn := math.IsNaN(a), math.IsNaN(b); {
	case an && bn:
		return 0
	case an:
		return 1
	case bn:
		return -1
	}
	return cmp.Compare(a, b)
}

func (s *cells) name(i int) string {
	if code := s.codes[i]; code > 0 {
		return s.names[code-1]
	}
	return ""
}

// Len is how many rows there are.
func (t *Table) Len() int { return t.n }

// Columns returns the data dictionary.
func (t *Table) Columns() []Column { return slices.Clone(t.columns) }

// Column returns an entry of the data dictionary.
func (t *Table) Column(name Name) (Column, bool) {
	i, ok := t.at[name]
	if !ok {
		return Column{}, false
	}
	return t.columns[i], true
}

// Numbers returns a column of numbers or days, row by row, NaN where it is
// absent; nil of other columns. It must not be changed.
func (t *Table) Numbers(name Name) []float64 {
	if i, ok := t.at[name]; ok {
		return t.cells[i].numbers
	}
	return nil
}

// Words returns a column of words, row by row, as places in the list of words
// less one: 0 where it is absent. Of answers, 1 is no and 2 is yes. Neither
// must be changed.
func (t *Table) Words(name Name) (codes []uint32, words []string) {
	i, ok := t.at[name]
	switch {
	case !ok:
		return nil, nil
	case t.columns[i].Kind == YesNo:
		return t.cells[i].codes, []string{"no", "yes"}
	}
	return t.cells[i].codes, t.cells[i].names
}

// At returns what stands in a column of a row.
func (t *Table) At(row int, name Name) Value {
	i, ok := t.at[name]
	if !ok {
		return Value{}
	}
	s := &t.cells[i]
	switch kind := t.columns[i].Kind; kind {
	case Number, Day:
		if v := s.numbers[row]; !math.IsNaN(v) {
			return Value{kind: kind, number: v}
		}
	case YesNo:
		if code := s.codes[row]; code > 0 {
			return Value{kind: kind, number: float64(code - 1)}
		}
	case Word:
		return Text(s.name(row))
	}
	return Value{}
}

// Row returns a row.
func (t *Table) Row(i int) Row {
	r := Row{make(map[Name]Value)}
	for _, c := range t.columns {
		r.Put(c.Name, t.At(i, c.Name))
	}
	return r
}
