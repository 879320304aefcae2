package recur

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// Numbers that are counted are cut where they would be cut if they were sorted.
func TestSpansCountedAsSorted(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		scale := rapid.SampledFrom([]float64{1, 10, 100, 1000}).Draw(t, "scale")
		reach := rapid.SampledFrom([]int{3, 60, 500, 40000}).Draw(t, "reach")
		values := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) float64 {
			k := rapid.IntRange(-reach, reach).Draw(t, "number")
			if k == reach {
				return math.NaN()
			}
			return float64(k) / scale
		}), 0, 400).Draw(t, "numbers")
		cuts, of := spans(values)
		sorted := slices.DeleteFunc(slices.Clone(values), math.IsNaN)
		slices.Sort(sorted)
		want := cutsOf(slices.Compact(slices.Clone(sorted)), len(sorted), func(i int) float64 { return sorted[i] })
		if !slices.Equal(cuts, want) {
			t.Fatalf("cut at %v, want %v", cuts, want)
		}
		for i, v := range values {
			at := int32(unknown)
			if !math.IsNaN(v) {
				n, _ := slices.BinarySearch(want, v)
				at = int32(n)
			}
			if of[i] != at {
				t.Fatalf("%v lies in span %d, want %d of %v", v, of[i], at, want)
			}
		}
	})
}

// Numbers with many decimals, or far apart, are sorted.
func TestSpansOfOddNumbers(t *testing.T) {
	for _, values := range [][]float64{{math.Pi, math.E, math.NaN(), 1}, {1e12, 1, -1e12}, {0.0001, 0.0002, 0.0003}, nil, {math.NaN()}} {
		cuts, of := spans(values)
		for i, v := range values {
			if math.IsNaN(v) != (of[i] == unknown) {
				t.Errorf("%v lies in span %d", v, of[i])
			}
			if n, _ := slices.BinarySearch(cuts, v); !math.IsNaN(v) && of[i] != int32(n) {
				t.Errorf("%v lies in span %d of %v", v, of[i], cuts)
			}
		}
	}
}
