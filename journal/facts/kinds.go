package facts

import "fettlebook/journal"

// What the program knows of kinds, beyond what their payloads say, is asked
// in this file.

// coats reports whether an entry of that kind is made anew for each coat.
func coats(k journal.Kind) bool {
	switch k {
	case journal.PartDegreased, journal.PartBlasted, journal.BoreMasked, journal.PartSoaked, journal.PowderApplied, journal.BakeStarted,
		journal.ProbeLogged, journal.CureCompleted, journal.PartCooled, journal.BoreUnmasked, journal.FilmMeasured,
		journal.SeatProved, journal.PartRebuilt, journal.PartRefitted:
		return true
	}
	return false
}

// worksOnBrakes reports whether an event is work after which a vehicle is
// driven again. A look that changes nothing is none.
func worksOnBrakes(e Event) bool {
	switch e.Data.(type) {
	case *journal.Removal, *journal.Refitting, *journal.Torque, *journal.LineOpening, *journal.LineConnection, *journal.Bleed,
		*journal.WheelFit, *journal.ParkingBrake, *journal.Washers:
		return true
	}
	return false
}

// checksBrakes reports whether an event is a look that a second person may
// confirm.
func checksBrakes(e Event) bool {
	switch e.Data.(type) {
	case *journal.LeakCheck, *journal.PedalCheck, *journal.RoadTest:
		return true
	}
	return false
}

func changesFilm(e Event) bool {
	switch e.Data.(type) {
	case *journal.Coating, *journal.BakeStart, *journal.Blasting:
		return true
	}
	return false
}

// spoils reports whether an event makes a look at bare seats or a rebuild
// worthless.
func spoils(e Event) bool {
	switch e.Data.(type) {
	case *journal.Soaking, *journal.BakeStart, *journal.Coating:
		return true
	}
	return false
}

// heats reports whether an event put the part into heat.
func heats(e Event) bool {
	switch e.Data.(type) {
	case *journal.Soaking, *journal.BakeStart:
		return true
	}
	return false
}

// afterBake returns the index of the first event after a bake that does not
// belong to the bake.
func afterBake(events []Event, bake int) int {
	for i := bake + 1; i < len(events); i++ {
		switch events[i].Data.(type) {
		case *journal.ProbeTrace, *journal.Cure, *journal.Cooling, *journal.Unmasking:
		default:
			return i
		}
	}
	return len(events)
}
