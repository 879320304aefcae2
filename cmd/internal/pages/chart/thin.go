package chart

import "math"

// Point is one reading. A Y that is not a number is a reading that is missing.
type Point struct{ X, Y float64 }

// runs cuts a line where a reading is missing and where two of them lie
// further apart than gap, so that no stroke is drawn where nothing was read.
func runs(line []Point, gap float64) (list [][]Point) {
	var run []Point
	end := func() {
		if len(run) > 0 {
			list = append(list, run)
		}
		run = nil
	}
	for _, p := range line {
		if !finite(p.X) || !finite(p.Y) {
			end()
			continue
		}
		if n := len(run); n > 0 && gap > 0 && p.X-run[n-1].X > gap {
			end()
		}
		run = append(run, p)
	}
	end()
	return list
}

// thin keeps of every column, of which there are so many from low to high,
// the first, the lowest, the highest and the last reading. Whatever the line
// reached for a moment is still there, and nothing is there that was not read.
func thin(line []Point, low, high float64, columns int) []Point {
	if len(line) <= 4 || columns < 1 || !(high > low) {
		return line
	}
	column := func(p Point) float64 { return math.Floor((p.X - low) / (high - low) * float64(columns)) }
	var kept []Point
	for from := 0; from < len(line); {
		to, least, most := from, from, from
		for ; to < len(line) && column(line[to]) == column(line[from]); to++ {
			if line[to].Y < line[least].Y {
				least = to
			}
			if line[to].Y > line[most].Y {
				most = to
			}
		}
		last := from - 1
		for _, i := range []int{from, min(least, most), max(least, most), to - 1} {
			if i > last {
				kept, last = append(kept, line[i]), i
			}
		}
		from = to
	}
	return kept
}
