package journal

// The forms of subject that kinds stand on.
var (
	onJob    = []string{"job"}
	onCorner = []string{"job/corner", "job/corner/part"}
	onPart   = []string{"job/corner/part"}
	onWork   = []string{"job", "job/corner", "job/corner/part"}
	onRun    = []string{"run"}
	onRack   = []string{"run", "job/corner/part"} // one part, or a run that names its parts
	anywhere = []string(nil)
)

// register lists the kinds. Append to it; never reorder, rename or remove.
var register = []spec{
	// The shop's register, written at the hub.
	{ShopFounded, 1, "the shop's journal was begun", []string{"shop"}, as[Shop]()},
	{DeviceInvited, 1, "a tablet may join once with this token", []string{"shop"}, as[Invitation]()},
	{DeviceEnrolled, 1, "a tablet joined with its keys", []string{"device"}, as[Device]()},
	{DeviceRevoked, 1, "a tablet may write no more", []string{"device"}, as[Revocation]()},
	{DeviceForked, 1, "a tablet showed two histories", []string{"device"}, as[ForkFound]()},
	{PersonAdded, 1, "a person works here", []string{"person"}, as[Person]()},
	{PersonRetired, 1, "a person works here no more", []string{"person"}, as[Retirement]()},
	{RoutePublished, 1, "a route card holds from now on", []string{"route"}, as[RouteCard]()},
	{PowderReceived, 1, "a powder lot came in", []string{"lot"}, as[PowderLot]()},
	{FluidOpened, 1, "a container of brake fluid was opened", []string{"fluid"}, as[FluidContainer]()},
	{ToolRegistered, 1, "a tool or gauge is in use", []string{"tool"}, as[Tool]()},
	{ToolChecked, 1, "a tool or gauge was checked", []string{"tool"}, as[ToolCheck]()},
	{SpecRecorded, 1, "a joint's figure, with its source", []string{"spec"}, as[TorqueSpec]()},
	{ClockCompared, 1, "a tablet's clock against the hub's", []string{"device"}, as[ClockReading]()},

	// The job, from the counter to handover.
	{JobOpened, 1, "a vehicle is to be worked on", onJob, as[Job]()},
	{VehicleReceived, 1, "the vehicle as it came in", onJob, as[Arrival]()},
	{VehicleRaised, 1, "the vehicle stands on stands", onJob, as[Raising]()},
	{PartRemoved, 1, "a part came off the vehicle", onPart, as[Removal]()},
	{PartTagged, 1, "a casting got its tag", onPart, as[Tagging]()},
	{HardwareBagged, 1, "small parts went into a labelled bag", onCorner, as[Bagging]()},
	{PartStripped, 1, "everything that cannot stand heat came out", onPart, as[Stripping]()},
	{PartDegreased, 1, "a part was degreased", onRack, as[Degreasing]()},
	{PartBlasted, 1, "parts were blasted", onRack, as[Blasting]()},
	{BoreMasked, 1, "bores, threads and seats were masked", onPart, as[Masking]()},
	{PartSoaked, 1, "parts were heated to drive gas out", onRack, as[Soaking]()},
	{PowderApplied, 1, "powder was put on", onRack, as[Coating]()},
	{BakeStarted, 1, "parts went into the oven", onRun, as[BakeStart]()},
	{ProbeLogged, 1, "temperatures over time", onRun, as[ProbeTrace]()},
	{CureCompleted, 1, "a bake ended", onRun, as[Cure]()},
	{PartCooled, 1, "parts cooled down", onRack, as[Cooling]()},
	{BoreUnmasked, 1, "plugs came out and were counted", onPart, as[Unmasking]()},
	{FilmMeasured, 1, "film thickness was read", onPart, as[FilmReadings]()},
	{AdhesionTested, 1, "adhesion was tested", onRack, as[AdhesionTest]()},
	{SolventRubbed, 1, "cure was tested with solvent", onRack, as[SolventRub]()},
	{DefectFound, 1, "a defect was found", onWork, as[Defect]()},
	{ReworkDecided, 1, "what is done about a defect", onWork, as[Rework]()},
	{PartRebuilt, 1, "pistons, seals and boots went back in", onPart, as[Rebuild]()},
	{SeatProved, 1, "seats were shown bare", onPart, as[SeatProof]()},
	{PartRefitted, 1, "a part is back on the vehicle", onPart, as[Refitting]()},
	{WasherReplaced, 1, "new sealing washers went in", onCorner, as[Washers]()},
	{LineOpened, 1, "the hydraulic system was opened", onWork, as[LineOpening]()},
	{LineConnected, 1, "the hydraulic system was closed", onWork, as[LineConnection]()},
	{TorqueApplied, 1, "a joint was tightened", onWork, as[Torque]()},
	{ReservoirTopped, 1, "the fluid reservoir was looked at", onJob, as[Reservoir]()},
	{BleedDone, 1, "a corner was bled", onCorner, as[Bleed]()},
	{ParkbrakeServiced, 1, "the parking brake's service mode", onWork, as[ParkingBrake]()},
	{LeakChecked, 1, "the system was held under pressure", onWork, as[LeakCheck]()},
	{PedalChecked, 1, "the pedal was tried", onJob, as[PedalCheck]()},
	{WheelFitted, 1, "a wheel was fitted", []string{"job/corner"}, as[WheelFit]()},
	{RoadTested, 1, "the vehicle was driven", onJob, as[RoadTest]()},
	{VehicleReleased, 1, "the vehicle was handed back", onJob, as[Release]()},
	{RecordSealed, 1, "the record as handed over", onJob, as[Seal]()},

	// Customer cards and withdrawn photographs.
	{CardWritten, 1, "a customer card was written", []string{"card"}, as[CardWriting]()},
	{CardErased, 1, "a customer card was erased", []string{"card"}, as[CardErasing]()},
	{PhotoWithdrawn, 1, "a photograph was withdrawn", anywhere, as[Withdrawal]()},

	// After handover.
	{RetorqueDone, 1, "wheel nuts were tightened again", onJob, as[Retorque]()},
	{ContactMade, 1, "the customer was asked or told", onJob, as[Contact]()},
	{ClaimOpened, 1, "a complaint came in", onJob, as[Claim]()},
	{ClaimDecided, 1, "a complaint was settled", onJob, as[ClaimDecision]()},

	// At any time.
	{PhotoTaken, 1, "a photograph, nothing else", anywhere, as[Snapshot]()},
	{NoteMade, 1, "a remark", anywhere, as[Remark]()},
	{EntryCorrected, 1, "an entry is struck through", anywhere, as[Correction]()},
	{HoldWaived, 1, "a quality hold was waived", onWork, as[Waiver]()},
	{SecondChecked, 1, "a second person looked", onWork, as[SecondCheck]()},
}

