package evidence

import "slices"

// Verdict is the answer to a question, as a stable written word.
type Verdict string

// The verdicts.
const (
	Yes     Verdict = "yes"
	No      Verdict = "no"
	Unknown Verdict = "cannot be known from this file"
)

// Question is what [Verify] answers, as a stable written word.
type Question string

// The questions, in the order of their answers.
const (
	Bytes         Question = "bytes"         // Are the bytes those that were packed?
	Signed        Question = "signed"        // Is every entry in a log that a device of this shop signed?
	Countersigned Question = "countersigned" // Did the hub countersign them, and by when?
	Witnessed     Question = "witnessed"     // What do others than the shop say, and by when? Asked if any do, or whoever checks names an authority.
	Receipted     Question = "receipt"       // Does it agree with the customer's receipt?
	Complete      Question = "complete"      // Is nothing left out up to the seal?
	Pictured      Question = "photographs"   // Are the photographs the ones that the entries cite?
	Ordered       Question = "order"         // Is what entries say they had seen of other logs true?
	Carded        Question = "cards"         // Are the cards those that entries commit to? Asked if there are any.
	Later         Question = "later"         // What was added after handover?
	Beyond        Question = "beyond"        // What can nobody know from this file?
)

// Asks returns the question in plain words.
func (q Question) Asks() string {
	return map[Question]string{
		Bytes:         "Are all files as they were packed?",
		Signed:        "Is every entry in a log that a device of this shop signed?",
		Countersigned: "Did the hub countersign the entries, and by when?",
		Witnessed:     "Did anybody outside the shop witness the hub’s log, and by when?",
		Receipted:     "Does it agree with the customer’s receipt?",
		Complete:      "Is nothing left out up to the seal?",
		Pictured:      "Are the photographs the ones that the entries cite?",
		Ordered:       "Is it shown what each entry had seen of the other logs?",
		Carded:        "Are the cards the ones that the entries commit to?",
		Later:         "Is it clear what was added after handover?",
		Beyond:        "What cannot be known from this file?",
	}[q]
}

// Code says what was found, as a stable written word.
type Code string

// What may be found. A code never changes its meaning.
const (
	// Of the bytes.
	FileAltered  Code = "file altered"
	FileBroken   Code = "file broken"
	FileMissing  Code = "file missing"
	FileUnlisted Code = "file unlisted"
	FileStray    Code = "file stray"
	NoDossier    Code = "no dossier"

	// Of logs and entries.
	NoFounding     Code = "no founding"
	NotAdmitted    Code = "not admitted"
	KeysDiffer     Code = "keys differ"
	StateUnsigned  Code = "state unsigned"
	StateBroken    Code = "state broken"
	EntryGone      Code = "entry gone"
	EntryBroken    Code = "entry broken"
	EntryOther     Code = "entry other"
	NotProven      Code = "not proven"
	NotCounted     Code = "not counted"
	Voided         Code = "voided"
	QuoteNotProven Code = "quote not proven"
	AboutOther     Code = "about other"

	// Of the hub's word.
	NotCountersigned Code = "not countersigned"
	CosignatureWrong Code = "countersignature wrong"
	ClockOff         Code = "clock off"

	// Of what others than the shop say.
	Stamped      Code = "timestamped"
	StampWrong   Code = "timestamp wrong"
	StampOther   Code = "timestamp of another authority"
	StampAbsent  Code = "no timestamp"
	Cosigned     Code = "witnessed"
	WitnessWrong Code = "witness wrong"
	WitnessGone  Code = "witness gone"

	// Of the hub's keys.
	KeysChanged   Code = "hub keys changed"
	KeysFounded   Code = "hub keys agreed to by tablets"
	KeysNotSigned Code = "hub keys not cross-signed"
	KeysReplaced  Code = "countersigned with replaced keys"

	// Of the receipt.
	NoReceipt      Code = "no receipt"
	ReceiptShop    Code = "receipt of another shop"
	ReceiptHub     Code = "receipt of another hub"
	ReceiptJob     Code = "receipt of another job"
	ReceiptSeal    Code = "receipt with another seal"
	ReceiptState   Code = "receipt with another log"
	ReceiptTime    Code = "receipt with another time"
	ReceiptUnshown Code = "receipt's log not here"
	// With which of the hub's keys it was printed.
	ReceiptReplaced Code = "receipt with replaced keys"
	ReceiptKeys     Code = "receipt keys"

	// Of the seal.
	NotSealed    Code = "not sealed"
	SealGone     Code = "seal gone"
	SealCount    Code = "seal count"
	SealRoot     Code = "seal root"
	SealedGone   Code = "sealed entry gone"
	SealedTwice  Code = "sealed entry twice"
	Withheld     Code = "withheld"
	AddedLater   Code = "added after the seal"
	NotUnderSeal Code = "not under the seal"

	// Of photographs.
	PhotoOther     Code = "photograph other"
	PhotoGone      Code = "photograph gone"
	PhotoNotCited  Code = "photograph not cited"
	PhotoNotListed Code = "photograph not listed"
	NotAPhoto      Code = "not a photograph"
	PhotoAbsent    Code = "photograph absent"
	CopyAlone      Code = "copy without thumbnail"
	CopyOther      Code = "copy of another picture"
	CopyNoted      Code = "copy not compared"

	// Of the order.
	CitedOther   Code = "cited state other"
	CitedBroken  Code = "cited state not proven"
	CitedUnshown Code = "cited state not shown"
	OrderTurned  Code = "order turned"

	// Of cards.
	CardWrong Code = "card wrong"

	// What nobody can know from the file.
	HubUnknown      Code = "hub unknown"
	KeysUnknown     Code = "change of keys unknown"
	OutsideUnknown  Code = "outside unknown"
	RegisterUnknown Code = "register unknown"
	LaterUnknown    Code = "later unknown"
	PapersUnknown   Code = "papers unknown"
	CopiesUnknown   Code = "copies unknown"
	ClocksUnknown   Code = "clocks unknown"
	WorkUnknown     Code = "work unknown"
	LeftOut         Code = "left out"
)

