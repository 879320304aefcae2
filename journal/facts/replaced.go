package facts

import (
	"fmt"
	"slices"
	"strings"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/record"
)

// retire sets aside the parts of a corner that do not go back: refused,
// scrapped, or replaced by another casting, and not on the vehicle. What was
// done to them counts for no other casting, and nothing more is asked of them.
func (w *Job) retire(c *cornerWork) {
	stay := c.parts[:0:0]
	for _, p := range c.parts {
		if p.ruled, p.ruledAs = w.ruledOut(p, c); p.ruled != nil {
			c.gone = append(c.gone, p)
		} else {
			stay = append(stay, p)
		}
	}
	c.parts = stay
}

// ruledOut returns the decision by which a part does not go back, nil if it may,
// and what the part is by it.
func (w *Job) ruledOut(p *partWork, c *cornerWork) (by *record.Line, as string) {
	if p.refitted() != nil {
		return nil, ""
	}
	for _, is := range conditions(w.all) {
		if is.line.Subject != p.part.Subject {
			continue
		}
		switch {
		case is.decision == journal.RefuseRefit:
			by, as = is.decided, "refused"
		case is.decision == journal.ReplaceIt && (is.is.OfCasting() || c.spare(p)):
			by, as = is.decided, "replaced"
		}
	}
	decided := make(map[journal.EntryID]Event)
	for _, e := range p.events {
		if r, ok := e.Data.(*journal.Rework); ok {
			decided[r.Of] = e // the last decision holds
		}
	}
	for _, e := range decided {
		if e.Data.(*journal.Rework).Decision == journal.ScrapPart && (by == nil || After(e.Line, by)) {
			by, as = e.Line, "scrapped"
		}
	}
	return by, as
}

// spare reports whether a casting is at the corner that stands in for the part:
// one of its kind that did not come off the vehicle.
func (c *cornerWork) spare(p *partWork) bool {
	return slices.ContainsFunc(c.parts, func(o *partWork) bool { return o != p && o.base == p.base && !o.cameOff() && !o.sameCasting(p) })
}

// sameCasting reports whether two parts are one piece of metal: the same number
// was read on both, or somebody wrote that they are.
func (p *partWork) sameCasting(o *partWork) bool {
	matched := func(p, o *partWork) bool {
		return slices.ContainsFunc(p.events, func(e Event) bool {
			m, ok := e.Data.(*journal.CastingMatch)
			return ok && m.As == o.part.Subject
		})
	}
	return matched(p, o) || matched(o, p) || slices.ContainsFunc(p.numbers(), func(n string) bool {
		return slices.ContainsFunc(o.numbers(), func(other string) bool { return strings.EqualFold(n, other) })
	})
}

// again returns the part that does not go back and that the part is, by another
// name; nil if it is none.
func (p *partWork) again() *partWork {
	for _, o := range p.corner.gone {
		if p.sameCasting(o) {
			return o
		}
	}
	return nil
}

// cameOff reports whether somebody wrote that the part was taken off the
// vehicle.
func (p *partWork) cameOff() bool {
	return slices.ContainsFunc(p.events, offVehicle)
}

// standsIn reports whether the part takes the place of one that does not go
// back, so that it came off no vehicle.
func (p *partWork) standsIn() bool {
	return !p.cameOff() && p.again() == nil && slices.ContainsFunc(p.corner.gone, func(o *partWork) bool { return o.base == p.base })
}

// unfilled are the parts that do not go back and in whose place nothing is yet.
func (c *cornerWork) unfilled() (list []*partWork) {
	spares := make(map[string]int)
	for _, p := range c.parts {
		if p.standsIn() {
			spares[p.base]++
		}
	}
	for _, p := range c.gone {
		if spares[p.base]--; spares[p.base] < 0 {
			list = append(list, p)
		}
	}
	return list
}

// nothingInstead says that nothing is in the place of a part yet.
func (c *cornerWork) nothingInstead(p *partWork) Statement {
	return Statement{About: p.part.Subject, Quantity: PartsBack, Of: string(p.part.ID), With: []Figure{with("as", c.free(p.base))}, Met: NotKnown, Sure: NotYet, Because: NothingInstead}.on(p.ruled)
}

// Instead is what the casting is entered as that goes in instead of a part in whose
// place nothing is yet.
func (s Statement) Instead() journal.PartID {
	i := slices.IndexFunc(s.With, func(f Figure) bool { return f.Name == "as" })
	if i < 0 || s.Because != NothingInstead {
		return ""
	}
	return journal.PartID(s.With[i].Value)
}

// instead says in whose place nothing is yet, and reports whether it said so.
func (c *cornerWork) instead(g *Group) (lacking bool) {
	for _, p := range c.gone {
		g.rests(p.ruled)
	}
	for _, p := range c.unfilled() {
		lacking = true
		g.pend(c.nothingInstead(p))
	}
	return lacking
}

// Unfilled states of a corner in whose place nothing is yet.
func (s *Site) Unfilled() (list []Statement) {
	if s.corner == nil || s.part != nil {
		return nil
	}
	for _, p := range s.corner.unfilled() {
		list = append(list, s.corner.nothingInstead(p))
	}
	return list
}

// Aside is a part that does not go back on the vehicle.
type Aside struct {
	Part    journal.Subject
	By      *record.Line // the decision
	Is      string       // what it amounts to: refused, replaced or scrapped
	Instead journal.Subject
}

// Asides are the parts of the job that do not go back, each with what is in its
// place, if anything is.
func (w *Job) Asides() (list []Aside) {
	for _, at := range w.Corners {
		list = append(list, at.corner.asides()...)
	}
	return list
}

func (c *cornerWork) asides() (list []Aside) {
	var spares []*partWork
	for _, p := range c.parts {
		if p.standsIn() {
			spares = append(spares, p)
		}
	}
	for _, p := range c.gone {
		a := Aside{Part: p.part.Subject, By: p.ruled, Is: p.ruledAs}
		if i := slices.IndexFunc(spares, func(o *partWork) bool { return o.base == p.base }); i >= 0 {
			a.Instead = spares[i].part.Subject
			spares = slices.Delete(spares, i, i+1)
		}
		list = append(list, a)
	}
	return list
}

// free returns a name that no part of the corner has yet.
func (c *cornerWork) free(base string) string {
	for n := 2; ; n++ {
		name := fmt.Sprintf("%s-%d", base, n)
		if !slices.ContainsFunc(slices.Concat(c.parts, c.gone), func(p *partWork) bool { return string(p.part.ID) == name }) {
			return name
		}
	}
}

// numbers returns the numbers of castings that were read on the part.
func (p *partWork) numbers() (list []string) {
	for _, e := range p.events {
		t, ok := e.Data.(*journal.Tagging)
		if ok && t.Number != "" && !slices.ContainsFunc(list, func(n string) bool { return strings.EqualFold(n, t.Number) }) {
			list = append(list, t.Number)
		}
	}
	return list
}

// Gone reports whether the part does not go back on the vehicle: nothing more
// is asked of it.
func (s *Site) Gone() bool { return s.part != nil && s.part.ruled != nil }

// names are what the parts of the corner are called, also of those that do not
// go back.
func (c *cornerWork) names() (list []string) {
	for _, p := range slices.Concat(c.gone, c.parts) {
		if base := card.Base(p.part.ID); !slices.Contains(list, base) {
			list = append(list, base)
		}
	}
	return list
}
