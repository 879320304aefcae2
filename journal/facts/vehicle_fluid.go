package facts

import (
	"slices"
	"strings"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/trade/bleed"
	"fettlebook/journal/trade/unit"
)

// bleeding looks at the bleeding of the whole vehicle.
func (w *Job) bleeding(g *Group) (f card.OrderingFacts) {
	h := w.lines()
	final := h.final()
	for _, e := range final {
		g.rests(e.Line)
	}
	f.Begun, f.Asked = len(final) > 0, w.bleedAsked()
	f.Complete = h.err == nil && h.state.Complete && f.Begun
	for _, n := range h.state.Need {
		f.Needs = append(f.Needs, string(n.Corner))
		air, bled := h.air[n.Corner], h.bled[n.Corner]
		if air.after(bled) {
			g.lose(air.Line, Statement{About: g.About, Quantity: BleedNeeded, Of: string(n.Corner), Met: No, Sure: Undone, Because: BleedAgain, Result: clause(n.Why)})
		}
	}
	f.InOrder = h.inOrder()
	if !f.Begun {
		g.await(BleedNeeded, NoneBled)
	}
	g.state(Statement{Quantity: BleedNeeded, Value: strings.Join(f.Needs, ", "), Met: met(f.Complete), Sure: Reckoned, Result: h.state})
	return f
}

func cornerOf(e *Event) bleed.Corner { return bleed.Corner(e.Line.Subject.Corner()) }

// final returns the last bleeding of each corner that has one, in the order in
// which they were done.
func (h *hydraulics) final() []*Event {
	var list []*Event
	for _, e := range h.bled {
		list = append(list, e)
	}
	slices.SortFunc(list, func(a, b *Event) int { return Compare(a.Line, b.Line) })
	return list
}

// reservoir looks whether somebody looked at the level whenever it mattered,
// from the first of the bleedings that count to the last.
func (w *Job) reservoir(g *Group) (f card.ReservoirFacts) {
	final := w.lines().final()
	if len(final) == 0 {
		g.await(Level, NoneBled)
		return f
	}
	f.Looked = true
	from, to := final[0], final[len(final)-1]
	var look, bled *Event // since the last bleeding; the last bleeding
	for i := range w.all {
		e := &w.all[i]
		switch d := e.Data.(type) {
		case *journal.Reservoir:
			look = e
			if e.after(from) && !d.RanDry && d.Before.In(unit.Percent) == 0 {
				g.state(Statement{Quantity: LevelAtMin, Value: d.Before.String()}, e.Line)
			}
			if d.RanDry && e.after(from) {
				f.RanDry = true
				g.undo(e.Line, Level, RanDry)
			}
			if e.after(to) {
				value, share := split(d.After)
				g.state(Statement{Quantity: Level, Value: value, Unit: share}, e.Line)
			}
		case *journal.Bleed:
			if e.before(from) || e.after(to) {
				continue
			}
			if bled == nil || cornerOf(bled) != cornerOf(e) {
				if look == nil {
					f.Looked = false
					g.undo(e.Line, Level, NoLook, string(cornerOf(e)))
				}
				g.rests(look.record())
			}
			bled, look = e, nil
		}
	}
	if look == nil {
		f.Looked = false
		g.await(Level, NoLastLook)
	}
	w.balance(&f, g, from)
	return f
}

// unlooked reports whether nobody looked at the reservoir since a corner other
// than this one was bled, or at all.
func (w *Job) unlooked(c journal.Corner) bool {
	looked := false
	var last journal.Corner
	for i := range w.all {
		switch e := &w.all[i]; e.Data.(type) {
		case *journal.Reservoir:
			looked = true
		case *journal.Bleed:
			last, looked = e.Line.Subject.Corner(), false
		}
	}
	return !looked && (c == "" || last != c)
}

