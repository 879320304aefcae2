package chart

import (
	"cmp"
	"slices"
)

// label stands beside the picture at the height of what it names.
type label struct {
	text string
	x, y float64 // where the thing ends
	at   float64 // the height that the label got
}

// spread gives each label a height as near to its thing as can be, from top
// to bottom in the order of the things and never closer than space: the
// heights with the least squares of their distances, by pooling neighbours
// that would overlap.
func spread(labels []label, top, bottom, space float64) {
	slices.SortStableFunc(labels, func(a, b label) int { return cmp.Compare(a.y, b.y) })
	type pool struct {
		sum float64
		n   int
	}
	var pools []pool
	for i, l := range labels {
		pools = append(pools, pool{l.y - float64(i)*space, 1})
		for n := len(pools); n > 1; n-- {
			a, b := pools[n-2], pools[n-1]
			if a.sum/float64(a.n) <= b.sum/float64(b.n) {
				break
			}
			pools = append(pools[:n-2], pool{a.sum + b.sum, a.n + b.n})
		}
	}
	highest := bottom - float64(len(labels)-1)*space
	i := 0
	for _, p := range pools {
		for range p.n {
			labels[i].at = max(top, min(p.sum/float64(p.n), highest)) + float64(i)*space
			i++
		}
	}
}
