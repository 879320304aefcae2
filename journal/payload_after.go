package journal

import (
	"fmt"

	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
	"fettlebook/media"

	"github.com/go-json-experiment/json/jsontext"
)

// The payloads of cards, of the time after handover, and of any time.
type (
	// CardWriting is the data of card.written: which card, and a commitment
	// to what is on it. The details themselves are never in the log.
	CardWriting struct {
		Card       CardID     `json:"card"`
		Commitment Commitment `json:"commitment"`
		Evidence
	}

	// CardErasing is the data of card.erased.
	CardErasing struct {
		Card   CardID `json:"card"`
		Reason string `json:"reason"`
		Evidence
	}

	// Withdrawal is the data of photo.withdrawn: the bytes go, the hash stays.
	Withdrawal struct {
		Photo  media.Ref `json:"photo"`
		Reason string    `json:"reason"`
		Evidence
	}

	// Retorque is the data of retorque.done.
	Retorque struct {
		Distance unit.Distance `json:"distance,omitzero" span:"since"` // since handover
		Torque   unit.Torque   `json:"torque" span:"torque"`
		Tool     ToolID        `json:"tool"`
		Moved    bool          `json:"moved"` // a nut turned before the tool clicked
		Evidence
	}

	// Contact is the data of contact.made. A try that reached nobody is one too.
	Contact struct {
		How     ContactWay `json:"how"`
		About   string     `json:"about"`
		Reached bool       `json:"reached"`
		Answer  string     `json:"answer,omitzero"`
		Of      EntryID    `json:"of,omitzero" since:"2"`    // the recall, or the bad check or survey, that it is about
		Keeps   string     `json:"keeps,omitzero" since:"3"` // the follow-up of the route card that it is about, by its name
		Evidence
	}

	// Claim is the data of claim.opened.
	Claim struct {
		Says     string        `json:"says"` // in the customer's words
		Odometer unit.Distance `json:"odometer,omitzero" span:"odometer"`
		Evidence
	}

	// ClaimDecision is the data of claim.decided.
	ClaimDecision struct {
		Of       EntryID       `json:"of"`
		Answers  []ClaimAnswer `json:"answers,omitempty" since:"2"` // to what the warranty excludes
		Decision ClaimOutcome  `json:"decision"`
		Reason   string        `json:"reason"`
		Maker    string        `json:"maker,omitzero" since:"2"` // what is asked of the powder's maker
		Evidence
	}

	// ClaimAnswer is what was found out about a question of a warranty.
	ClaimAnswer struct {
		Question string     `json:"question"`
		Answer   ClaimReply `json:"answer"`
	}

	// Snapshot is the data of photo.taken.
	Snapshot struct{ Evidence }

	// Remark is the data of note.made.
	Remark struct{ Evidence }

	// Correction is the data of entry.corrected. The entry it names is
	// struck through; Data, if given, is what should have been written, in
	// the form of that entry's kind.
	Correction struct {
		Of     EntryID        `json:"of"`
		Reason string         `json:"reason"`
		Data   jsontext.Value `json:"data,omitempty"`
		Evidence
	}

	// Waiver is the data of hold.waived.
	Waiver struct {
		Hold   HoldID `json:"hold"`
		Reason string `json:"reason"`
		// ConfirmedBy is by what whoever waived it showed that it was them.
		ConfirmedBy Confirmation `json:"confirmed,omitzero" since:"2"`
		Evidence
	}

	// SecondCheck is the data of second.checked: another person looked, or in
	// a shop of one the same person looked again.
	SecondCheck struct {
		Of    EntryID    `json:"of"`
		Finds Concurring `json:"finds"`
		Tried []string   `json:"tried,omitempty" since:"2"` // by hand: which bolts, joints, pins …
		// ConfirmedBy is by what whoever looked showed that it was them.
		ConfirmedBy Confirmation `json:"confirmed,omitzero" since:"3"`
		Evidence
	}

	// OrderStatement is the data of order.stated: of two entries whose writers
	// knew nothing of each other, somebody who did one of the two says which
	// was done first, and how they know.
	OrderStatement struct {
		First EntryID `json:"first"`
		Then  EntryID `json:"then"`
		How   string  `json:"how"`
		Evidence
	}
)

func (*CardWriting) Kind() Kind    { return CardWritten }
func (*CardErasing) Kind() Kind    { return CardErased }
func (*OrderStatement) Kind() Kind { return OrderStated }
func (*Withdrawal) Kind() Kind     { return PhotoWithdrawn }
func (*Retorque) Kind() Kind       { return RetorqueDone }
func (*Contact) Kind() Kind        { return ContactMade }
func (*Claim) Kind() Kind          { return ClaimOpened }
func (*ClaimDecision) Kind() Kind  { return ClaimDecided }
func (*Snapshot) Kind() Kind       { return PhotoTaken }
func (*Remark) Kind() Kind         { return NoteMade }
func (*Correction) Kind() Kind     { return EntryCorrected }
func (*Waiver) Kind() Kind         { return HoldWaived }
func (*SecondCheck) Kind() Kind    { return SecondChecked }

