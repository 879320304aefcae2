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
	names   []string
	code    map[string]uint32
}

// New returns a table of rows. Columns that the dictionary does not have are
// left out.
func New(rows ...Row) *Table {
	t := empty()
	t.add(rows)
	return t.sorted()
}

func empty() *Table {
	t := &Table{columns: Columns(), at: make(map[Name]int)}
	t.cells = make([]cells, len(t.columns))
	for i, c := range t.columns {
		t.at[c.Name] = i
		if c.Kind == Word {
			t.cells[i].code = make(map[string]uint32)
		}
	}
	return t
}

func (t *Table) add(rows []Row) {
	for i, c := range t.columns {
		s := &t.cells[i]
		for _, r := range rows {
			s.put(c.Kind, r.Get(c.Name))
		}
	}
	t.n += len(rows)
}

func (s *cells) put(kind Kind, v Value) {
	if v.kind != kind {
		v = Value{}
	}
	switch kind {
	case Number, Day:
		s.numbers = append(s.numbers, v.Number())
	case YesNo:
		code := uint32(0)
		if v.Known() {
			code = uint32(v.number) + 1
		}
		s.codes = append(s.codes, code)
	case Word:
		if !v.Known() {
			s.codes = append(s.codes, 0)
			return
		}
		code, ok := s.code[v.word]
		if !ok {
			s.names = append(s.names, v.word)
			code = uint32(len(s.names))
			s.code[v.word] = code
		}
		s.codes = append(s.codes, code)
	}
}

// With returns the table with the rows of some jobs replaced; a job without
// rows leaves it.
func (t *Table) With(changed map[journal.JobID][]Row) *Table {
	job := t.cells[t.at[Job]]
	gone := make(map[uint32]bool)
	for id := range changed {
		if code, ok := job.code[string(id)]; ok {
			gone[code] = true
		}
	}
	out := t.pick(t.where(func(i int) bool { return !gone[job.codes[i]] }))
	for _, rows := range changed {
		out.add(rows)
	}
	return out.sorted()
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
	for i, s := range t.cells {
		o := &out.cells[i]
		if s.code != nil {
			o.names, o.code = slices.Clone(s.names), make(map[string]uint32, len(s.code))
			for w, c := range s.code {
				o.code[w] = c
			}
		}
		if t.columns[i].Kind == Number || t.columns[i].Kind == Day {
			o.numbers = make([]float64, len(rows))
			for k, r := range rows {
				o.numbers[k] = s.numbers[r]
			}
			continue
		}
		o.codes = make([]uint32, len(rows))
		for k, r := range rows {
			o.codes[k] = s.codes[r]
		}
	}
	return out
}

// sorted brings rows into the order of the table: by the day of the powder, by
// part, and by coat. The order of their arrival does not show.
func (t *Table) sorted() *Table {
	days, coats, part := t.cells[t.at[Date]].numbers, t.cells[t.at[Coat]].numbers, t.cells[t.at[Part]]
	less := func(a, b int) int {
		return cmp.Or(compareNumbers(days[a], days[b]), cmp.Compare(part.name(a), part.name(b)), cmp.Compare(coats[a], coats[b]))
	}
	order := make([]int, t.n)
	for i := range order {
		order[i] = i
	}
	if slices.IsSortedFunc(order, less) {
		return t
	}
	slices.SortStableFunc(order, less)
	return t.pick(order)
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
