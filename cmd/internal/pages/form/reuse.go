package form

import "slices"

// Reuse returns the answers of the last time that are offered again: the tool,
// the lot, what the oven was set to. What was measured, counted or confirmed
// never is. The unit of every quantity is, since the same gauge is at hand.
func (s Sheet) Reuse(last Values) Values {
	v := Values{}
	keep := func(from, to string) {
		if list, ok := last[from]; ok {
			v[to] = slices.Clone(list)
		}
	}
	for i := range s.Fields {
		f := &s.Fields[i]
		keep(f.Name+".unit", f.Name+".unit")
		if f.Reused {
			keep(f.Name, f.Name)
		}
		for n := range last.rows(f.Name) {
			for j := range f.Cells {
				cell := f.cell(n, j)
				if n == 0 {
					keep(cell+".unit", cell+".unit")
				}
				if f.Reused || f.Cells[j].Reused {
					keep(cell, cell)
				}
			}
		}
	}
	return v
}
