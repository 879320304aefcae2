package parts

import "slices"

// Name names a column.
type Name string

// Kind is what the values of a column are.
type Kind string

// The kinds of columns.
const (
	Number Kind = "number"
	Word   Kind = "word"
	YesNo  Kind = "yes or no"
	Day    Kind = "day" // where the tablet was
)

// Role is what a column is there for.
type Role string

// The roles of columns.
const (
	Key     Role = "key"     // says which coat of which part the row is
	Factor  Role = "factor"  // may have had a part in how it came out
	Outcome Role = "outcome" // is how it came out
)

// Column is an entry of the data dictionary.
type Column struct {
	Name Name
	Kind Kind
	Role Role
	Unit string // of numbers
	Says string // what it is, for a heading
	From string // how it comes about
	// Person marks names of people, which leave the office only when somebody
	// asks for them.
	Person bool
}

// The columns that others speak of by name.
const (
	Part    Name = "part"
	Job     Name = "job"
	Coat    Name = "coat"
	Date    Name = "day"
	Casting Name = "casting"

	Pattern     Name = "pattern"
	What        Name = "what"
	Metal       Name = "metal"
	Corner      Name = "corner"
	Source      Name = "source"
	CoatsBefore Name = "coats_before"
	HeatMinutes Name = "heat_minutes"

	Degreaser     Name = "degreaser"
	BlastMedia    Name = "blast_media"
	BlastBar      Name = "blast_bar"
	MediaHours    Name = "media_hours"
	BlastToPowder Name = "blast_to_powder_minutes"
	SoakMetal     Name = "soak_metal_c"
	SoakOverBake  Name = "soak_over_bake_k"
	SoakMinutes   Name = "soak_minutes"
	SoakToPowder  Name = "soak_to_powder_minutes"
	PowderLot     Name = "powder_lot"
	Chemistry     Name = "chemistry"
	Colour        Name = "colour"
	OpenedDays    Name = "powder_opened_days"
	Reclaimed     Name = "reclaimed_percent"
	Air           Name = "air_c"
	Humidity      Name = "humidity_percent"
	DewMargin     Name = "dew_margin_k"
	FilterDays    Name = "filter_days"
	Charge        Name = "charge_kv"
	Earth         Name = "earth_mohm"
	Person        Name = "person"
	Weekday       Name = "weekday"
	Rack          Name = "rack"
	Hook          Name = "hook"
	Bake          Name = "bake"
	Oven          Name = "oven"
	Place         Name = "place"
	BakePeak      Name = "bake_peak_c"
	Schedule      Name = "schedule_fraction"
	Film          Name = "film_um"
	FilmAtDefect  Name = "film_at_defect_um"
	CardEdition   Name = "card"
	Looked        Name = "looked"
	Seen          Name = "seen"
	Face          Name = "face"
	Entry         Name = "defect_entry"
	Cause         Name = "cause"
	CauseKnown    Name = "cause_known"
	Reworked      Name = "reworked"
	DaysToDefect  Name = "days_to_defect"
	DaysFollowed  Name = "days_followed"
	HandedBack    Name = "handed_back"
)

// Columns returns the data dictionary, in the order of the table. The defects
// are a column for each look that a defect can have (see [Defect]).
func Columns() []Column {
	list := slices.Concat(keys(), castingFactors(), prepFactors(), powderFactors(), bakeFactors())
	return append(list, outcomes()...)
}

func keys() []Column {
	return []Column{
		{Name: Part, Kind: Word, Role: Key, Says: "part", From: "the part as entries name it"},
		{Name: Job, Kind: Word, Role: Key, Says: "job", From: "the job in which the coat was put on"},
		{Name: Coat, Kind: Number, Role: Key, Says: "coat", From: "1 for the first time that the part was powdered in the job; one more after each decision to strip and recoat, and after each blast that followed a bake"},
		{Name: Date, Kind: Day, Role: Key, Says: "day of powder", From: "the day on which the first powder of the coat went on, where the tablet was"},
		{Name: Casting, Kind: Word, Role: Key, Says: "casting", From: "the shop’s own number in the metal, else the mark; absent where neither was written"},
	}
}

