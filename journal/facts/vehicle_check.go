package facts

import (
	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/record"
	"fettlebook/journal/trade/unit"
)

// leak takes the last leak check, if no work on the hydraulics came after it.
func (w *Job) leak(g *Group) (f card.LeakFacts) {
	e, d := last[journal.LeakCheck](w.all)
	if d == nil {
		g.wait("not held under pressure yet")
		return f
	}
	g.rests(e.Line)
	g.say("held for %s: %s", d.Held, d.Result)
	f.Dry, f.Seconds = d.Result == "dry", d.Held.In(unit.Second)
	if later := w.lines().last; later.after(e) {
		g.undo(later.Line, "work on the hydraulics came after the leak check")
		return f
	}
	f.Done = true
	return f
}

func (w *Job) pedal(g *Group) (f card.PedalFacts) {
	e, d := last[journal.PedalCheck](w.all)
	if d == nil {
		g.wait("the pedal was not tried yet")
		return f
	}
	g.rests(e.Line)
	g.say("pedal %s", d.Feel)
	f.Firm = d.Feel == "firm"
	if later := w.lines().last; later.after(e) {
		g.undo(later.Line, "work on the hydraulics came after the pedal was tried")
		return f
	}
	f.Done = true
	return f
}

func (w *Job) arrival(g *Group) (f card.ArrivalFacts) {
	e, d := last[journal.Arrival](w.all)
	if d == nil {
		g.wait("nobody wrote yet how the vehicle came in")
		return f
	}
	f.Done, f.Agreed, f.Photos = true, d.Agreed, len(e.Line.Photos)
	g.rests(e.Line)
	g.say("%d findings on arrival", len(d.Found))
	if !d.Agreed {
		g.say("the customer has not accepted the list")
	}
	f.InTime = w.beforeRemoval(g, e)
	return f
}

func (w *Job) stands(g *Group) (f card.StandFacts) {
	e, d := first[journal.Raising](w.all, nil)
	if d == nil {
		g.wait("nobody wrote yet that the vehicle is on stands")
		return f
	}
	f.Done, f.Stands = true, d.Stands
	g.rests(e.Line)
	g.say("%d stands: %s", d.Stands, d.Points)
	f.InTime = w.beforeRemoval(g, e)
	return f
}

func (w *Job) beforeRemoval(g *Group, e *Event) bool {
	off, _ := first[journal.Removal](w.all, nil)
	if off == nil || e.before(off) {
		return true
	}
	g.undo(off.Line, "a part came off before that")
	return false
}

// parking follows the service mode of an electric parking brake.
func parking(events []Event, g *Group) (f card.ParkingFacts) {
	var on, off *Event
	for i := range events {
		e := &events[i]
		d, ok := e.Data.(*journal.ParkingBrake)
		if !ok {
			continue
		}
		f.Serviced = true
		switch d.State {
		case "service mode on":
			if off != nil {
				g.undo(e.Line, "it was put into service mode again")
			}
			on, off = e, nil
		case "service mode off":
			off = e
		}
	}
	g.rests(on.record(), off.record())
	switch {
	case !f.Serviced:
		g.wait("no parking brake was serviced")
	case on == nil:
		g.say("nobody wrote that it was put into service mode")
	case off == nil:
		g.say("still in service mode")
	default:
		f.Out, g.Undone = true, nil
		g.say("in service mode and out again")
	}
	return f
}

func setting(events []Event, g *Group) (f card.SettingFacts) {
	on := lastOf(events, func(e Event) bool {
		d, ok := e.Data.(*journal.ParkingBrake)
		return ok && d.State == "service mode on"
	})
	set := lastOf(events, func(e Event) bool {
		d, ok := e.Data.(*journal.ParkingBrake)
		return ok && d.State == "calibrated"
	})
	g.rests(set.record())
	switch {
	case set == nil:
		g.wait("not calibrated yet")
	case set.before(on):
		g.undo(on.Line, "it was put into service mode after it was calibrated")
	default:
		f.Done, f.Lamp = true, set.Data.(*journal.ParkingBrake).LampOff
		g.say("calibrated")
		if !f.Lamp {
			g.say("nobody wrote that the lamp is off")
		}
	}
	return f
}

// road takes the last road test, if no other work came after it.
func (w *Job) road(g *Group) (f card.RoadFacts) {
	e, d := last[journal.RoadTest](w.all)
	if d == nil {
		g.wait("not driven yet")
		return f
	}
	g.rests(e.Line)
	f.Km = d.Distance.In(unit.Kilometre)
	g.say("driven %s: %s", d.Distance, d.Result)
	if later := lastOf(w.all, doing(journal.WorksOnBrakes)); later.after(e) {
		g.undo(later.Line, "work came after the road test")
		return f
	}
	f.Done = true
	worked := w.lines().last
	held, _ := first[journal.LeakCheck](w.all, worked)
	tried, _ := first[journal.PedalCheck](w.all, worked)
	f.Checked = held.before(e) && tried.before(e)
	if !f.Checked {
		g.say("driven before the joints were held under pressure and the pedal was tried")
	}
	return f
}

// second looks for another person who looked at the work on the brakes after
// it was done.
func (w *Job) second(g *Group) (f card.SecondFacts) {
	var work []Event
	for _, e := range w.all {
		if e.is(journal.WorksOnBrakes | journal.ChecksBrakes) {
			work = append(work, e)
		}
	}
	for _, p := range w.shop.People {
		for _, e := range work {
			f.Wanted = f.Wanted || e.Line.By != p.ID && w.May(p.ID, "second check", nil)
		}
	}
	lastWork := lastOf(w.all, doing(journal.AsksSecondLook))
	g.wait("no second person looked yet")
	for i := range w.all {
		e := &w.all[i]
		d, ok := e.Data.(*journal.SecondCheck)
		if !ok {
			continue
		}
		of := lastOf(work, func(x Event) bool { return x.Line.ID == d.Of })
		switch {
		case of == nil:
			g.say("the entry that %s looked at is not work on these brakes, or is not here", e.Line.By)
		case of.Line.By == e.Line.By:
			g.say("%s looked at work of their own", e.Line.By)
		case !w.May(e.Line.By, "second check", e.Line):
			g.say("%s has not the duty second check", e.Line.By)
		case d.Finds != "right":
			f.Done = false
			g.rests(e.Line)
			g.undo(e.Line, "%s found it wrong", e.Line.By)
		case e.before(lastWork):
			g.rests(e.Line, of.Line)
			g.undo(lastWork.Line, "work on the brakes came after the second person looked")
		default:
			f.Done, *g = true, Group{}
			g.rests(e.Line, of.Line)
			g.say("%s found it right", e.Line.By)
		}
	}
	return f
}

// May reports whether a person had a duty at the moment of an entry, by what
// the register had said by then; no entry asks for what it says last.
func (w *Job) May(id journal.PersonID, duty journal.Duty, at *record.Line) bool {
	for _, p := range w.shop.People {
		if p.ID == id {
			return holds(w, p, duty, at)
		}
	}
	return false
}

func holds(w *Job, p *record.Person, duty journal.Duty, at *record.Line) (has bool) {
	for _, l := range p.Lines {
		if After(l, at) {
			continue
		}
		switch d := w.stock.effect(l).(type) {
		case *journal.Person:
			has = false
			for _, has1 := range d.Duties {
				has = has || has1 == duty
			}
		case *journal.Retirement:
			has = false
		}
	}
	return has
}
