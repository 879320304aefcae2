package journal

// spec is a row of the register: everything that the program must know of one
// kind. No other place lists kinds for itself. The zero value of every column
// is an open question, which a test refuses.
type spec struct {
	kind    Kind
	version int
	about   string
	places  []string
	blank   func() Payload
	writer  Writer
	hand    Hand
	step    Step
	traits  Trait
}

// Writer says in whose log an entry of a kind counts.
type Writer int

// In whose logs kinds count.
const (
	AnyDevice   Writer = iota + 1
	HubOnly            // what all devices go by: people, devices, cards, figures, tools, and what cannot be undone
	AboutItself        // what a device says of itself: in its own log, about it
)

// Hand says by whose hand an entry of a kind comes about.
type Hand int

// By whose hand kinds are written.
const (
	ByForm    Hand = iota + 1 // a person fills in its fields
	ByCommand                 // a person does something that has a page or command of its own, which writes it
	ByProgram                 // the program writes it when it happens
)

// Step is the work that a run is when an entry of the kind stands on it.
type Step string

// The steps that runs are made of.
const (
	StepDegrease Step = "degrease"
	StepBlast    Step = "blast"
	StepSoak     Step = "soak"
	StepPowder   Step = "powder"
	StepBake     Step = "bake"
	StepCool     Step = "cool"
	StepTest     Step = "test"
	NoStep       Step = "none"
)

// Trait is a set of what entries of a kind do to a part or a vehicle, as far
// as other entries count differently for it.
type Trait uint

// What a kind may do.
const (
	PerCoat        Trait = 1 << iota // is made anew for each coat
	WorksOnBrakes                    // after it the vehicle is driven again
	ChecksBrakes                     // a look at finished brakes, which a second person may confirm
	AsksSecondLook                   // work on joints and lines that a second person has to look at
	BehindWheel                      // the wheel has to be off for it
	Loosens                          // undoes what was tightened before: of the line, or of the part's joints
	Heats                            // puts the part into heat
	ChangesFilm                      // film that was read before is another one after it
	SoilsSeats                       // seats that were bare before may not be after it
	EndsBake                         // belongs to the bake before it
	Final                            // what it did cannot be taken back by a correction
	ByPhotograph                     // counts by its photograph only
	Amends                           // says something of other entries or of their photographs
	Underlies                        // says of a thing of the register what is told of jobs
	Judges                           // says whether a thing that was used was good
	Proves                           // proofs of other entries rest on it
	IsSealed                         // the hub seals the record as it is with it
	Plain                            // none of these
)

// Writer returns in whose log an entry of this kind counts; 0 if not known.
func (k Kind) Writer() Writer { s, _ := k.spec(); return s.writer }

// Hand returns by whose hand the kind is written; 0 if not known.
func (k Kind) Hand() Hand { s, _ := k.spec(); return s.hand }

// Step returns the work that the kind makes of a run, or [NoStep].
func (k Kind) Step() Step {
	if s, ok := k.spec(); ok {
		return s.step
	}
	return NoStep
}

// TakesBack reports whether who stamped an entry of the kind may take it back at once, with
// one tap. A correction with its reason is another thing: that may be made of whatever a
// person wrote but what is [Final].
func (k Kind) TakesBack() bool {
	return k.Known() && k.Hand() != ByProgram && !k.Is(Final|IsSealed)
}

// Is reports whether entries of the kind do any of what is asked.
func (k Kind) Is(any Trait) bool { s, _ := k.spec(); return s.traits&any != 0 }
