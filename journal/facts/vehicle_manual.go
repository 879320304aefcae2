package facts

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/record"
	"fettlebook/journal/trade/bleed"
)

// manual returns the last entry that says what the vehicle asks for of what
// the test wants; nil if none does.
func (w *Job) manual(says func(*journal.Manual) bool) (*Event, *journal.Manual) {
	e := lastOf(w.all, func(e Event) bool {
		m, ok := e.Data.(*journal.Manual)
		return ok && says(m)
	})
	if e == nil {
		return nil, nil
	}
	return e, e.Data.(*journal.Manual)
}

// printedIn says where the vehicle asks for something.
func printedIn(m *journal.Manual) string {
	if m.Page == "" {
		return "the vehicle’s " + string(m.From)
	}
	return fmt.Sprintf("the vehicle’s %s, %s", m.From, m.Page)
}

// bleedOrder returns the order of bleeding that the vehicle asks for, or else
// the card, and which entry says so; without either it is not known.
func (w *Job) bleedOrder() (order []bleed.Corner, by *Event, known bool) {
	asked := w.card.BleedOrder
	e, m := w.manual(func(m *journal.Manual) bool { return len(m.Order) > 0 })
	if m != nil {
		asked = m.Order
	}
	for _, c := range asked {
		order = append(order, bleed.Corner(c))
	}
	return order, e, len(order) > 0
}

// inOrder says in which order the corners were bled, and holds that against
// what the vehicle asks for.
func (w *Job) inOrder(g *Group) (f card.BleedOrderFacts) {
	h := w.lines()
	final := h.final()
	var done []string
	for _, e := range final {
		done = append(done, string(cornerOf(e)))
	}
	f.Kept = h.inOrder()
	order, by, known := w.bleedOrder()
	f.Known = known
	if len(done) == 0 {
		g.await(BleedNeeded, NoneBled)
		return f
	}
	s := Statement{Quantity: BleedOrder, Value: strings.Join(done, ", ")}
	on := []*record.Line{by.record()}
	for _, e := range final {
		on = append(on, e.Line)
	}
	if known {
		var asked []string
		for _, c := range order {
			asked = append(asked, string(c))
		}
		s.Met, s.Limit.Words, s.Source = met(f.Kept), strings.Join(asked, ", "), "the card"
		if by != nil {
			s.Source = printedIn(by.Data.(*journal.Manual))
		}
	}
	g.state(s, on...)
	return f
}

// inOrder reports whether the corners were bled in the order that counts.
func (h *hydraulics) inOrder() bool {
	return slices.IsSortedFunc(h.final(), func(a, b *Event) int {
		return slices.Index(h.order, cornerOf(a)) - slices.Index(h.order, cornerOf(b))
	})
}

// meets holds a container's grade against the one that the vehicle asks for.
func (w *Job) meets(f *card.FluidFacts, g *Group, grade journal.FluidGrade, line *record.Line) {
	e, m := w.manual(func(m *journal.Manual) bool { return m.Fluid != "" })
	if m == nil {
		return
	}
	mixing, err := bleed.Mix(bleed.Grade(m.Fluid), bleed.Grade(grade))
	s := Statement{Quantity: VehicleFluid, Of: string(grade), Value: string(m.Fluid), Source: printedIn(m), Met: Yes}
	switch {
	case err != nil || !mixing.OK:
		f.Meets, f.AtLeast, s.Met = false, false, No
	case mixing.Holds != bleed.Grade(m.Fluid):
		f.AtLeast, s.Met, s.Because = false, No, BoilsLower
	}
	g.state(s, e.Line, line)
}

// fresh looks whether a container could still be used when it was.
func (w *Job) fresh(f *card.FluidFacts, g *Group, id journal.FluidID, use *record.Line) {
	is := w.stock.FluidAt(id, time.Time(use.Clocks.Device))
	if is.Stated == nil {
		return
	}
	if is.Due.Past() && !slices.ContainsFunc(g.Statements, func(s Statement) bool { return s.Quantity == FluidUseBy && s.Of == string(id) }) {
		f.Expired = true
		g.state(Statement{
			Quantity: FluidUseBy, Of: string(id), Value: fmt.Sprint(is.Due.Days), Unit: "d", Limit: Limit{High: string(is.Stated.UseBy)}, Met: No,
			Source: onTheBox, With: []Figure{with("grade", string(is.Stated.Grade))},
		}, is.Opened, use)
	}
	if days := float64(is.OpenDays); days > f.OpenDays {
		f.OpenDays = days
		g.state(Statement{Quantity: FluidOpenDays, Of: string(id), Value: fmt.Sprint(is.OpenDays), Unit: "d"}, is.Opened, use)
	}
}
