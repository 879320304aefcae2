package route

import (
	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/trade/unit"
)

// leak takes the last leak check, if no work on the hydraulics came after it.
func (w *work) leak() (f leakFacts) {
	e, d := last[journal.LeakCheck](w.all, ever)
	if d == nil {
		f.wait("not held under pressure yet")
		return f
	}
	f.rests(e.line)
	f.say("held for %s: %s", d.Held, d.Result)
	f.Dry, f.Seconds = d.Result == "dry", d.Held.In(unit.Second)
	if later := w.lines().last; later.place() > e.at {
		f.undo(later.line, "work on the hydraulics came after the leak check")
		return f
	}
	f.Done = true
	return f
}

func (w *work) pedal() (f pedalFacts) {
	e, d := last[journal.PedalCheck](w.all, ever)
	if d == nil {
		f.wait("the pedal was not tried yet")
		return f
	}
	f.rests(e.line)
	f.say("pedal %s", d.Feel)
	f.Firm = d.Feel == "firm"
	if later := w.lines().last; later.place() > e.at {
		f.undo(later.line, "work on the hydraulics came after the pedal was tried")
		return f
	}
	f.Done = true
	return f
}

func (w *work) arrival() (f arrivalFacts) {
	e, d := last[journal.Arrival](w.all, ever)
	if d == nil {
		f.wait("nobody wrote yet how the vehicle came in")
		return f
	}
	f.Done, f.Agreed, f.Photos = true, d.Agreed, len(e.line.Photos)
	f.rests(e.line)
	f.say("%d findings on arrival", len(d.Found))
	if !d.Agreed {
		f.say("the customer has not accepted the list")
	}
	f.InTime = w.beforeRemoval(&f.ground, e)
	return f
}

func (w *work) stands() (f standFacts) {
	e, d := first[journal.Raising](w.all, -1)
	if d == nil {
		f.wait("nobody wrote yet that the vehicle is on stands")
		return f
	}
	f.Done, f.Stands = true, d.Stands
	f.rests(e.line)
	f.say("%d stands: %s", d.Stands, d.Points)
	f.InTime = w.beforeRemoval(&f.ground, e)
	return f
}

func (w *work) beforeRemoval(g *ground, e *event) bool {
	off, _ := first[journal.Removal](w.all, -1)
	if off == nil || e.at < off.at {
		return true
	}
	g.undo(off.line, "a part came off before that")
	return false
}

// parking follows the service mode of an electric parking brake.
func parking(events []event) (f parkingFacts) {
	var on, off *event
	for i := range events {
		e := &events[i]
		d, ok := e.data.(*journal.ParkingBrake)
		if !ok {
			continue
		}
		f.Serviced = true
		switch d.State {
		case "service mode on":
			if off != nil {
				f.undo(e.line, "it was put into service mode again")
			}
			on, off = e, nil
		case "service mode off":
			off = e
		}
	}
	f.rests(on.record(), off.record())
	switch {
	case !f.Serviced:
		f.wait("no parking brake was serviced")
	case on == nil:
		f.say("nobody wrote that it was put into service mode")
	case off == nil:
		f.say("still in service mode")
	default:
		f.Out, f.undone = true, nil
		f.say("in service mode and out again")
	}
	return f
}

func setting(events []event) (f settingFacts) {
	on := lastOf(events, func(e event) bool {
		d, ok := e.data.(*journal.ParkingBrake)
		return ok && d.State == "service mode on"
	})
	set := lastOf(events, func(e event) bool {
		d, ok := e.data.(*journal.ParkingBrake)
		return ok && d.State == "calibrated"
	})
	f.rests(set.record())
	switch {
	case set == nil:
		f.wait("not calibrated yet")
	case set.at < on.place():
		f.undo(on.line, "it was put into service mode after it was calibrated")
	default:
		f.Done, f.Lamp = true, set.data.(*journal.ParkingBrake).LampOff
		f.say("calibrated")
		if !f.Lamp {
			f.say("nobody wrote that the lamp is off")
		}
	}
	return f
}

