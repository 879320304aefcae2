package journal

import (
	"fmt"

	"fettlebook/journal/words"
)

type (
	// Investigation is the data of investigation.made: what was looked into
	// after something went wrong, and what came of it.
	Investigation struct {
		Matter    string    `json:"matter"` // the question
		LookedAt  []string  `json:"looked_at"`
		Found     string    `json:"found"`
		Concluded string    `json:"concluded"`
		Sure      Certainty `json:"certainty"`
		Rests     []EntryID `json:"rests,omitempty"` // entries that it rests on

		Of      EntryID   `json:"of,omitzero" since:"2"`         // the investigation that it goes on with
		Filter  []string  `json:"filter,omitempty" since:"2"`    // which parts were looked at: conditions on the parts table
		Decided []Outcome `json:"decided,omitempty" since:"2"`   // what is done now
		CameOf  string    `json:"came_of_it,omitzero" since:"2"` // of what was decided before
		Evidence
	}

	// Outcome is something that was decided after an investigation.
	Outcome struct {
		What Upshot `json:"outcome"`
		Says string `json:"says,omitzero"` // which trial, which question
	}

	// Recall is the data of recall.made. It is about a thing of the register,
	// and about every job in which that was used within some days.
	Recall struct {
		Why    string `json:"why"`
		Remedy string `json:"remedy"`         // what is done about each vehicle
		Since  Date   `json:"since,omitzero"` // of the uses that are meant; all of them without
		Until  Date   `json:"until,omitzero"`
		Evidence
	}
)

func (*Investigation) Kind() Kind { return InvestigationMade }
func (*Recall) Kind() Kind        { return RecallMade }

func (p *Investigation) Say() string {
	return words.Clauses("investigated: "+p.Matter, words.Fill("looked at %s", words.And(p.LookedAt...)), "found: "+p.Found, fmt.Sprintf("concluded: %s (%s)", p.Concluded, p.Sure),
		words.Fill("of parts with %s", words.And(p.Filter...)), words.Fill("decided: %s", outcomes(p.Decided)), words.Fill("what came of it: %s", p.CameOf), words.If(!p.Of.IsZero(), "goes on with an earlier investigation"))
}

func outcomes(list []Outcome) string {
	var said []string
	for _, o := range list {
		said = append(said, string(o.What)+words.Fill(" (%s)", o.Says))
	}
	return words.And(said...)
}

// Upshot is what an investigation leads to.
type Upshot = Choice[upshots]

type upshots struct{}

func (upshots) words() []string {
	return written(TrialAgreed, CardChanged, MakerAsked, WorkChanged, NothingDone)
}

// The words of [Upshot].
const (
	TrialAgreed Upshot = "a trial"
	CardChanged Upshot = "a change of the route card"
	MakerAsked  Upshot = "a question to the powder's maker"
	WorkChanged Upshot = "a change in the shop"
	NothingDone Upshot = "nothing for now"
)

func (p *Recall) Say() string {
	return words.Clauses("recalled: "+p.Why, words.Fill("used since %s", p.Since.Said()), words.Fill("used until %s", p.Until.Said()), "what to do: "+p.Remedy)
}

// Meant reports whether a use on a day is one of those that are recalled.
func (p *Recall) Meant(day Date) bool {
	return (p.Since == "" || day >= p.Since) && (p.Until == "" || day <= p.Until)
}

func (p *Investigation) check(found *problems) { distinct(found, "rests", p.Rests) }

func (p *Recall) check(found *problems) {
	if p.Since != "" && p.Until != "" && p.Until < p.Since {
		found.add("until", Clash, "is before the day on which it begins")
	}
}

// Certainty is how sure a conclusion is.
type Certainty = Choice[certainties]

type certainties struct{}

func (certainties) words() []string { return written(Certain, Probable, Possible, NotFound) }

// The words of [Certainty].
const (
	Certain  Certainty = "certain"
	Probable Certainty = "probable"
	Possible Certainty = "possible"
	NotFound Certainty = "cause not found"
)
