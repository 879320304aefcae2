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

		Defect  Look    `json:"defect,omitzero" since:"3"`   // that was asked about
		Counted []Count `json:"counted,omitempty" since:"3"` // what the parts table said then
		Evidence
	}

	// Outcome is something that was decided after an investigation.
	Outcome struct {
		What Upshot `json:"outcome"`
		Says string `json:"says,omitzero"` // which trial, which question
	}

	// Count is how many of the coats that were looked at had the defect.
	Count struct {
		With    string `json:"with,omitzero"` // a condition on the parts table, beside those of the filter; all of them without
		Defects int    `json:"defects" span:"some"`
		Parts   int    `json:"parts" span:"parts"`
	}
)

func (*Investigation) Kind() Kind { return InvestigationMade }

func (p *Investigation) Say() string {
	return words.Clauses("investigated: "+p.Matter, words.Fill("asked of the parts table: %s", string(p.Defect)), words.Fill("looked at %s", words.And(p.LookedAt...)), words.Fill("counted: %s", counts(p.Counted)),
		"found: "+p.Found, fmt.Sprintf("concluded: %s (%s)", p.Concluded, p.Sure),
		words.Fill("of parts with %s", words.And(p.Filter...)), words.Fill("decided: %s", outcomes(p.Decided)), words.Fill("what came of it: %s", p.CameOf), words.If(!p.Of.IsZero(), "goes on with an earlier investigation"))
}

func outcomes(list []Outcome) string {
	var said []string
	for _, o := range list {
		said = append(said, string(o.What)+words.Fill(" (%s)", o.Says))
	}
	return words.And(said...)
}

func counts(list []Count) string {
	var said []string
	for _, c := range list {
		said = append(said, c.String()+words.Fill(" with %s", c.With))
	}
	return words.And(said...)
}

// String reads "3 of 12".
func (c Count) String() string { return fmt.Sprintf("%d of %d", c.Defects, c.Parts) }

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

func (p *Investigation) check(found *problems) {
	distinct(found, "rests", p.Rests)
	for i, c := range p.Counted {
		at := row("counted", i)
		found.least(at+".parts", c.Parts, 1)
		found.least(at+".defects", c.Defects, 0)
		if c.Defects > c.Parts {
			found.add(at+".defects", Clash, "of %s, %d cannot have the defect", words.Count(c.Parts, "part"), c.Defects)
		}
	}
}
