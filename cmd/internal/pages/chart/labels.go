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

// beside writes labels beside a plot, each at the height of its thing as near as can be.
func (c *canvas) beside(p plot, labels []label, apart float64) {
	if c.on == narrow {
		apart = 4
	}
	spread(labels, p.top, p.bottom-letter/2, lineSpace)
	for _, l := range labels {
		c.line(l.x+3, l.y, p.right+apart, l.at, leader())
		c.text(p.right+apart+4, l.at+letter/3, Start, false, c.called(l.text))
	}
}

// called is what stands beside a thing: its name, or on a narrow sheet a letter.
func (c *canvas) called(name string) string {
	if c.on == roomy {
		return name
	}
	c.keys = append(c.keys, name)
	return key(len(c.keys) - 1)
}

// explain lists below the picture what its letters stand for.
func (c *canvas) explain() {
	const aside = 24.0
	for i, name := range c.keys {
		c.text(0, c.Height+letter, Start, false, key(i))
		for _, line := range broken(name, int((c.Width-aside)/advance)) {
			c.text(aside, c.Height+letter, Start, false, line)
			c.Height += lineSpace
		}
	}
	if len(c.keys) > 0 {
		c.Height += letter / 2 // below the line
	}
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
