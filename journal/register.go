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
	{ShopFounded, 1, "the shop’s journal was started", []string{"shop"}, as[Shop](), HubOnly, ByProgram, NoStep, Proves},
	{DeviceInvited, 1, "a tablet may join once with this token", []string{"shop"}, as[Invitation](), HubOnly, ByProgram, NoStep, Plain},
	{DeviceEnrolled, 1, "a tablet joined with its keys", []string{"device"}, as[Device](), HubOnly, ByProgram, NoStep, Proves},
	{DeviceRevoked, 1, "a tablet may no longer write", []string{"device"}, as[Revocation](), HubOnly, ByCommand, NoStep, Final},
	{DeviceForked, 1, "a tablet showed two histories", []string{"device"}, as[ForkFound](), HubOnly, ByProgram, NoStep, Plain},
	{PersonAdded, 1, "a person works here", []string{"person"}, as[Person](), HubOnly, ByForm, NoStep, Underlies},
	{PersonRetired, 1, "a person no longer works here", []string{"person"}, as[Retirement](), HubOnly, ByForm, NoStep, Plain},
	{RoutePublished, 2, "a route card is in force from now on", []string{"route"}, as[RouteCard](), HubOnly, ByCommand, NoStep, Plain},
	{PowderReceived, 2, "a powder lot came in", []string{"lot"}, as[PowderLot](), AnyDevice, ByForm, NoStep, Underlies},
	{FluidOpened, 2, "a container of brake fluid was opened", []string{"fluid"}, as[FluidContainer](), AnyDevice, ByForm, NoStep, Plain},
	{ToolRegistered, 1, "a tool or gauge is in use", []string{"tool"}, as[Tool](), HubOnly, ByForm, NoStep, Underlies},
	{ToolChecked, 1, "a tool or gauge was checked", []string{"tool"}, as[ToolCheck](), AnyDevice, ByForm, NoStep, Underlies | Judges},
	{SpecRecorded, 3, "a joint’s figure was recorded with its source", []string{"spec"}, as[TorqueSpec](), HubOnly, ByForm, NoStep, Plain},
	{ClockCompared, 1, "a tablet’s clock was compared with the hub’s", []string{"device"}, as[ClockReading](), HubOnly, ByProgram, NoStep, Plain},

	// The job, from the counter to handover.
	{JobOpened, 3, "a vehicle is to be worked on", onJob, as[Job](), AnyDevice, ByForm, NoStep, Plain},
	{VehicleReceived, 1, "the vehicle came in", onJob, as[Arrival](), AnyDevice, ByForm, NoStep, Plain},
	{VehicleRaised, 2, "the vehicle was put on stands or on a lift", onJob, as[Raising](), AnyDevice, ByForm, NoStep, Plain},
	{PartRemoved, 1, "a part came off the vehicle", onPart, as[Removal](), AnyDevice, ByForm, NoStep, WorksOnBrakes | BehindWheel | Loosens},
	{PartTagged, 2, "a part got its tag", onPart, as[Tagging](), AnyDevice, ByForm, NoStep, Plain},
	{HardwareBagged, 1, "small parts went into a labelled bag", onCorner, as[Bagging](), AnyDevice, ByForm, NoStep, Plain},
	{PartStripped, 2, "everything that heat would harm was taken out", onPart, as[Stripping](), AnyDevice, ByForm, NoStep, Plain},
	{PartDegreased, 2, "a part was degreased", onRack, as[Degreasing](), AnyDevice, ByForm, StepDegrease, PerCoat},
	{PartBlasted, 2, "parts were blasted", onRack, as[Blasting](), AnyDevice, ByForm, StepBlast, PerCoat | ChangesFilm},
	{BoreMasked, 1, "bores, threads and seats were masked", onPart, as[Masking](), AnyDevice, ByForm, NoStep, PerCoat},
	{PartSoaked, 2, "parts were heated to drive oil and gas out", onRack, as[Soaking](), AnyDevice, ByForm, StepSoak, PerCoat | Heats | SoilsSeats},
	{PowderApplied, 2, "powder was applied", onRack, as[Coating](), AnyDevice, ByForm, StepPowder, PerCoat | ChangesFilm | SoilsSeats},
	{BakeStarted, 2, "parts went into the oven", onRun, as[BakeStart](), AnyDevice, ByForm, StepBake, PerCoat | Heats | ChangesFilm | SoilsSeats},
	{ProbeLogged, 2, "the temperatures that the probes read were recorded", onRun, as[ProbeTrace](), AnyDevice, ByCommand, StepBake, PerCoat | EndsBake},
	{CureCompleted, 1, "a bake ended", onRun, as[Cure](), AnyDevice, ByForm, StepBake, PerCoat | EndsBake},
	{PartCooled, 1, "parts cooled down", onRack, as[Cooling](), AnyDevice, ByForm, StepCool, PerCoat | EndsBake},
	{BoreUnmasked, 2, "plugs came out and were counted", onPart, as[Unmasking](), AnyDevice, ByForm, NoStep, PerCoat | EndsBake},
	{FilmMeasured, 1, "film thickness was read", onPart, as[FilmReadings](), AnyDevice, ByForm, NoStep, PerCoat},
	{AdhesionTested, 1, "adhesion was tested", onRack, as[AdhesionTest](), AnyDevice, ByForm, StepTest, Plain},
	{SolventRubbed, 1, "cure was tested with solvent", onRack, as[SolventRub](), AnyDevice, ByForm, StepTest, Plain},
	{DefectFound, 2, "a defect was found", onWork, as[Defect](), AnyDevice, ByForm, NoStep, Plain},
	{ReworkDecided, 1, "it was decided what is done about a defect", onWork, as[Rework](), AnyDevice, ByForm, NoStep, Plain},
	{PartRebuilt, 2, "new rubber and small parts were fitted", onPart, as[Rebuild](), AnyDevice, ByForm, NoStep, PerCoat},
	{SeatProved, 2, "seats were shown bare", onPart, as[SeatProof](), AnyDevice, ByForm, NoStep, PerCoat},
	{PartRefitted, 1, "a part was fitted to the vehicle again", onPart, as[Refitting](), AnyDevice, ByForm, NoStep, PerCoat | WorksOnBrakes | AsksSecondLook | BehindWheel | Loosens},
	{WasherReplaced, 2, "new washers were fitted", onCorner, as[Washers](), AnyDevice, ByForm, NoStep, WorksOnBrakes},
	{LineOpened, 2, "the hydraulic system was opened", onWork, as[LineOpening](), AnyDevice, ByForm, NoStep, WorksOnBrakes | AsksSecondLook | BehindWheel | Loosens},
	{LineConnected, 1, "the hydraulic system was closed", onWork, as[LineConnection](), AnyDevice, ByForm, NoStep, WorksOnBrakes | AsksSecondLook | BehindWheel},
	{TorqueApplied, 2, "a joint was tightened", onWork, as[Torque](), AnyDevice, ByForm, NoStep, WorksOnBrakes | AsksSecondLook},
	{ReservoirTopped, 2, "the fluid reservoir was looked at", onJob, as[Reservoir](), AnyDevice, ByForm, NoStep, Plain},
	{BleedDone, 2, "a corner was bled", onCorner, as[Bleed](), AnyDevice, ByForm, NoStep, WorksOnBrakes | AsksSecondLook},
	{ParkbrakeServiced, 2, "the parking brake was put into service mode, out of it or calibrated", onWork, as[ParkingBrake](), AnyDevice, ByForm, NoStep, WorksOnBrakes},
	{LeakChecked, 1, "the system was held under pressure", onWork, as[LeakCheck](), AnyDevice, ByForm, NoStep, ChecksBrakes},
	{PedalChecked, 1, "the pedal was tried", onJob, as[PedalCheck](), AnyDevice, ByForm, NoStep, ChecksBrakes},
	{WheelFitted, 2, "a wheel was fitted", []string{"job/corner"}, as[WheelFit](), AnyDevice, ByForm, NoStep, WorksOnBrakes},
	{RoadTested, 1, "the vehicle was driven", onJob, as[RoadTest](), AnyDevice, ByForm, NoStep, ChecksBrakes},
	{VehicleReleased, 3, "the vehicle was handed back", onJob, as[Release](), AnyDevice, ByForm, NoStep, IsSealed},
	{RecordSealed, 2, "the record was sealed as handed over", onJob, as[Seal](), HubOnly, ByProgram, NoStep, Proves},

	// Customer cards and withdrawn photographs.
	{CardWritten, 1, "a customer card was written", []string{"card"}, as[CardWriting](), AnyDevice, ByCommand, NoStep, Final},
	{CardErased, 1, "a customer card was erased", []string{"card"}, as[CardErasing](), HubOnly, ByCommand, NoStep, Final},
	{PhotoWithdrawn, 1, "a photograph was withdrawn", anywhere, as[Withdrawal](), HubOnly, ByForm, NoStep, Final | Amends},

	// After handover.
	{RetorqueDone, 1, "wheel nuts were tightened again", onJob, as[Retorque](), AnyDevice, ByForm, NoStep, Plain},
	{ContactMade, 3, "the customer was asked or told", onJob, as[Contact](), AnyDevice, ByForm, NoStep, Plain},
	{ClaimOpened, 1, "a complaint came in", onJob, as[Claim](), AnyDevice, ByForm, NoStep, Plain},
	{ClaimDecided, 2, "a complaint was settled", onJob, as[ClaimDecision](), AnyDevice, ByForm, NoStep, Plain},

	// At any time.
	{PhotoTaken, 1, "a photograph was taken", anywhere, as[Snapshot](), AnyDevice, ByForm, NoStep, Plain},
	{NoteMade, 1, "a remark was made", anywhere, as[Remark](), AnyDevice, ByForm, NoStep, Plain},
	{EntryCorrected, 1, "an entry is struck through", anywhere, as[Correction](), AnyDevice, ByCommand, NoStep, Amends},
	{HoldWaived, 2, "a quality hold was waived", onWork, as[Waiver](), AnyDevice, ByForm, NoStep, Plain},
	{SecondChecked, 3, "the work was checked a second time", onWork, as[SecondCheck](), AnyDevice, ByForm, NoStep, Plain},

	// What the order of entries rests on beside the entries themselves.
	{LogsNoted, 1, "a tablet’s entries say what it had seen", []string{"device"}, as[LogNote](), HubOnly, ByProgram, NoStep, Final | Proves},
	{LogsClosed, 1, "it was stated how much of a tablet’s log counts", []string{"device"}, as[LogClosing](), HubOnly, ByProgram, NoStep, Final | Proves},
	{OrderStated, 1, "somebody stated which of two entries came first", onJob, as[OrderStatement](), AnyDevice, ByCommand, NoStep, Amends},
	{LogsParted, 1, "the hub’s log has two histories; this one goes on", []string{"device"}, as[LogParting](), HubOnly, ByProgram, NoStep, Final | Proves},

	// Work of a log that counts no more.
	{EntryTakenOver, 1, "an entry of a log that no longer counts was taken over", anywhere, as[TakenOver](), AnyDevice, ByProgram, NoStep, Final},

	// What a part has.
	{PartDescribed, 2, "what a part has", onPart, as[MakeUp](), AnyDevice, ByForm, NoStep, Plain},

	// Of the vehicle.
	{ManualRead, 1, "the vehicle’s cap or manual was read", onJob, as[Manual](), AnyDevice, ByForm, NoStep, Plain},
	{ParkbrakeTried, 1, "the parking brake was tried", onJob, as[ParkingTrial](), AnyDevice, ByForm, NoStep, ChecksBrakes},

	// Of the coating.
	{ColourApproved, 1, "the customer approved a colour", onJob, as[ColourApproval](), AnyDevice, ByForm, NoStep, Plain},
	{EquipmentServiced, 1, "a machine of the shop was serviced", []string{"tool"}, as[Service](), AnyDevice, ByForm, NoStep, Underlies | Judges},

	// What a part is, and how it is.
	{CastingMatched, 1, "a part was found to be a casting that was here before", onPart, as[CastingMatch](), AnyDevice, ByForm, NoStep, ByPhotograph},
	{ConditionFound, 1, "the condition of a part or a line was written down", onCorner, as[Condition](), AnyDevice, ByForm, NoStep, Plain},
	{ConditionDecided, 1, "it was decided what is done about the condition of a part or a line", onCorner, as[ConditionRuling](), AnyDevice, ByForm, NoStep, Plain},
	{JobPromised, 2, "the customer was promised a day or a warranty", onJob, as[Promise](), AnyDevice, ByForm, NoStep, Plain},
	{InvestigationMade, 3, "something was looked into, with what came of it", anywhere, as[Investigation](), AnyDevice, ByForm, NoStep, Plain},
	{RecallMade, 1, "something that was used was recalled", []string{"tool", "lot", "fluid", "kit"}, as[Recall](), AnyDevice, ByForm, NoStep, Judges},
	{KitReceived, 1, "a kit of parts came in", []string{"kit"}, as[Kit](), AnyDevice, ByForm, NoStep, Plain},
	// Of the shop.
	{UnitsChosen, 1, "the shop chose the units in which it works", []string{"shop"}, as[Units](), HubOnly, ByForm, NoStep, Plain},

	// On photographs.
	{PhotoMarked, 1, "something was marked on a copy of a photograph", anywhere, as[PhotoMarks](), AnyDevice, ByForm, NoStep, Plain},

	{WritingChosen, 1, "the shop chose how it writes numbers, days and people", []string{"shop"}, as[Writing](), HubOnly, ByForm, NoStep, Plain},

	// Of the hub.
	{KeysChanged, 1, "the hub’s keys were changed", []string{"shop"}, as[KeyChange](), HubOnly, ByProgram, NoStep, Final | Proves},
	{KeysAgreed, 1, "a tablet agreed to new keys of the hub", []string{"device"}, as[KeyAgreement](), AboutItself, ByProgram, NoStep, Final | Proves},
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
	PhotoMarked    Kind = "photo.marked"
	NoteMade       Kind = "note.made"
	EntryCorrected Kind = "entry.corrected"
	HoldWaived     Kind = "hold.waived"
	SecondChecked  Kind = "second.checked"

	LogsNoted  Kind = "logs.noted"
	LogsClosed Kind = "logs.closed"

	OrderStated Kind = "order.stated"
	LogsParted  Kind = "logs.parted"

	EntryTakenOver Kind = "entry.takenover"

	PartDescribed Kind = "part.described"

	ManualRead     Kind = "manual.read"
	ParkbrakeTried Kind = "parkbrake.tried"

	ColourApproved    Kind = "colour.approved"
	EquipmentServiced Kind = "equipment.serviced"

	CastingMatched   Kind = "casting.matched"
	ConditionFound   Kind = "condition.found"
	ConditionDecided Kind = "condition.decided"
	JobPromised      Kind = "job.promised"
	KitReceived      Kind = "kit.received"

	InvestigationMade Kind = "investigation.made"
	RecallMade        Kind = "recall.made"
	UnitsChosen       Kind = "units.chosen"
	WritingChosen     Kind = "writing.chosen"

	KeysChanged Kind = "keys.changed"
	KeysAgreed  Kind = "keys.agreed"
)