// The kinds, by their written names.
const (
	ShopFounded    Kind = "shop.founded"
	DeviceInvited  Kind = "device.invited"
	DeviceEnrolled Kind = "device.enrolled"
	DeviceRevoked  Kind = "device.revoked"
	DeviceForked   Kind = "device.forked"
	PersonAdded    Kind = "person.added"
	PersonRetired  Kind = "person.retired"
	RoutePublished Kind = "route.published"
	PowderReceived Kind = "powder.received"
	FluidOpened    Kind = "fluid.opened"
	ToolRegistered Kind = "tool.registered"
	ToolChecked    Kind = "tool.checked"
	SpecRecorded   Kind = "spec.recorded"
	ClockCompared  Kind = "clock.compared"

	JobOpened         Kind = "job.opened"
	VehicleReceived   Kind = "vehicle.received"
	VehicleRaised     Kind = "vehicle.raised"
	PartRemoved       Kind = "part.removed"
	PartTagged        Kind = "part.tagged"
	HardwareBagged    Kind = "hardware.bagged"
	PartStripped      Kind = "part.stripped"
	PartDegreased     Kind = "part.degreased"
	PartBlasted       Kind = "part.blasted"
	BoreMasked        Kind = "bore.masked"
	PartSoaked        Kind = "part.soaked"
	PowderApplied     Kind = "powder.applied"
	BakeStarted       Kind = "bake.started"
	ProbeLogged       Kind = "probe.logged"
	CureCompleted     Kind = "cure.completed"
	PartCooled        Kind = "part.cooled"
	BoreUnmasked      Kind = "bore.unmasked"
	FilmMeasured      Kind = "film.measured"
	AdhesionTested    Kind = "adhesion.tested"
	SolventRubbed     Kind = "solvent.rubbed"
	DefectFound       Kind = "defect.found"
	ReworkDecided     Kind = "rework.decided"
	PartRebuilt       Kind = "part.rebuilt"
	SeatProved        Kind = "seat.proved"
	PartRefitted      Kind = "part.refitted"
	WasherReplaced    Kind = "washer.replaced"
	LineOpened        Kind = "line.opened"
	LineConnected     Kind = "line.connected"
	TorqueApplied     Kind = "torque.applied"
	ReservoirTopped   Kind = "reservoir.topped"
	BleedDone         Kind = "bleed.done"
	ParkbrakeServiced Kind = "parkbrake.serviced"
	LeakChecked       Kind = "leak.checked"
	PedalChecked      Kind = "pedal.checked"
	WheelFitted       Kind = "wheel.fitted"
	RoadTested        Kind = "road.tested"
	VehicleReleased   Kind = "vehicle.released"
	RecordSealed      Kind = "record.sealed"

	CardWritten    Kind = "card.written"
	CardErased     Kind = "card.erased"
	PhotoWithdrawn Kind = "photo.withdrawn"

	RetorqueDone Kind = "retorque.done"
	ContactMade  Kind = "contact.made"
	ClaimOpened  Kind = "claim.opened"
	ClaimDecided Kind = "claim.decided"

	PhotoTaken     Kind = "photo.taken"
	NoteMade       Kind = "note.made"
	EntryCorrected Kind = "entry.corrected"
	HoldWaived     Kind = "hold.waived"
	SecondChecked  Kind = "second.checked"
)