// road takes the last road test, if no other work came after it.
func (w *work) road() (f roadFacts) {
	e, d := last[journal.RoadTest](w.all, ever)
	if d == nil {
		f.wait("not driven yet")
		return f
	}
	f.rests(e.line)
	f.Km = d.Distance.In(unit.Kilometre)
	f.say("driven %s: %s", d.Distance, d.Result)
	if later := lastOf(w.all, worksOnBrakes); later.place() > e.at {
		f.undo(later.line, "work came after the road test")
		return f
	}
	f.Done = true
	worked := w.lines().last.place()
	held, _ := first[journal.LeakCheck](w.all, worked)
	tried, _ := first[journal.PedalCheck](w.all, worked)
	f.Checked = held != nil && tried != nil && held.at < e.at && tried.at < e.at
	if !f.Checked {
		f.say("driven before the joints were held under pressure and the pedal was tried")
	}
	return f
}

// worksOnBrakes reports whether an event is work after which a vehicle is
// driven again. A look that changes nothing is none.
func worksOnBrakes(e event) bool {
	switch e.data.(type) {
	case *journal.Removal, *journal.Refitting, *journal.Torque, *journal.LineOpening, *journal.LineConnection, *journal.Bleed,
		*journal.WheelFit, *journal.ParkingBrake, *journal.Washers:
		return true
	}
	return false
}

// checksBrakes reports whether an event is a look that a second person may
// confirm.
func checksBrakes(e event) bool {
	switch e.data.(type) {
	case *journal.LeakCheck, *journal.PedalCheck, *journal.RoadTest:
		return true
	}
	return false
}

// second looks for another person who looked at the work on the brakes after
// it was done.
func (w *work) second() (f secondFacts) {
	var work []event
	for _, e := range w.all {
		if worksOnBrakes(e) || checksBrakes(e) {
			work = append(work, e)
		}
	}
	for _, p := range w.shop.People {
		for _, e := range work {
			f.Wanted = f.Wanted || e.line.By != p.ID && w.may(p.ID, "second check", journal.EntryID{})
		}
	}
	lastWork := lastOf(w.all, func(e event) bool {
		switch e.data.(type) {
		case *journal.Torque, *journal.LineOpening, *journal.LineConnection, *journal.Bleed, *journal.Refitting:
			return true
		}
		return false
	})
	f.wait("no second person looked yet")
	for i := range w.all {
		e := &w.all[i]
		d, ok := e.data.(*journal.SecondCheck)
		if !ok {
			continue
		}
		of := lastOf(work, func(x event) bool { return x.line.ID == d.Of })
		switch {
		case of == nil:
			f.say("the entry that %s looked at is not work on these brakes, or is not here", e.line.By)
		case of.line.By == e.line.By:
			f.say("%s looked at work of their own", e.line.By)
		case !w.may(e.line.By, "second check", e.line.ID):
			f.say("%s has not the duty second check", e.line.By)
		case d.Finds != "right":
			f.Done = false
			f.rests(e.line)
			f.undo(e.line, "%s found it wrong", e.line.By)
		case e.at < lastWork.place():
			f.rests(e.line, of.line)
			f.undo(lastWork.line, "work on the brakes came after the second person looked")
		default:
			f.Done, f.ground = true, ground{}
			f.rests(e.line, of.line)
			f.say("%s found it right", e.line.By)
		}
	}
	return f
}

// may reports whether a person had a duty at the moment of an entry, by what
// the register had said by then; a zero entry asks for what it says last.
func (w *work) may(id journal.PersonID, duty journal.Duty, at journal.EntryID) bool {
	for _, p := range w.shop.People {
		if p.ID == id {
			return holds(w, p, duty, at)
		}
	}
	return false
}

func holds(w *work, p *record.Person, duty journal.Duty, at journal.EntryID) (has bool) {
	for _, l := range p.Lines {
		if !at.IsZero() && compareIDs(l.ID, at) > 0 {
			continue
		}
		switch d := w.effect(l).(type) {
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
