package facts

import "fettlebook/journal"

// Answer is the kind of entry by which somebody would write what a statement says
// is still to come, or was not right; "" where no one kind does.
func (s Statement) Answer() journal.Kind {
	if s.Met == Yes || s.Met == NotAsked {
		return ""
	}
	if s.Because == InOven {
		return journal.ProbeLogged
	}
	return answering()[s.Quantity]
}

// answering has the kinds that quantities are written with.
func answering() map[Quantity]journal.Kind {
	return map[Quantity]journal.Kind{
		Tag: journal.PartTagged, PartHas: journal.PartDescribed, Rubber: journal.PartStripped, Degreaser: journal.PartDegreased, BlastMedia: journal.PartBlasted,
		Masked: journal.BoreMasked, Soak: journal.PartSoaked, Rag: journal.PartSoaked, Powder: journal.PowderApplied, Schedule: journal.BakeStarted, Plugs: journal.BoreUnmasked,
		FilmMean: journal.FilmMeasured, Adhesion: journal.AdhesionTested, Seats: journal.SeatProved, NewParts: journal.PartRebuilt, Refitted: journal.PartRefitted,
		DefectFound: journal.ReworkDecided, ConditionIs: journal.ConditionDecided,
		Bagged: journal.HardwareBagged, BagEmpty: journal.PhotoTaken, LineState: journal.LineConnected, NewWashers: journal.WasherReplaced, JointTorque: journal.TorqueApplied,
		Bled: journal.BleedDone, BleedNeeded: journal.BleedDone, ScrewTorque: journal.BleedDone, WheelTorque: journal.WheelFitted, WheelSnug: journal.WheelFitted,
		ArrivalFindings: journal.VehicleReceived, ArrivalAgreed: journal.VehicleReceived, Stands: journal.VehicleRaised,
		Level: journal.ReservoirTopped, VehicleFluid: journal.ManualRead, ParkingIs: journal.ManualRead, LeakHeld: journal.LeakChecked, Pedal: journal.PedalChecked,
		ServiceMode: journal.ParkbrakeServiced, Calibration: journal.ParkbrakeServiced, ParkingHolds: journal.ParkbrakeTried,
		Driven: journal.RoadTested, SecondLook: journal.SecondChecked, OwnLook: journal.SecondChecked,
	}
}
