package journal

// Look is what is seen of a defect, whatever it comes from.
type Look = Choice[looks]

type looks struct{}

func (looks) words() []string {
	return written(Pinhole, Crater, FisheyeLook, Blister, Run, OrangePeelLook, InclusionLook, Chip, Peel, BareSpot, ThinSpot, RoughSpot, SoftFilm, BrittleFilm, Crack, Wrinkle, OffColour, OffGloss, LiftedEdge, RustSpot, RustUnderFilm, ScratchLook, OtherLook)
}

// The words of [Look].
const (
	Pinhole        Look = "pinhole"
	Crater         Look = "crater"
	FisheyeLook    Look = "fisheye"
	Blister        Look = "blister"
	Run            Look = "run"
	OrangePeelLook Look = "orange peel"
	InclusionLook  Look = "inclusion"
	Chip           Look = "chip"
	Peel           Look = "peeling film"
	BareSpot       Look = "bare spot"
	ThinSpot       Look = "thin spot"
	RoughSpot      Look = "rough spot"
	SoftFilm       Look = "soft film"
	BrittleFilm    Look = "brittle film"
	Crack          Look = "crack"
	Wrinkle        Look = "wrinkled film"
	OffColour      Look = "off colour"
	OffGloss       Look = "off gloss"
	LiftedEdge     Look = "lifted edge"
	RustSpot       Look = "rust spot"
	RustUnderFilm  Look = "rust under the film"
	ScratchLook    Look = "scratch"
	OtherLook      Look = "something else"
)

// Cause is where a defect comes from, or is thought to.
type Cause = Choice[causes]

type causes struct{}

func (causes) words() []string {
	return written(GasFromCasting, Moisture, FilmTooThick, FilmTooThin, OilOrSilicone, BackIonised, FaradayRecess, TooLittleHeat, TooMuchHeat, PoorCleaning, RustBeforePowder, MaskEdge, DirtOrOtherPowder, OldPowder, CoatedSeat, BrakeFluidOnFilm, SaltAndWater, Knock, OtherCause)
}

// The words of [Cause].
const (
	GasFromCasting    Cause = "gas from the casting"
	Moisture          Cause = "moisture"
	FilmTooThick      Cause = "film too thick"
	FilmTooThin       Cause = "film too thin"
	OilOrSilicone     Cause = "oil or silicone"
	BackIonised       Cause = "back-ionisation"
	FaradayRecess     Cause = "recess that the field does not reach"
	TooLittleHeat     Cause = "too little heat"
	TooMuchHeat       Cause = "too much heat"
	PoorCleaning      Cause = "poor cleaning"
	RustBeforePowder  Cause = "rust before the powder"
	MaskEdge          Cause = "edge of the masking"
	DirtOrOtherPowder Cause = "dirt or another powder"
	OldPowder         Cause = "old or damp powder"
	CoatedSeat        Cause = "film on a bolt seat"
	BrakeFluidOnFilm  Cause = "brake fluid"
	SaltAndWater      Cause = "salt and water"
	Knock             Cause = "knock"
	OtherCause        Cause = "something else"
)

// HowSure is how somebody knows the cause of a defect.
type HowSure = Choice[howSure]

type howSure struct{}

func (howSure) words() []string { return written(CauseSeen, CauseSuspected, CauseTested) }

// The words of [HowSure].
const (
	CauseSeen      HowSure = "seen"
	CauseSuspected HowSure = "suspected"
	CauseTested    HowSure = "shown by a test"
)

// Outline is a drawing of a part on which a place can be shown.
type Outline = Choice[outlines]

type outlines struct{}

func (outlines) words() []string {
	return written(FloatingOuter, FloatingInner, FixedOuter, FixedInner, BracketFront, BracketBack, ArmTop, ArmBottom)
}

// The words of [Outline].
const (
	FloatingOuter Outline = "floating caliper, outer side"
	FloatingInner Outline = "floating caliper, inner side"
	FixedOuter    Outline = "fixed caliper, outer side"
	FixedInner    Outline = "fixed caliper, inner side"
	BracketFront  Outline = "bracket, wheel side"
	BracketBack   Outline = "bracket, knuckle side"
	ArmTop        Outline = "arm, from above"
	ArmBottom     Outline = "arm, from below"
)

// DefectName is a defect by the trade's name, which often says what it looks
// like and where it is thought to come from in one word.
type DefectName = Choice[defects]

type defects struct{}

func (defects) words() []string {
	return written(OutgassingPinhole, MoisturePop, ThickFilmGassing, Fisheye, BackIonisation, OrangePeel, ThinRecess, Sag, Undercure, Overbaked, AdhesionLoss, FlashRust, MaskBridging, Inclusion, SeatChip, FluidAttack, CorrosionCreep, Scratch, OtherDefect)
}

// The words of [DefectName].
const (
	OutgassingPinhole DefectName = "outgassing pinhole"
	MoisturePop       DefectName = "moisture pop"
	ThickFilmGassing  DefectName = "thick-film gassing"
	Fisheye           DefectName = "fisheye"
	BackIonisation    DefectName = "back-ionisation"
	OrangePeel        DefectName = "orange peel"
	ThinRecess        DefectName = "thin recess"
	Sag               DefectName = "sag"
	Undercure         DefectName = "undercure"
	Overbaked         DefectName = "overbake"
	AdhesionLoss      DefectName = "adhesion loss"
	FlashRust         DefectName = "flash rust under film"
	MaskBridging      DefectName = "bridging at mask"
	Inclusion         DefectName = "inclusion"
	SeatChip          DefectName = "chip at bolt seat"
	FluidAttack       DefectName = "brake fluid attack"
	CorrosionCreep    DefectName = "corrosion creep"
	Scratch           DefectName = "scratch"
	OtherDefect       DefectName = "other"
)

// DefectStage is when a defect was first seen.
type DefectStage = Choice[defectStages]

type defectStages struct{}

func (defectStages) words() []string {
	return written(BeforeCoating, BeforeBake, AfterBake, AtAssembly, AfterHandover)
}

// The words of [DefectStage].
const (
	BeforeCoating DefectStage = "before coating"
	BeforeBake    DefectStage = "before bake"
	AfterBake     DefectStage = "after bake"
	AtAssembly    DefectStage = "at assembly"
	AfterHandover DefectStage = "after handover"
)

// ReworkDecision is what is done about a defect.
type ReworkDecision = Choice[reworkDecisions]

type reworkDecisions struct{}

func (reworkDecisions) words() []string {
	return written(StripAndRecoat, TouchIn, AcceptAsIs, ScrapPart)
}

// The words of [ReworkDecision].
const (
	StripAndRecoat ReworkDecision = "strip and recoat"
	TouchIn        ReworkDecision = "touch in"
	AcceptAsIs     ReworkDecision = "accept as is"
	ScrapPart      ReworkDecision = "scrap the part"
)
