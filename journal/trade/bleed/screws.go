package bleed

import (
	"fmt"
	"slices"

	"fettlebook/journal/trade/sheet"
	"fettlebook/journal/words"
)

type (
	// Bleeders are the bleeder screws of a corner, as a fixed caliper has two. Of the
	// zero Bleeders there is one.
	Bleeders struct {
		Count int
		Names []string // if they are told apart: all of them
	}

	// Screws is one bleeding of a corner without bubbles: of the bleeder screw that is
	// named, or of so many, one after the other, that nobody named. The zero Screws is one.
	Screws struct {
		Which string
		Many  int
	}

	// drawn are the bleedings of a corner since air was last let in.
	drawn []Screws
)

// Replaces reports whether a bleeding stands in the place of an earlier one: of the same
// screw, and of several screws that of no more, which may have been of the same.
func (s Screws) Replaces(earlier Screws) bool {
	return s.Which == earlier.Which && earlier.many() <= s.many()
}

func (s Screws) many() int { return max(1, s.Many) }

func (b Bleeders) count() int { return max(1, b.Count, len(b.Names)) }

// Check refuses bleeder screws that a corner cannot have.
func (b Bleeders) Check(c Corner) error {
	if err := c.check(); err != nil {
		return err
	}
	if len(b.Names) == 0 && b.Count < 1 {
		return sheet.Refuse("the bleeder screws", fmt.Sprint(b.Count), "a corner has at least one")
	}
	for i, name := range b.Names {
		if name == "" || slices.Contains(b.Names[:i], name) {
			return sheet.Refuse("the bleeder screws", words.Commas(b.Names...), "name each of them, once, or give their number")
		}
	}
	return nil
}

// Have refuses a bleeding at a screw that the corner does not have. Complete takes one all
// the same: of what was done there is no doubt, of what was counted there may be.
func (b Bleeders) Have(c Corner, s Screws) error {
	switch {
	case s.Which == "" && s.Many < 1:
		return sheet.Refuse("the bleeder screws", fmt.Sprintf("%d at %s", s.Many, c), "at least one is bled")
	case s.Which != "" && len(b.Names) > 0 && !slices.Contains(b.Names, s.Which):
		return sheet.Refuse("the bleeder screw", fmt.Sprintf("%q at %s", s.Which, c), "it has "+words.And(b.Names...))
	case s.Which == "" && s.Many > b.count():
		return sheet.Refuse("the bleeder screws", fmt.Sprintf("%d at %s", s.many(), c), fmt.Sprintf("it has %d", b.count()))
	}
	return nil
}

func (d drawn) with(s Screws) drawn {
	return append(slices.DeleteFunc(slices.Clone(d), s.Replaces), s)
}

// count is how many screws were bled for certain.
func (d drawn) count() int {
	unnamed := 0
	for _, s := range d {
		if s.Which == "" {
			unnamed = max(unnamed, s.many())
		}
	}
	return max(unnamed, len(d.names()))
}

// names are those of the screws that were bled and named.
func (d drawn) names() (list []string) {
	for _, s := range d {
		if s.Which != "" {
			list = append(list, s.Which)
		}
	}
	return list
}

// left is what is still to do at a corner: nothing, or a need that says how many screws
// and, if they are told apart and all that were bled are named, which.
func (d drawn) left(c Corner, of Bleeders) Need {
	n := Need{Corner: c, Screws: of.count() - d.count()}
	if n.Screws <= 0 {
		return Need{}
	}
	done := d.names()
	n.Why = fmt.Sprintf("only %d of its %d bleeder screws bled", d.count(), of.count()) + words.Fill(" (%s)", words.And(done...))
	if len(done) == d.count() {
		n.Which = slices.DeleteFunc(slices.Clone(of.Names), func(name string) bool { return slices.Contains(done, name) })
	}
	n.Why += words.Fill(", still to do: %s", words.And(n.Which...))
	return n
}
