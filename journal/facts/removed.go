package facts

import "fettlebook/journal"

// offVehicle reports whether an event is that a part came off the vehicle. One
// that the customer brought was on none.
func offVehicle(e Event) bool {
	r, ok := e.Data.(*journal.Removal)
	return ok && !r.Supplied
}

// cameBare reports whether the part came without any rubber in it. Of one that
// was on the vehicle that is not believed, whoever states it.
func (p *partWork) cameBare() bool { return p.has != nil && p.has.CameBare && !p.cameOff() }
