package facts

import (
	"fmt"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/record"
	"fettlebook/journal/trade/unit"
)

// leak takes the last leak check, if no work on the hydraulics came after it.
func (w *Job) leak(g *Group) (f card.LeakFacts) {
	e, d := last[journal.LeakCheck](w.all)
	if d == nil {
		g.await(LeakHeld, NotHeld)
		return f
	}
	held, seconds := split(d.Held)
	g.state(Statement{Quantity: LeakHeld, Value: held, Unit: seconds, With: []Figure{with("result", string(d.Result))}}, e.Line)
	f.Dry, f.Seconds = d.Result == journal.Dry, d.Held.In(unit.Second)
	if later := w.lines().last; later.after(e) {
		g.undo(later.Line, LeakHeld, HydraulicsAfterLeak)
		return f
	}
	f.Done = true
	return f
}

func (w *Job) pedal(g *Group) (f card.PedalFacts) {
	e, d := last[journal.PedalCheck](w.all)
	if d == nil {
		g.await(Pedal, NotTried)
		return f
	}
	f.Firm = d.Feel == journal.PedalFirm
	g.state(Statement{Quantity: Pedal, Value: string(d.Feel), Met: met(f.Firm)}, e.Line)
	if later := w.lines().last; later.after(e) {
		g.undo(later.Line, Pedal, HydraulicsAfterPedal)
		return f
	}
	f.Done = true
	return f
}

func (w *Job) arrival(g *Group) (f card.ArrivalFacts) {
	e, d := last[journal.Arrival](w.all)
	if d == nil {
		g.await(ArrivalFindings, NoArrival)
		return f
	}
	f.Done, f.Agreed, f.Photos = true, d.Agreed, len(e.Line.Photos)
	g.state(Statement{Quantity: ArrivalFindings, Value: fmt.Sprint(len(d.Found))}, e.Line)
	if !d.Agreed {
		g.state(Statement{Quantity: ArrivalAgreed, Met: No}, e.Line)
	}
	f.InTime = w.beforeRemoval(g, e, ArrivalFindings)
	return f
}

func (w *Job) stands(g *Group) (f card.StandFacts) {
	e, d := first[journal.Raising](w.all, nil)
	if d == nil {
		g.await(Stands, NoStands)
		return f
	}
	f.Done, f.Stands = true, d.Stands
	w.perAxle(&f, g)
	f.InTime = w.beforeRemoval(g, e, Stands)
	return f
}

// onLift is what [Stands] is of where the vehicle hung and stood on none.
const onLift = "lift"

// perAxle finds the fewest stands for each axle that was worked on while the
// vehicle stood on them. Who works on one axle after the other raises it twice.
func (w *Job) perAxle(f *card.StandFacts, g *Group) {
	f.Lift = true
	for i := range w.all {
		e := &w.all[i]
		d, ok := e.Data.(*journal.Raising)
		if !ok {
			continue
		}
		axles := max(1, len(w.axles(i+1)))
		s := Statement{Quantity: Stands, Value: fmt.Sprint(d.Stands), With: []Figure{with("points", d.Points), with("axles", fmt.Sprint(axles))}}
		if d.Lift {
			s.Of = onLift
		} else if each := float64(d.Stands) / float64(axles); f.Lift || each < f.PerAxle {
			f.Lift, f.PerAxle = false, each
		}
		g.state(s, e.Line)
	}
}

// axles returns the axles, F and R, from which parts came off until the
// vehicle was raised anew.
func (w *Job) axles(from int) map[byte]bool {
	found := make(map[byte]bool)
	for _, e := range w.all[from:] {
		corner := e.Line.Subject.Corner()
		switch {
		case is[journal.Raising](e):
			return found
		case offVehicle(e) && len(corner) == 2 && (corner[1] == 'F' || corner[1] == 'R'):
			found[corner[1]] = true
		}
	}
	return found
}

func (w *Job) beforeRemoval(g *Group, e *Event, q Quantity) bool {
	if i := slices.IndexFunc(w.all, offVehicle); i >= 0 && !e.before(&w.all[i]) {
		g.undo(w.all[i].Line, q, OffBefore)
		return false
	}
	return true
}

// road takes the last road test, if no other work came after it.
func (w *Job) road(g *Group) (f card.RoadFacts) {
	e, d := last[journal.RoadTest](w.all)
	if d == nil {
		g.await(Driven, NotDriven)
		return f
	}
	f.Km = d.Distance.In(unit.Kilometre)
	far, distance := split(d.Distance)
	g.state(Statement{Quantity: Driven, Value: far, Unit: distance, With: []Figure{with("result", d.Result)}}, e.Line)
	if later := lastOf(w.all, doing(journal.WorksOnBrakes)); later.after(e) {
		g.undo(later.Line, Driven, WorkAfterRoad)
		return f
	}
	f.Done = true
	worked := w.lines().last
	held, _ := first[journal.LeakCheck](w.all, worked)
	tried, _ := first[journal.PedalCheck](w.all, worked)
	f.Checked = tried.before(e) && (held.before(e) || !w.bleedAsked())
	if !f.Checked && (tried != nil || held != nil || w.card.Wants(journal.PedalChecked)) { // a card without brakes asks for neither
		g.state(Statement{Quantity: Driven, Met: No, Because: DrivenUnchecked}, e.Line)
	}
	return f
}

// May reports whether a person had a duty at the moment of an entry, by what
// the register had said by then; no entry asks for what it says last.
func (w *Job) May(id journal.PersonID, duty journal.Duty, at *record.Line) (has bool) {
	p, stock := w.shop.Person(id), w.stock
	if p == nil {
		return false
	}
	if at != nil {
		stock = stock.UpTo(at)
	}
	for _, l := range p.Lines {
		switch d := stock.effect(l).(type) {
		case *journal.Person:
			has = slices.Contains(d.Duties, duty)
		case *journal.Retirement:
			has = false
		}
	}
	return has
}