func (p *CardWriting) Say() string { return fmt.Sprintf("customer card %s was written", p.Card) }

func (p *CardErasing) Say() string {
	return fmt.Sprintf("customer card %s was erased: %s", p.Card, p.Reason)
}

func (p *Withdrawal) Say() string {
	return fmt.Sprintf("photograph %.19s… was withdrawn: %s", p.Photo, p.Reason)
}

func (p *Retorque) Say() string {
	return words.Clauses(fmt.Sprintf("wheel nuts tightened again to %s with %s", p.Torque, p.Tool), words.Given("after %s", p.Distance), words.Choose(p.Moved, "a nut moved", "no nut moved"))
}

func (p *Contact) Say() string {
	return words.Clauses(words.Choose(p.How == InPerson, "spoken to in person", fmt.Sprintf("asked by %s", p.How))+" about "+p.About, words.If(!p.Reached, "nobody reached"), words.Fill("answer: “%s”", p.Answer))
}

func (p *Claim) Say() string {
	return words.Clauses("complaint: "+p.Says, words.Given("odometer %s", p.Odometer))
}

func (p *ClaimDecision) Say() string {
	var answers []string
	for _, a := range p.Answers {
		answers = append(answers, fmt.Sprintf("“%s”: %s", a.Question, a.Answer))
	}
	return words.Clauses(fmt.Sprintf("complaint settled: %s, because %s", p.Decision, p.Reason), words.Commas(answers...), words.Fill("asked of the powder’s maker: “%s”", p.Maker))
}

func (*Snapshot) Say() string { return "photographed" }

func (p *Remark) Say() string { return p.Note }

func (p *Correction) Say() string { return "corrected: " + p.Reason }

func (p *Waiver) Say() string {
	return words.Clauses(fmt.Sprintf("hold %s waived: %s", p.Hold, p.Reason), confirmedWith(p.ConfirmedBy))
}

func (p *SecondCheck) Say() string { return p.Checked("second check") }

// Checked says how something was found that was looked at: "checked the road
// test: in order".
func (p *SecondCheck) Checked(what string) string {
	return words.Clauses(what+": "+words.Choose(p.Finds == FoundWrong, "not in order", "in order"), words.Fill("tried by hand: %s", words.Commas(p.Tried...)), confirmedWith(p.ConfirmedBy))
}

func (p *OrderStatement) Say() string {
	return fmt.Sprintf("stated which of two entries was done first: %s", p.How)
}

func (s *Snapshot) check(p *problems) {
	if len(s.Photos) == 0 {
		p.add("photos", Clash, "add the photograph")
	}
}

func (s *OrderStatement) check(p *problems) {
	if s.First == s.Then {
		p.add("then", Twice, "is the entry that was done first; name two entries")
	}
}

func (d *ClaimDecision) check(p *problems) {
	var asked []string
	for i, a := range d.Answers {
		if a.Question == "" {
			p.missing(row("answers", i) + ".question")
		}
		asked = append(asked, a.Question)
	}
	distinct(p, "answers", asked)
}

func (r *Remark) check(p *problems) {
	if r.Note == "" {
		p.missing("note")
	}
}

func (c *Correction) check(p *problems) {
	if len(c.Data) > 0 && (c.Data.Kind() != '{' || !c.Data.IsValid()) {
		p.add("data", WrongShape, "must be a JSON object")
	}
}

// ContactWay is how a customer was reached, or not.
type ContactWay = Choice[contactWays]

type contactWays struct{}

func (contactWays) words() []string {
	return written(ByTelephone, ByMessage, ByLetter, InPerson)
}

// The words of [ContactWay].
const (
	ByTelephone ContactWay = "telephone"
	ByMessage   ContactWay = "message"
	ByLetter    ContactWay = "letter"
	InPerson    ContactWay = "in person"
)

// ClaimOutcome is how a complaint ended.
type ClaimOutcome = Choice[claimOutcomes]

type claimOutcomes struct{}

func (claimOutcomes) words() []string {
	return written(PutRight, CostShared, ClaimRefused, ClaimWithdrawn)
}

// The words of [ClaimOutcome].
const (
	PutRight       ClaimOutcome = "put right at our cost"
	CostShared     ClaimOutcome = "shared"
	ClaimRefused   ClaimOutcome = "refused"
	ClaimWithdrawn ClaimOutcome = "withdrawn by the customer"
)

// ClaimReply is the answer to a question that a warranty asks at a complaint.
type ClaimReply = Choice[claimReplies]

type claimReplies struct{}

func (claimReplies) words() []string {
	return written(RepliedYes, RepliedNo, RepliedNotKnown)
}

// The words of [ClaimReply].
const (
	RepliedYes      ClaimReply = "yes"
	RepliedNo       ClaimReply = "no"
	RepliedNotKnown ClaimReply = "not known"
)

// Concurring is what a second person found.
type Concurring = Choice[concurrings]

type concurrings struct{}

func (concurrings) words() []string {
	return written(FoundRight, FoundWrong)
}

// The words of [Concurring].
const (
	FoundRight Concurring = "right"
	FoundWrong Concurring = "wrong"
)
