package chart_test

import (
	"math"
	"slices"
	"testing"

	"fettlebook/cmd/internal/pages/chart"
	"pgregory.net/rapid"
)

// anyLine draws readings in order of time, some of them missing.
func anyLine(t *rapid.T) (line []chart.Point) {
	x := 0.0
	for range rapid.IntRange(1, 3000).Draw(t, "readings") {
		x += rapid.Float64Range(0.01, 5).Draw(t, "after")
		y := rapid.Float64Range(-20, 400).Draw(t, "reading")
		if rapid.IntRange(0, 40).Draw(t, "missing") == 0 {
			y = math.NaN()
		}
		line = append(line, chart.Point{X: x, Y: y})
	}
	return line
}

// Whatever a probe reached for a moment is still in the picture, and nothing
// is in it that was not read.
func TestThinKeepsWhatWasReached(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		line := anyLine(t)
		columns := rapid.IntRange(1, 500).Draw(t, "columns")
		low, high := line[0].X, line[len(line)-1].X
		for _, run := range chart.Runs(line, rapid.Float64Range(0, 5).Draw(t, "gap")) {
			kept := chart.Thin(run, low, high, columns)
			byReading := func(a, b chart.Point) int {
				return int(math.Copysign(1, a.Y-b.Y)) * map[bool]int{true: 0, false: 1}[a.Y == b.Y]
			}
			if got, want := slices.MaxFunc(kept, byReading).Y, slices.MaxFunc(run, byReading).Y; got != want {
				t.Fatalf("the highest is %v, was %v", got, want)
			}
			if got, want := slices.MinFunc(kept, byReading).Y, slices.MinFunc(run, byReading).Y; got != want {
				t.Fatalf("the lowest is %v, was %v", got, want)
			}
			if kept[0] != run[0] || kept[len(kept)-1] != run[len(run)-1] {
				t.Fatal("the line begins or ends elsewhere")
			}
			if len(kept) > 4*(columns+1) {
				t.Fatalf("%d readings for %d columns", len(kept), columns)
			}
			i := 0
			for _, p := range kept {
				for i < len(run) && run[i] != p {
					i++
				}
				if i++; i > len(run) {
					t.Fatalf("%v was not read, or not in this order", p)
				}
			}
		}
	})
}

// No stroke crosses a time without readings, and no reading is lost.
func TestRunsBreakAtGaps(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		line := anyLine(t)
		gap := rapid.Float64Range(0.1, 5).Draw(t, "gap")
		read := 0
		for _, p := range line {
			if !math.IsNaN(p.Y) {
				read++
			}
		}
		for _, run := range chart.Runs(line, gap) {
			read -= len(run)
			for i := 1; i < len(run); i++ {
				if run[i].X-run[i-1].X > gap {
					t.Fatalf("a stroke over %v", run[i].X-run[i-1].X)
				}
			}
		}
		if read != 0 {
			t.Fatalf("%d readings are lost", read)
		}
	})
}

func TestLabelsNeverOverlap(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		const top, bottom, space = 10.0, 500.0, 20.0
		ys := rapid.SliceOfN(rapid.Float64Range(top, bottom), 1, 24).Draw(t, "heights")
		at := chart.Spread(ys, top, bottom, space)
		for i, y := range at {
			if y < top-1e-9 || y > bottom+1e-9 {
				t.Fatalf("the label %d lies outside, at %v", i, y)
			}
			if i > 0 && y-at[i-1] < space-1e-9 {
				t.Fatalf("the labels %d and %d are %v apart", i-1, i, y-at[i-1])
			}
		}
	})
}

func TestTicksAreFewAndRound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		low := rapid.Float64Range(-1e3, 1e3).Draw(t, "low")
		span := math.Pow(10, rapid.Float64Range(-2, 5).Draw(t, "span"))
		for _, preferred := range [][]float64{nil, chart.Minutes()} {
			step := chart.StepOf(span, 8, preferred)
			list := chart.Ticks(low, low+span, step)
			if len(list) > 9 {
				t.Fatalf("%d ticks of %v over %v", len(list), step, span)
			}
			if span/step < 1 && preferred == nil {
				t.Fatalf("no two ticks of %v fit into %v", step, span)
			}
		}
		from, to, step := chart.Around(low, low+span, 6)
		if from > low+1e-6*span || to < low+span-1e-6*span {
			t.Fatalf("%v to %v by %v does not hold %v to %v", from, to, step, low, low+span)
		}
	})
}

func TestTickNames(t *testing.T) {
	for _, c := range []struct {
		tick, step float64
		want       string
	}{{150, 50, "150"}, {2.5, 0.5, "2.5"}, {-0, 10, "0"}, {0.30000000000000004, 0.1, "0.3"}, {2, 0.25, "2.00"}} {
		if got := chart.Named(c.tick, c.step); got != c.want {
			t.Errorf("%v by %v: %q, want %q", c.tick, c.step, got, c.want)
		}
	}
}
