package parts

import "slices"

// Sorted lists the rows by a column, rising or falling; rows that are alike in it
// stay in the order of the table, and those in which it is absent come last.
func (t *Table) Sorted(by Name, falling bool) []int {
	rows := make([]int, t.n)
	values := make([]Value, t.n)
	for i := range rows {
		rows[i], values[i] = i, t.At(i, by)
	}
	slices.SortStableFunc(rows, func(a, b int) int {
		x, y := values[a], values[b]
		switch {
		case !x.Known() || !y.Known():
			return y.compare(x) // what is absent is the least
		case falling:
			return y.compare(x)
		}
		return x.compare(y)
	})
	return rows
}
