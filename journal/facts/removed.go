package facts

import "fettlebook/journal"

// offVehicle reports whether an entry says that a part was taken off the
// vehicle. One that the customer brought was on none.
func offVehicle(p journal.Payload) bool {
	r, ok := p.(*journal.Removal)
	return ok && !r.Supplied
}

// cameBare reports whether the part came without any rubber in it. Of one that
// was on the vehicle that is not believed, whoever states it.
func (p *partWork) cameBare() bool { return p.has != nil && p.has.CameBare && !p.cameOff() }
