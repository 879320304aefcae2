package form

import (
	"fmt"
	"maps"
	"slices"
	"strings"
)

// Grow gives a field one row more.
func (s Sheet) Grow(v Values, field string) Values {
	f := s.Field(field)
	if f == nil || len(f.Cells) == 0 {
		return v
	}
	return f.extend(v, max(v.rows(f.Name), 1), "") // one empty row is always shown
}

// Named returns the form with a help at a field that is counted by name, and
// without the usual answers there.
func (s Sheet) Named(field, help string) Sheet {
	s.Fields = slices.Clone(s.Fields)
	if f := s.Field(field); f != nil {
		f.Help, f.Usual = help, nil
	}
	return s
}

// Offering returns the form with other usual answers at a field, if there are any.
func (s Sheet) Offering(field string, usual ...string) Sheet {
	s.Fields = slices.Clone(s.Fields)
	if f := s.Field(field); f != nil && len(usual) > 0 {
		f.Usual = usual
	}
	return s
}

// extend adds row n, its first cell answered. Its units are those of the row
// above: a gauge that reads mil goes on reading mil.
func (f *Field) extend(v Values, n int, answer string) Values {
	if n >= MaxRows {
		return v
	}
	longer := v.with(f.cell(n, 0), answer)
	for i := range f.Cells {
		if unit := v.Get(f.cell(max(n-1, 0), i) + ".unit"); unit != "" {
			longer[f.cell(n, i)+".unit"] = []string{unit}
		}
	}
	return longer
}

// cell is the posted name of a cell.
func (f *Field) cell(row, cell int) string {
	name := fmt.Sprintf("%s.%d", f.Name, row)
	if c := f.Cells[cell].Name; c != "" {
		name += "." + c
	}
	return name
}

// Shrink takes a row out of a field; those below it move up.
func (s Sheet) Shrink(v Values, field string, gone int) Values {
	f := s.Field(field)
	if f == nil || len(f.Cells) == 0 || gone < 0 {
		return v
	}
	c := maps.Clone(v)
	maps.DeleteFunc(c, func(name string, _ []string) bool { return strings.HasPrefix(name, f.Name+".") })
	for name, list := range v {
		rest, ok := strings.CutPrefix(name, f.Name+".")
		if !ok {
			continue
		}
		number, below, deeper := strings.Cut(rest, ".")
		i, isRow := row(number)
		switch {
		case !isRow || i < gone:
		case i == gone:
			continue
		default:
			name = fmt.Sprintf("%s.%d", f.Name, i-1)
			if deeper {
				name += "." + below
			}
		}
		c[name] = list
	}
	return c
}

// Put puts a usual answer in: into a field, or into the first empty row of a
// list or of rows.
func (s Sheet) Put(v Values, field, answer string) Values {
	f := s.Field(field)
	switch {
	case f == nil:
		if s.at(field) == nil {
			return v
		}
		return v.with(field, answer)
	case len(f.Cells) == 0:
		return v.with(field, answer)
	}
	n := v.rows(f.Name)
	for i := range n {
		if v.Get(f.cell(i, 0)) == "" {
			return v.with(f.cell(i, 0), answer)
		}
	}
	return f.extend(v, n, answer)
}

// Add puts a row with answers into a field of rows: into the first that says
// nothing else yet, or below all.
func (s Sheet) Add(v Values, field string, answers Values) Values {
	f := s.Field(field)
	if f == nil || len(f.Cells) == 0 {
		return v
	}
	at := func(i int, name string) string { return fmt.Sprintf("%s.%d.%s", f.Name, i, name) }
	n, i := v.rows(f.Name), 0
	for ; i < n; i++ {
		other := func(name string) bool { said := v.Get(at(i, name)); return said != "" && said != answers.Get(name) }
		if !slices.ContainsFunc(slices.Collect(maps.Keys(answers)), other) {
			break
		}
	}
	if i == MaxRows {
		return v
	}
	longer := maps.Clone(v)
	if i == n {
		longer = f.extend(v, n, "")
	}
	for name, list := range answers {
		longer[at(i, name)] = list
	}
	return longer
}
