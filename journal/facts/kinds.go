package facts

import "fettlebook/journal"

// is reports whether the event does any of what is asked to a part or vehicle.
// That the customer brought a part is written as a removal, and does nothing to
// the vehicle.
func (e Event) is(any journal.Trait) bool {
	if is[journal.Removal](e) && !offVehicle(e) {
		return false
	}
	return e.Data.Kind().Is(any)
}

// doing asks of events whether they do any of that.
func doing(any journal.Trait) func(Event) bool { return func(e Event) bool { return e.is(any) } }
