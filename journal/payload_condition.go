package journal

import (
	"fmt"

	"fettlebook/journal/trade/unit"
	"fettlebook/journal/words"
)

// How parts and lines are found at the bench. What is wrong with a film is a
// defect.
type (
	// Condition is the data of condition.found. What is decided about it may be
	// said at once, or later in an entry of its own.
	Condition struct {
		Condition ConditionName     `json:"condition"`
		Where     string            `json:"where"`
		Measure   unit.Length       `json:"measure,omitzero" span:"damage"` // how deep, long or bent
		Told      *Telling          `json:"told,omitzero"`
		Decision  ConditionDecision `json:"decision,omitzero"`
		Reason    string            `json:"reason,omitzero"` // of the decision
		Evidence
	}

	// ConditionRuling is the data of condition.decided.
	ConditionRuling struct {
		Of       EntryID           `json:"of"` // the condition
		Decision ConditionDecision `json:"decision"`
		Reason   string            `json:"reason"`
		Told     *Telling          `json:"told,omitzero"`
		Evidence
	}

	// Telling is how the customer was told, and what they said to it.
	Telling struct {
		How    ContactWay `json:"how"`
		On     Date       `json:"on,omitzero"` // if not on the day of the entry
		Answer string     `json:"answer,omitzero"`
	}
)

func (*Condition) Kind() Kind       { return ConditionFound }
func (*ConditionRuling) Kind() Kind { return ConditionDecided }

func (*ConditionRuling) answers() Kind { return ConditionFound }

func (p *Condition) Say() string {
	return words.Clauses(fmt.Sprintf("found: %s at %s", p.Condition, p.Where), words.Given("measured %s", p.Measure),
		words.Fill("decided: %s", p.Decision)+words.Fill(", because %s", p.Reason), p.Told.say(p.writing))
}

func (p *ConditionRuling) Say() string {
	return words.Clauses(fmt.Sprintf("decided: %s, because %s", p.Decision, p.Reason), p.Told.say(p.writing))
}

// say tells that the customer was told, and how; "" if nobody was.
func (t *Telling) say(w words.Writing) string {
	if t == nil {
		return ""
	}
	return words.Choose(t.How == InPerson, "customer told in person", fmt.Sprintf("customer told by %s", t.How)) + words.Fill(" on %s", t.On.Said(w)) + words.Fill(": “%s”", t.Answer)
}

// Grave reports whether what was found can fail on the road.
func (p *Condition) Grave() bool {
	switch p.Condition {
	case CrackedEar, Cracked, StrippedThread, PerishedHose, CorrodedLine:
		return true
	}
	return false
}

// OfCasting reports whether what was found is of the casting itself, so that to
// replace it means another casting: a screw, a piston or a boot is replaced, and
// the casting goes back on.
func (p *Condition) OfCasting() bool {
	switch p.Condition {
	case PittedBore, CrackedEar, Cracked, StrippedThread, WornLand, BentBracket, DamagedSeat:
		return true
	}
	return false
}

// Renewed is what a new hose or line in the place of the one that was found so
// is called, alone or behind other words: "front brake hose". It is empty of
// what is neither.
func (p *Condition) Renewed() []string {
	switch p.Condition {
	case PerishedHose:
		return []string{"hose"}
	case CorrodedLine:
		return []string{"line", "pipe"}
	}
	return nil
}

func (p *Condition) check(found *problems) {
	if p.Decision == "" && p.Reason != "" {
		found.add("decision", Clash, "a reason is one of a decision; say what was decided")
	}
}

// ConditionName is what was found.
type ConditionName = Choice[conditionNames]

type conditionNames struct{}

func (conditionNames) words() []string {
	return written(PittedBore, ScoredPiston, SeizedPiston, SeizedPin, SeizedBleeder, CrackedEar, Cracked, StrippedThread, WornLand, BentBracket, DamagedSeat, TornBoot, PerishedHose, CorrodedLine, OtherCondition)
}

// The words of [ConditionName].
const (
	PittedBore     ConditionName = "pitted bore"
	ScoredPiston   ConditionName = "scored piston"
	SeizedPiston   ConditionName = "seized piston"
	SeizedPin      ConditionName = "seized guide pin"
	SeizedBleeder  ConditionName = "seized bleeder screw"
	CrackedEar     ConditionName = "cracked ear"
	Cracked        ConditionName = "crack"
	StrippedThread ConditionName = "stripped thread"
	WornLand       ConditionName = "worn pad land"
	BentBracket    ConditionName = "bent bracket"
	DamagedSeat    ConditionName = "damaged seat"
	TornBoot       ConditionName = "torn boot"
	PerishedHose   ConditionName = "perished hose"
	CorrodedLine   ConditionName = "corroded line"
	OtherCondition ConditionName = "other"
)

// ConditionDecision is what is done about it.
type ConditionDecision = Choice[conditionDecisions]

type conditionDecisions struct{}

func (conditionDecisions) words() []string { return written(UseAsIs, RepairIt, ReplaceIt, RefuseRefit) }

// The words of [ConditionDecision].
const (
	UseAsIs     ConditionDecision = "use as is"
	RepairIt    ConditionDecision = "repair"
	ReplaceIt   ConditionDecision = "replace"
	RefuseRefit ConditionDecision = "refuse to refit"
)
