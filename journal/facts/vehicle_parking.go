package facts

import (
	"slices"
	"strings"

	"fettlebook/journal"
	"fettlebook/journal/card"
)

// mode reports whether an event puts the parking brake into a state.
func mode(states ...journal.ParkingBrakeState) func(Event) bool {
	return func(e Event) bool {
		d, ok := e.Data.(*journal.ParkingBrake)
		return ok && slices.Contains(states, d.State)
	}
}

// rear yields the events of a sort on rear parts that a brake line leads to,
// which are those that a parking brake acts on.
func (w *Job) rear(wanted func(Event) bool) (list []Event) {
	for _, e := range w.all {
		if c := string(e.Line.Subject.Corner()); !wanted(e) || !strings.HasSuffix(c, "R") {
			continue
		}
		for _, j := range w.card.Joints {
			if j.Hydraulic && j.Of != "" && j.Of == card.Base(e.Line.Subject.Part()) {
				list = append(list, e)
				break
			}
		}
	}
	return list
}

// end returns the first or the last of events.
func end(list []Event, first bool) *Event {
	switch {
	case len(list) == 0:
		return nil
	case first:
		return &list[0]
	}
	return &list[len(list)-1]
}

// parkingKind returns what kind of parking brake the vehicle has, and which
// entry says so: by its manual, or else by what was counted on a rear part.
func (w *Job) parkingKind() (kind journal.ParkingKind, by *Event) {
	if e, m := w.manual(func(m *journal.Manual) bool { return m.Parking != "" }); m != nil {
		return m.Parking, e
	}
	for _, c := range w.corners {
		for _, p := range slices.Concat(c.parts, c.gone) {
			onRear := strings.HasSuffix(string(c.corner.Corner), "R") && w.onLine(c)
			if p.has != nil && onRear && (kind == "" || kind == journal.NoParkingBrake) && p.has.Line != journal.NoLine {
				kind, by = p.has.Parking, p.described
			}
		}
	}
	return kind, by
}

// parking follows the parking brake: what kind it is, and for an electric one
// whether it was in service mode while its caliper was off.
func (w *Job) parking(g *Group) (f card.ParkingFacts) {
	kind, by := w.parkingKind()
	var on, off *Event
	for i := range w.all {
		e := &w.all[i]
		d, ok := e.Data.(*journal.ParkingBrake)
		if !ok {
			continue
		}
		f.Serviced = true
		switch d.State {
		case journal.ServiceModeOn:
			if off != nil {
				g.undo(e.Line, ServiceMode, ServiceModeAgain)
			}
			on, off = e, nil
		case journal.ServiceModeOff:
			off = e
		}
	}
	removed, back := end(w.rear(offVehicle), true), end(w.rear(is[journal.Refitting]), false)
	f.Touched, f.Electric = f.Serviced, on != nil || off != nil
	f.Known = f.Electric
	if kind != "" {
		f.Known, f.Electric = true, kind == journal.ElectricParking
		f.Touched = f.Serviced || removed != nil && (f.Electric || kind == journal.CableParking)
		g.state(Statement{Quantity: ParkingIs, Value: string(kind)}, by.Line)
	} else if removed != nil {
		f.Touched = true
		if !f.Electric {
			g.state(Statement{Quantity: ParkingIs, Met: NotKnown, Sure: NotProven, Because: NotStated}, removed.Line)
		}
	}
	g.rests(on.record(), off.record())
	first := lastOf(w.all, func(e Event) bool { return mode(journal.ServiceModeOn)(e) && e.before(removed) })
	f.InTime, f.LeftAfter = removed == nil || first != nil, back == nil || off.after(back)
	switch {
	case !f.Serviced && !f.Electric:
		g.await(ServiceMode, NoParkingBrake)
		return f
	case on == nil:
		g.state(Statement{Quantity: ServiceMode, Met: NotKnown, Sure: NotProven, Because: NotInServiceMode})
	case off == nil:
		g.state(Statement{Quantity: ServiceMode, Value: string(journal.ServiceModeOn), Met: No})
	default:
		f.Out = true
		g.keep()
		g.state(Statement{Quantity: ServiceMode, Value: string(journal.ServiceModeOff), Met: Yes})
	}
	if f.Electric && !f.InTime {
		g.undo(removed.Line, ServiceMode, OffBeforeService)
	}
	if f.Electric && f.Out && !f.LeftAfter {
		g.undo(back.Line, ServiceMode, OnAfterService)
	}
	return f
}

// setting looks whether the parking brake was calibrated or adjusted since it
// was last worked on.
func (w *Job) setting(g *Group) (f card.SettingFacts) {
	on := lastOf(w.all, mode(journal.ServiceModeOn))
	set := lastOf(w.all, mode(journal.Calibrated, journal.Adjusted))
	back := end(w.rear(is[journal.Refitting]), false)
	g.rests(set.record())
	switch {
	case set == nil:
		g.await(Calibration, NotCalibrated)
	case set.before(on):
		g.undo(on.Line, Calibration, ServiceModeAfter)
	case set.before(back):
		g.undo(back.Line, Calibration, OnAfterSetting)
	default:
		d := set.Data.(*journal.ParkingBrake)
		f.Done, f.Lamp = true, d.LampOff
		g.state(Statement{Quantity: Calibration, Value: string(d.State), Met: Yes})
		if !f.Lamp && d.State == journal.Calibrated {
			g.state(Statement{Quantity: Lamp, Met: NotKnown, Sure: NotProven, Because: LampNotSaid})
		}
	}
	return f
}

// holding takes the last trial of the parking brake, if no work on it came
// after that.
func (w *Job) holding(g *Group) (f card.HoldingFacts) {
	e, d := last[journal.ParkingTrial](w.all)
	if d == nil {
		g.await(ParkingHolds, NotTriedParking)
		return f
	}
	s := Statement{Quantity: ParkingHolds, Value: string(d.How), Met: met(d.Holds)}
	for _, later := range []*Event{lastOf(w.all, is[journal.ParkingBrake]), end(w.rear(is[journal.Refitting]), false), end(w.rear(offVehicle), false)} {
		if later.after(e) {
			g.rests(e.Line)
			g.undo(later.Line, ParkingHolds, WorkAfterTrial)
			s.Met, s.Sure, s.Because, s.Undone = NotKnown, NotProven, WorkAfterTrial, g.Undone.ID
		}
	}
	g.state(s, e.Line)
	f.Done, f.Holds = s.Because == "", d.Holds && s.Because == ""
	return f
}
