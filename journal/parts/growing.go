package parts

import "slices"

// growing is a table to which rows are being added, behind those that it had.
type growing struct {
	*Table
	codes []map[string]uint32 // of each column of words, once a word was added
	had   int                 // rows at the beginning
}

// grow returns a copy of a table that can grow.
func (t *Table) grow() growing {
	g := growing{Table: &Table{columns: t.columns, at: t.at, cells: slices.Clone(t.cells), n: t.n}, had: t.n}
	for i := range g.cells {
		s := &g.cells[i]
		s.numbers, s.codes, s.names = slices.Clip(s.numbers), slices.Clip(s.codes), slices.Clip(s.names)
	}
	return g
}

func (g *growing) rows(rows []Row) {
	values := make([]Value, len(g.columns))
	for _, r := range rows {
		for i, c := range g.columns {
			values[i] = r.Get(c.Name)
		}
		g.add(values)
	}
}

// add adds a row with a value for each column.
func (g *growing) add(values []Value) {
	for i, c := range g.columns {
		g.put(i, c.Kind, values[i])
	}
	g.n++
}

func (g *growing) put(column int, kind Kind, v Value) {
	s := &g.cells[column]
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
		s.codes = append(s.codes, g.code(column, v))
	}
}

// code is by what a word is kept, 0 of what is absent.
func (g *growing) code(column int, v Value) uint32 {
	if !v.Known() {
		return 0
	}
	if g.codes == nil {
		g.codes = make([]map[string]uint32, len(g.columns))
	}
	s := &g.cells[column]
	if g.codes[column] == nil {
		g.codes[column] = make(map[string]uint32, len(s.names))
		for i, name := range s.names {
			g.codes[column][name] = uint32(i + 1)
		}
	}
	code, ok := g.codes[column][v.word]
	if !ok {
		s.names = append(s.names, v.word)
		code = uint32(len(s.names))
		g.codes[column][v.word] = code
	}
	return code
}

// merged returns the table of some of the rows that it had, which are in order,
// and of all that were added.
func (g *growing) merged(kept []int) *Table {
	order := g.order()
	added := make([]int, 0, g.n-g.had)
	for i := g.had; i < g.n; i++ {
		added = append(added, i)
	}
	slices.SortStableFunc(added, order)
	all := make([]int, 0, len(kept)+len(added))
	for len(kept) > 0 && len(added) > 0 {
		from := &kept
		if order(added[0], kept[0]) < 0 {
			from = &added
		}
		all, *from = append(all, (*from)[0]), (*from)[1:]
	}
	return g.pick(append(append(all, kept...), added...))
}
