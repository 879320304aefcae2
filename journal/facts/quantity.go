package facts

// Quantity is what a statement states. The words are written in exports and
// never change.
type Quantity string

// The quantities of a part.
const (
	Tag           Quantity = "tag"
	Rubber        Quantity = "rubber"
	Degreaser     Quantity = "degreaser"
	BlastMedia    Quantity = "blast media"
	BlastToPowder Quantity = "time from blast to powder"
	Soak          Quantity = "soak"
	Rag           Quantity = "rag"
	SoakToPowder  Quantity = "time from soak to powder"
	StepOrder     Quantity = "order of steps"
	Masked        Quantity = "masked features"
	Plugs         Quantity = "plugs out" // held against those that went in
	Powder        Quantity = "powder lot"
	Schedule      Quantity = "schedule fraction"
	Overbake      Quantity = "overbake"
	HeatDose      Quantity = "minutes of heat"
	FilmMean      Quantity = "film mean"
	DewMargin     Quantity = "margin above the dew point"
	DefectFound   Quantity = "defect"
	Seats         Quantity = "seats"
	NewParts      Quantity = "new parts"
	Refitted      Quantity = "refitted"
)

// The quantities of a corner.
const (
	PartsBack   Quantity = "parts back on"
	Bagged      Quantity = "pieces bagged"
	BagEmpty    Quantity = "bag empty"
	LineState   Quantity = "brake line"
	NewWashers  Quantity = "new washers"
	JointTorque Quantity = "torque"
	ToolFit     Quantity = "tool"
	Bled        Quantity = "fluid drawn"
	BleedNeeded Quantity = "bleeding needed"
	ScrewTorque Quantity = "torque of the bleeder screw"
	WheelTorque Quantity = "wheel torque"
	WheelSnug   Quantity = "wheel torque, snug"
)

// The quantities of a vehicle.
const (
	ArrivalFindings Quantity = "findings on arrival"
	ArrivalAgreed   Quantity = "findings accepted"
	Stands          Quantity = "stands"
	Level           Quantity = "reservoir level"
	FluidBalance    Quantity = "fluid balance"
	Fluid           Quantity = "fluid grade"
	VehicleFluid    Quantity = "fluid grade of the vehicle"
	FluidOpenDays   Quantity = "days that the fluid was open"
	LevelAtMin      Quantity = "reservoir level at MIN"
	BleedOrder      Quantity = "order of bleeding"
	FluidMix        Quantity = "fluid grades together"
	LeakHeld        Quantity = "leak check"
	Pedal           Quantity = "pedal"
	ServiceMode     Quantity = "parking brake service mode"
	Calibration     Quantity = "parking brake calibration"
	ParkingIs       Quantity = "kind of parking brake"
	ParkingHolds    Quantity = "parking brake tried"
	Lamp            Quantity = "parking brake lamp"
	Driven          Quantity = "distance driven"
	SecondLook      Quantity = "second check"
)

// The quantities of one entry.
const (
	VIN             Quantity = "VIN"
	ToolUses        Quantity = "tool uses"
	AtBolt          Quantity = "torque at the bolt"
	TorqueAlone     Quantity = "torque without a recorded figure"
	ToolRange       Quantity = "tool range"
	NutMoved        Quantity = "nut moved"
	FluidUseBy      Quantity = "days that the fluid may be used"
	LotUseBy        Quantity = "days that the powder may be used"
	BoilingPoint    Quantity = "boiling point"
	FluidSinceFirst Quantity = "fluid balance since the first look"
	FilmRange       Quantity = "film readings"
	MetalSoaked     Quantity = "metal soaked"
	PlugsLeft       Quantity = "plugs left in"
	ScheduleAsked   Quantity = "schedule asked for"
	BakeSeen        Quantity = "schedule fraction of a bake"
)

// Cause says why something is not proven, still to come, or undone. The words
// are written in exports and never change.
type Cause string

