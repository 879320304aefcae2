package parts_test

import (
	"math"
	"testing"

	"fettlebook/journal/parts"

	"pgregory.net/rapid"
)

// Rows by a column: each once, in order, what is absent last, and alike ones as
// they stand in the table.
func TestSorted(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var rows []parts.Row
		for i := range rapid.IntRange(0, 40).Draw(t, "rows") {
			r := parts.NewRow("job/j0000001/corner/LF/part/caliper", i+1)
			if v := rapid.IntRange(-3, 6).Draw(t, "film"); v >= 0 {
				r.Put(parts.Film, parts.Num(float64(v)))
			}
			rows = append(rows, r)
		}
		table := parts.New(rows...)
		falling := rapid.Bool().Draw(t, "falling")
		seen := make(map[int]bool)
		last, at := math.NaN(), -1
		for i, row := range table.Sorted(parts.Film, falling) {
			v := table.At(row, parts.Film).Number()
			switch {
			case seen[row]:
				t.Fatalf("row %d comes twice", row)
			case i > 0 && math.IsNaN(last) && !math.IsNaN(v):
				t.Fatal("what is absent comes before what is there")
			case i > 0 && (v == last || math.IsNaN(v) && math.IsNaN(last)) && row < at:
				t.Fatal("rows that are alike changed places")
			case i > 0 && falling && v > last, i > 0 && !falling && v < last:
				t.Fatalf("%v after %v", v, last)
			}
			seen[row], last, at = true, v, row
		}
		if len(seen) != table.Len() {
			t.Fatalf("%d of %d rows", len(seen), table.Len())
		}
	})
}