func castingFactors() []Column {
	return []Column{
		{Name: Pattern, Kind: Word, Role: Factor, Says: "pattern", From: "the foundry’s mark, cast in"},
		{Name: What, Kind: Word, Role: Factor, Says: "kind of part", From: "the word of the part: caliper, bracket, arm"},
		{Name: Metal, Kind: Word, Role: Factor, Says: "metal", From: "as written when the part was tagged"},
		{Name: Corner, Kind: Word, Role: Factor, Says: "corner", From: "where on the vehicle the part belongs"},
		{Name: Source, Kind: Word, Role: Factor, Says: "where it came from", From: "off the vehicle, brought by the customer, or put in for one that was not used again"},
		{Name: CoatsBefore, Kind: Number, Role: Factor, Says: "coats before", From: "how often the casting was powdered and baked before this coat, in all jobs"},
		{Name: HeatMinutes, Kind: Number, Role: Factor, Unit: "min", Says: "heat so far", From: "minutes above the temperature that counts, over the life of the casting, up to the first powder of the coat"},
	}
}

func prepFactors() []Column {
	return []Column{
		{Name: Degreaser, Kind: Word, Role: Factor, Says: "degreaser", From: "the last degreasing before the powder"},
		{Name: BlastMedia, Kind: Word, Role: Factor, Says: "blast media", From: "the last blast before the powder"},
		{Name: BlastBar, Kind: Number, Role: Factor, Unit: "bar", Says: "blast pressure", From: "of the same blast"},
		{Name: MediaHours, Kind: Number, Role: Factor, Unit: "h", Says: "age of the blast media", From: "hours by the clock from the last change of media of that cabinet to the blast"},
		{Name: BlastToPowder, Kind: Number, Role: Factor, Unit: "min", Says: "blast to powder", From: "minutes from the last blast to the first powder"},
		{Name: SoakMetal, Kind: Number, Role: Factor, Unit: "°C", Says: "metal in the soak", From: "the hottest soak of the coat whose metal was measured"},
		{Name: SoakOverBake, Kind: Number, Role: Factor, Unit: "K", Says: "soak above bake", From: "metal in the soak less what the bake made of the metal: the probe’s peak, else the oven’s setting"},
		{Name: SoakMinutes, Kind: Number, Role: Factor, Unit: "min", Says: "time of soak", From: "minutes of all soaks of the coat before its powder"},
		{Name: SoakToPowder, Kind: Number, Role: Factor, Unit: "min", Says: "soak to powder", From: "minutes from the last soak to the first powder"},
	}
}

func powderFactors() []Column {
	return []Column{
		{Name: PowderLot, Kind: Word, Role: Factor, Says: "powder lot", From: "of the first powder of the coat"},
		{Name: Chemistry, Kind: Word, Role: Factor, Says: "chemistry of the powder", From: "as the lot was received"},
		{Name: Colour, Kind: Word, Role: Factor, Says: "colour", From: "as the lot was received"},
		{Name: OpenedDays, Kind: Number, Role: Factor, Unit: "d", Says: "powder open for", From: "days from the opening of the box to the powder"},
		{Name: Reclaimed, Kind: Number, Role: Factor, Unit: "%", Says: "reclaimed powder", From: "share of powder that was sprayed before"},
		{Name: Air, Kind: Number, Role: Factor, Unit: "°C", Says: "air", From: "at the first powder"},
		{Name: Humidity, Kind: Number, Role: Factor, Unit: "%", Says: "humidity", From: "at the first powder"},
		{Name: DewMargin, Kind: Number, Role: Factor, Unit: "K", Says: "metal above dew point", From: "the least of all powders of the coat"},
		{Name: FilterDays, Kind: Number, Role: Factor, Unit: "d", Says: "since filter or dryer", From: "days from the last service of the air’s dryer or filter to the powder"},
		{Name: Charge, Kind: Number, Role: Factor, Unit: "kV", Says: "charge", From: "at the first powder"},
		{Name: Earth, Kind: Number, Role: Factor, Unit: "MΩ", Says: "part to earth", From: "at the first powder"},
		{Name: Person, Kind: Word, Role: Factor, Says: "who sprayed", From: "who sprayed, by initials", Person: true},
		{Name: Weekday, Kind: Word, Role: Factor, Says: "day of the week", From: "of the first powder, where the tablet was"},
		{Name: Rack, Kind: Word, Role: Factor, Says: "rack", From: "where the part hung at the powder, else in the oven"},
		{Name: Hook, Kind: Word, Role: Factor, Says: "hook", From: "where the part hung at the powder, else in the oven"},
	}
}

