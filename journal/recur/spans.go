package recur

import (
	"math"
	"slices"
)

// spans cuts numbers, some of which are absent, where about as many lie between
// each two cuts, and says in which span each lies: up to the first cut, above it
// up to the second, and so on.
func spans(values []float64) (cuts []float64, of []int32) {
	if d, ok := newDecimals(values); ok {
		return d.spans(values)
	}
	var sorted []float64
	for _, v := range values {
		if !math.IsNaN(v) {
			sorted = append(sorted, v)
		}
	}
	slices.Sort(sorted)
	cuts = cutsOf(slices.Compact(slices.Clone(sorted)), len(sorted), func(i int) float64 { return sorted[i] })
	of = make([]int32, len(values))
	for i, v := range values {
		if of[i] = unknown; !math.IsNaN(v) {
			at, _ := slices.BinarySearch(cuts, v)
			of[i] = int32(at)
		}
	}
	return cuts, of
}

// cutsOf returns at most [mostCuts] of the distinct values of n numbers, between
// which about as many lie. The greatest is none: nothing lies above it.
func cutsOf(distinct []float64, n int, at func(i int) float64) (cuts []float64) {
	if len(distinct)-1 <= mostCuts {
		return distinct[:max(0, len(distinct)-1)]
	}
	for i := 1; i <= mostCuts; i++ {
		v := at(n * i / (mostCuts + 1))
		if v < distinct[len(distinct)-1] && (len(cuts) == 0 || v > cuts[len(cuts)-1]) {
			cuts = append(cuts, v)
		}
	}
	return cuts
}

// decimals counts numbers that have few decimals and lie close together, as
// readings do: far less work than sorting them.
type decimals struct {
	scale float64 // a power of ten
	low   float64 // times the scale
	count []int32
	n     int
}

// mostCounted is over how many steps of the last decimal numbers are counted.
const mostCounted = 1 << 16

func newDecimals(values []float64) (decimals, bool) {
	for _, scale := range []float64{1, 10, 100, 1000} {
		low, high, n, fit := math.Inf(1), math.Inf(-1), 0, true
		for _, v := range values {
			if math.IsNaN(v) {
				continue
			}
			k := math.Round(v * scale)
			if k/scale != v {
				fit = false
				break
			}
			low, high, n = min(low, k), max(high, k), n+1
		}
		switch {
		case !fit:
			continue
		case n == 0 || high-low >= mostCounted:
			return decimals{}, false
		}
		return decimals{scale, low, make([]int32, int(high-low)+1), n}, true
	}
	return decimals{}, false
}

func (d decimals) spans(values []float64) (cuts []float64, of []int32) {
	step := func(v float64) int { return int(math.Round(v*d.scale) - d.low) }
	value := func(k int) float64 { return (d.low + float64(k)) / d.scale }
	for _, v := range values {
		if !math.IsNaN(v) {
			d.count[step(v)]++
		}
	}
	var distinct []float64
	for k, n := range d.count {
		if n > 0 {
			distinct = append(distinct, value(k))
		}
	}
	k, passed := 0, int32(0)                           // so many numbers lie below step k
	cuts = cutsOf(distinct, d.n, func(i int) float64 { // asked for rising i
		for passed+d.count[k] <= int32(i) {
			passed += d.count[k]
			k++
		}
		return value(k)
	})
	span := d.count // no longer needed: the span of each step
	at := 0
	for k := range span {
		for at < len(cuts) && value(k) > cuts[at] {
			at++
		}
		span[k] = int32(at)
	}
	of = make([]int32, len(values))
	for i, v := range values {
		if of[i] = unknown; !math.IsNaN(v) {
			of[i] = span[step(v)]
		}
	}
	return cuts, of
}