// What is still to come.
const (
	NotTagged      Cause = "not tagged"
	NotStripped    Cause = "not stripped of rubber"
	NotDegreased   Cause = "not degreased"
	NotBlasted     Cause = "not blasted"
	NotSoaked      Cause = "not soaked"
	NotMasked      Cause = "not masked"
	NoPowder       Cause = "no powder on"
	NoPlug         Cause = "no plug in"
	NotCounted     Cause = "plugs not counted out"
	NotBaked       Cause = "not baked"
	InOven         Cause = "in the oven"
	NoHeat         Cause = "in no heat"
	NotMeasured    Cause = "not measured"
	NotDecided     Cause = "not decided"
	NoSeats        Cause = "no seat shown"
	NotRebuilt     Cause = "not rebuilt"
	NotBack        Cause = "not back on"
	NotOff         Cause = "not taken off"
	PartNotBack    Cause = "part not back on"
	NoBag          Cause = "no bag"
	NoEmptyBag     Cause = "no picture of the empty bag"
	NoLine         Cause = "no line opened"
	NotClosed      Cause = "line open"
	NoWasher       Cause = "no new washer"
	NotTight       Cause = "not tightened"
	BoltsMissing   Cause = "not all bolts tightened"
	NotBled        Cause = "not bled"
	NoneBled       Cause = "no corner bled"
	NoScrewTorque  Cause = "no torque of the bleeder screw"
	NotFull        Cause = "wheel not tightened in full"
	NoArrival      Cause = "arrival not written down"
	NoStands       Cause = "stands not written down"
	NoLastLook     Cause = "no look at the reservoir after the last bleeding"
	NoFluid        Cause = "no fluid in"
	NotHeld        Cause = "not held under pressure"
	NotTried       Cause = "pedal not tried"
	NoParkingBrake Cause = "no parking brake serviced"
	NotCalibrated  Cause = "not calibrated"
	NotDriven      Cause = "not driven"

	NotTriedParking Cause = "parking brake not tried"
	NoSecondLook    Cause = "no second person looked"
)

// Why something is not proven.
const (
	NoReceipt        Cause = "no receipt of the lot"
	NoSchedule       Cause = "no bake schedule of the lot"
	BadSchedule      Cause = "bake schedule not usable"
	NoProbe          Cause = "no probe on the part"
	NoTemperatures   Cause = "no temperatures logged"
	NotShown         Cause = "not shown by the probe" // the calculation says why
	HeavierPart      Cause = "heavier than the part with the probe"
	OtherKind        Cause = "another kind of part than the one with the probe"
	OtherMetal       Cause = "another metal than the part with the probe"
	CoolerThanBake   Cause = "cooler than the bake"
	CannotJudge      Cause = "cannot be judged"
	NotAllRead       Cause = "not all read"
	NoVerdict        Cause = "no verdict" // the calculation says why
	OtherJoint       Cause = "figure for another joint"
	BoltsNotNew      Cause = "single-use bolts not said to be new"
	SpanNotKnown     Cause = "volume from MIN to MAX not known"
	NotStated        Cause = "not stated for the vehicle"
	BoilsLower       Cause = "boils lower"
	OtherThread      Cause = "threads not as the figure asks"
	NotOpened        Cause = "opening not written down"
	NotSnug          Cause = "snug not written down"
	NoContainer      Cause = "container not on the register"
	NotInServiceMode Cause = "service mode not written down"
	LampNotSaid      Cause = "lamp not written down"
	DrivenUnchecked  Cause = "driven unchecked"
	NotTheseBrakes   Cause = "not work on these brakes"
	OwnWork          Cause = "own work"
	NotAuthorised    Cause = "not authorised"
	Warned           Cause = "warning" // the calculation says what of
	MetalNotRead     Cause = "metal not read"
	PlugsMissing     Cause = "plugs missing"
)

// How a later entry undid something.
const (
	RubberLeftIn         Cause = "rubber left in"
	HeatedWithRubber     Cause = "heated with rubber in"
	HeatedWithChlorine   Cause = "heated after a chlorinated degreaser"
	WrongOrder           Cause = "wrong order"
	PowderUnmasked       Cause = "powder on bare bores"
	CoatedAfter          Cause = "coated after"
	SoiledAfter          Cause = "powder or heat after"
	BackBeforeSeats      Cause = "back on before the seats were shown"
	HeatedAfterRebuild   Cause = "heated after the rebuild"
	BackBeforeRebuild    Cause = "back on before the rebuild"
	OffAgain             Cause = "off again"
	PartOffAgain         Cause = "part off again"
	BackAfterBag         Cause = "part back on after the bag was shown empty"
	OpenedAfterWashers   Cause = "line opened after the washers"
	OpenedAgain          Cause = "line opened again"
	AirAfter             Cause = "air after the bleeding"
	BleedAgain           Cause = "to be bled again"
	LineOpenedAfter      Cause = "line opened after tightening"
	OffAfterTight        Cause = "part off after tightening"
	OnAfterTight         Cause = "part on after tightening"
	WorkBehindWheel      Cause = "work behind the wheel"
	OffBefore            Cause = "part off before"
	RanDry               Cause = "reservoir ran dry"
	NoLook               Cause = "no look at the reservoir"
	HydraulicsAfterLeak  Cause = "hydraulics after the leak check"
	HydraulicsAfterPedal Cause = "hydraulics after the pedal"
	ServiceModeAgain     Cause = "service mode again"
	ServiceModeAfter     Cause = "service mode after calibration"
	OffBeforeService     Cause = "off before service mode"
	OnAfterService       Cause = "on after service mode was left"
	OnAfterSetting       Cause = "on after the parking brake was set"
	WorkAfterTrial       Cause = "work after the parking brake was tried"
	WorkAfterRoad        Cause = "work after the road test"
	FoundWrong           Cause = "found wrong"
	WorkAfterLook        Cause = "work after the second check"
)