// balance follows the volume from the first of the bleedings that count on.
func (w *Job) balance(f *card.ReservoirFacts, g *Group, from *Event) {
	b, ok := w.stock.followFluid(w.all, from)
	if !ok {
		if b.Reservoir.Span.IsZero() {
			g.state(Statement{Quantity: FluidBalance, Met: NotAsked, Sure: NotProven, Because: SpanNotKnown})
		}
		return
	}
	if f.BelowMin = f.BelowMin || b.BelowMin; b.BelowMin {
		for _, warning := range b.Warnings {
			g.state(Statement{Quantity: FluidBalance, Met: No, Sure: Reckoned, Because: Warned, Result: clause(warning)})
		}
	}
	g.state(balanceStatement(b))
}

// balanceStatement says what was drawn and added.
func balanceStatement(b Balance) Statement {
	return Statement{
		Quantity: FluidBalance, With: []Figure{shown("added", b.Shown(b.Added))},
		Met: met(!b.BelowMin), Sure: Reckoned, Source: b.Source, Result: b,
	}.valued(b.Shown(b.Drawn))
}

// followFluid follows the reservoir from an entry on, or from the first look
// at it, if somebody wrote how much it holds between MIN and MAX. One top-up
// does not tell that: levels are read by eye.
func (s *Stock) followFluid(all []Event, from *Event) (b Balance, ok bool) {
	b.Reservoir.In, b.Reservoir.Writing = s.Units().Volume, s.Writing()
	var start bleed.Level
	var steps []bleed.Step
	for _, e := range all {
		begun := from == nil && !start.Share.IsZero() || from != nil && !e.before(from)
		switch d := e.Data.(type) {
		case *journal.Reservoir:
			if !d.Span.IsZero() {
				b.Reservoir.Span = d.Span
			}
			if begun {
				steps = append(steps, bleed.Step{Added: d.Added, Seen: bleed.Level{Share: d.After}})
			} else {
				start.Share = d.After
			}
		case *journal.Bleed:
			if begun {
				steps = append(steps, bleed.Step{Corner: cornerOf(&e), Drawn: d.Drawn})
			}
		}
	}
	if start.Share.IsZero() || b.Reservoir.Span.IsZero() || len(steps) == 0 {
		return b, false
	}
	var err error
	b.Balance, err = bleed.BalanceOf(b.Reservoir, start, steps)
	return b, err == nil
}

// fluid looks at what went in.
func (w *Job) fluid(g *Group) (f card.FluidFacts) {
	_, asked := w.manual(func(m *journal.Manual) bool { return m.Fluid != "" })
	f.Stated = asked != nil
	f.Known, f.Mixes, f.Meets, f.AtLeast = true, true, true, f.Stated
	var used []journal.FluidID
	for _, e := range w.all {
		var id journal.FluidID
		switch d := e.Data.(type) {
		case *journal.Bleed:
			id = d.Fluid
		case *journal.Reservoir:
			id = d.Fluid
		}
		if id == "" {
			continue
		}
		w.fresh(&f, g, id, e.Line)
		if !slices.Contains(used, id) {
			used = append(used, id)
		}
	}
	var grades []bleed.Grade
	for _, id := range used {
		is, line := w.stock.Fluid(id)
		if is == nil {
			f.Known = false
			g.state(Statement{Quantity: Fluid, Of: string(id), Met: NotKnown, Sure: NotProven, Because: NoContainer})
			continue
		}
		g.state(Statement{Quantity: Fluid, Of: string(id), Value: string(is.Grade)}, line)
		w.meets(&f, g, is.Grade, line)
		for _, other := range grades {
			if m, err := bleed.Mix(other, bleed.Grade(is.Grade)); err != nil || !m.OK {
				f.Mixes = false
				g.state(Statement{Quantity: FluidMix, Of: string(other), Value: string(is.Grade), Met: No}, line)
			}
		}
		grades = append(grades, bleed.Grade(is.Grade))
	}
	if !f.Stated && len(used) > 0 {
		g.state(Statement{Quantity: VehicleFluid, Met: NotKnown, Sure: NotProven, Because: NotStated})
	}
	if f.Used = len(used) > 0; !f.Used {
		f.Known, f.Mixes = false, false
		g.await(Fluid, NoFluid)
	}
	return f
}

func millilitres(v unit.Volume) float64 {
	if v.IsZero() {
		return 0
	}
	return v.In(unit.Millilitre)
}