// Finding is one thing that was found, and where.
type Finding struct {
	Code    Code     `json:"code"`
	Verdict Verdict  `json:"verdict"`
	Says    string   `json:"says"` // a sentence
	Entries []At     `json:"entries,omitempty"`
	Paths   []string `json:"paths,omitempty"` // in the bag's folder
}

// Answer is the answer to one question. Its verdict is the worst of its
// findings, [No] before [Unknown] before [Yes].
type Answer struct {
	Question Question  `json:"question"`
	Asks     string    `json:"asks"`
	Verdict  Verdict   `json:"verdict"`
	Says     string    `json:"says"` // a sentence or two that sum up
	Findings []Finding `json:"findings,omitempty"`
}

// Findings is what [Verify] finds: every answer, all findings at once.
type Findings struct {
	About   string   `json:"about"` // a sentence: what the file says it is
	Verdict Verdict  `json:"verdict"`
	Says    string   `json:"says"` // a sentence: what it comes to
	Answers []Answer `json:"answers"`
}

// Answer returns the answer to a question, or nil if it was not asked.
func (f *Findings) Answer(q Question) *Answer {
	i := slices.IndexFunc(f.Answers, func(a Answer) bool { return a.Question == q })
	if i < 0 {
		return nil
	}
	return &f.Answers[i]
}

// add puts a finding to an answer.
func (a *Answer) add(f Finding) { a.Findings = append(a.Findings, f) }

// settle gives the answer the worst verdict of its findings, and its sentence:
// then if it is yes.
func (a *Answer) settle(yes, no, unknown string) {
	a.Verdict, a.Says = Yes, yes
	if a.has(Unknown) {
		a.Verdict, a.Says = Unknown, unknown
	}
	if a.has(No) {
		a.Verdict, a.Says = No, no
	}
}

func (a *Answer) has(v Verdict) bool {
	return slices.ContainsFunc(a.Findings, func(f Finding) bool { return f.Verdict == v })
}

// count says how many findings of the code there are.
func (a *Answer) count(c Code) int {
	n := 0
	for _, f := range a.Findings {
		if f.Code == c {
			n++
		}
	}
	return n
}