func bakeFactors() []Column {
	return []Column{
		{Name: Bake, Kind: Word, Role: Factor, Says: "bake", From: "the first bake after the powder"},
		{Name: Oven, Kind: Word, Role: Factor, Says: "oven", From: "of that bake"},
		{Name: Place, Kind: Word, Role: Factor, Says: "place in the oven", From: "where the part hung in that bake"},
		{Name: BakePeak, Kind: Number, Role: Factor, Unit: "°C", Says: "peak in the bake", From: "the hottest reading of a probe on the part"},
		{Name: Schedule, Kind: Number, Role: Factor, Says: "schedule fraction", From: "the least that a probe on the part, or the one that stands for it, proves of the powder’s schedule"},
		{Name: Film, Kind: Number, Role: Factor, Unit: "µm", Says: "film", From: "mean of the last film readings of the coat"},
		{Name: FilmAtDefect, Kind: Number, Role: Outcome, Unit: "µm", Says: "film at the defect", From: "mean of the readings at the spot that has the defect’s place in its name"},
		{Name: CardEdition, Kind: Word, Role: Factor, Says: "route card", From: "card and edition that the job was pinned to"},
	}
}

func outcomes() []Column {
	list := []Column{
		{Name: Looked, Kind: YesNo, Role: Outcome, Says: "looked at", From: "yes once the coat was baked and then its film measured or tested, a defect found, or the part refitted, and once the car was handed back; no before that"},
	}
	for _, look := range looks() {
		list = append(list, Column{Name: Defect(look), Kind: YesNo, Role: Outcome, Says: look, From: "a defect that looks so was found on the coat and not struck out; no once it was looked at and none was; absent before that"})
	}
	return append(list,
		Column{Name: Seen, Kind: Word, Role: Outcome, Says: "when seen", From: "when the first defect of the coat was seen"},
		Column{Name: Face, Kind: Word, Role: Outcome, Says: "face", From: "where on the part the first defect was, in the words of who found it"},
		Column{Name: Entry, Kind: Word, Role: Outcome, Says: "entry of the defect", From: "the entry in which the first defect was found"},
		Column{Name: Cause, Kind: Word, Role: Outcome, Says: "cause", From: "the best known cause of the first defect"},
		Column{Name: CauseKnown, Kind: Word, Role: Outcome, Says: "how sure of the cause", From: "suspected, seen, or shown by a test"},
		Column{Name: Reworked, Kind: YesNo, Role: Outcome, Says: "stripped and coated again", From: "by a decision about a defect of the coat; no once it was looked at and none was made; absent before that"},
		Column{Name: HandedBack, Kind: Day, Role: Outcome, Says: "handed back", From: "the day on which the car was handed back with this coat on"},
		Column{Name: DaysToDefect, Kind: Number, Role: Outcome, Unit: "d", Says: "days to a late defect", From: "whole days from handing back to the first defect seen after it"},
		Column{Name: DaysFollowed, Kind: Number, Role: Outcome, Unit: "d", Says: "days followed", From: "whole days from handing back to the last time that the customer was reached, or that the casting was here again with the coat on; absent without either, for silence says nothing"},
	)
}
