package route

import (
	"fmt"
	"iter"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/facts"
	"fettlebook/journal/record"
)

// State is how a hold point stands.
type State string

// The states of a hold point.
const (
	Open   State = "open" // nothing is there to judge yet
	Met    State = "met"
	Broken State = "broken" // done wrong, or undone by what came after
	Waived State = "waived"
)

// Verdict is how one hold point stands for the vehicle, a corner or a part.
type Verdict struct {
	Hold    journal.HoldID  `json:"hold"`
	Title   string          `json:"title"`
	Stage   string          `json:"stage"`
	Class   card.Class      `json:"class"`
	Subject journal.Subject `json:"subject"`
	// Of are the things that it is on, of a hold that is asked once for several:
	// At those of them at which it stands so.
	Of      []journal.Subject `json:"of,omitempty"`
	At      []journal.Subject `json:"at,omitempty"`
	State   State             `json:"state"`
	Figures []string          `json:"figures,omitempty"` // what was found, a clause each
	// Statements are the same before it was put in words, with how it was undone
	// and what is still to come.
	Statements []facts.Statement `json:"statements,omitempty"`
	Limit      string            `json:"limit"`  // what it was held against
	Source     string            `json:"source"` // where the limit comes from
	// Entries are those that the facts in the rule rest on, in the order of
	// replay. Undone is the later entry that took away what was there.
	Entries []journal.EntryID `json:"entries,omitempty"`
	Undone  journal.EntryID   `json:"undone,omitzero"`
	// Doubtful are the two entries whose order nobody knows, of a hold that is
	// in doubt. Again is the one of them that has to be done again, if nobody's
	// word on the order counts.
	Doubtful []journal.EntryID `json:"doubtful,omitempty"`
	Again    journal.EntryID   `json:"again,omitzero"`
	Why      string            `json:"why"` // one sentence
	Waiver   *Waiver           `json:"waiver,omitzero"`
	Notes    []string          `json:"notes,omitempty"` // of waivers that do not count

	rests  []*record.Line // those of Entries
	told   []string       // what Why is made of: clauses, and the card's reason
	asides []string       // those of them that are notes
	reason string
	each   []State // how it stands at each of Of
	early  bool    // open only because its turn has not come: its rule is kept so far
}

// Answer is the kind of entry of its stage by which what the hold lacks would be
// written; "" where nothing is lacking yet, or where no entry of the stage does it.
func (v *Verdict) Answer(s *card.Stage) journal.Kind {
	if v.early || v.State == Met || v.State == Waived {
		return ""
	}
	for _, is := range v.Statements {
		if k := is.Answer(); k != "" && slices.Contains(s.Kinds(), k) {
			return k
		}
	}
	return ""
}

// Verdicts is how all hold points of a job stand, in the order of the card:
// stage by stage, and in each the vehicle, its corners, or their parts.
type Verdicts struct {
	Job     journal.JobID   `json:"job"`
	Card    journal.RouteID `json:"card,omitzero"`
	Edition int             `json:"edition,omitzero"`
	Missing bool            `json:"missing,omitzero"` // the job's card is not here yet
	List    []Verdict       `json:"list"`
	Aside   []Aside         `json:"aside,omitempty"` // parts that do not go back: no hold is asked of them
}

// Check holds a job against a card. Without the card nothing can be met, and
// the one verdict says that it is not here yet.
func Check(by *card.Card, job *record.Job, shop *record.Shop) Verdicts {
	return Hold(by, job, facts.StockOf(shop)).Check()
}

// Held is a job held against its card. What its entries amount to, and how its
// hold points stand, is worked out once for all that is asked of it. A Held is
// not safe for concurrent use.
type Held struct {
	card   *card.Card // nil without one
	record *record.Job
	stock  *facts.Stock
	job    *facts.Job // nil without a card
	judged map[point]*Verdict
	late   []*Held // the job in other orders that are as true
	silent bool    // how holds stand is asked, and nothing is told of it
	texts  map[string]string
}

// point is a hold point of one thing.
type point struct {
	stage *card.Stage
	hold  *card.Hold
	about journal.Subject
}

// Hold holds a job against its card, or against none that is here.
func Hold(by *card.Card, job *record.Job, stock *facts.Stock) *Held {
	h := &Held{record: job, stock: stock}
	if by != nil && job.Opened != nil {
		h.card, h.job, h.judged = by, stock.Job(by, job), make(map[point]*Verdict)
	}
	return h
}

// Check returns how all hold points stand.
func (c *Held) Check() Verdicts {
	if c.card == nil {
		return missing(c.record)
	}
	v := Verdicts{Job: c.record.ID, Card: c.card.Name, Edition: c.card.Edition}
	v.List, v.Aside = joined(c.verdicts()), c.asides()
	return v
}

// verdicts yields how all hold points of the card stand, for each thing by
// itself, with its point.
func (c *Held) verdicts() iter.Seq2[point, *Verdict] {
	return func(yield func(point, *Verdict) bool) {
		for i := range c.card.Stages {
			s := &c.card.Stages[i]
			for j := range s.Holds {
				for _, at := range c.sites(s) {
					p := point{s, &s.Holds[j], at.Subject}
					if v := c.judge(p, at); v != nil && !yield(p, v) {
						return
					}
				}
			}
		}
	}
}

// missing is the verdict on a job whose card, or whose opening, which names
// the card, is not here yet.
func missing(job *record.Job) Verdicts {
	v := Verdict{
		Hold: "card", Title: "The route card", Stage: "", Class: card.Safety, Subject: journal.About(job.ID, "", ""), State: Open,
		Limit: "the card and the edition that the job was opened with", Source: "the shop’s register",
	}
	v.say("", "the route card of this job is not here yet, so no hold point can be judged")
	out := Verdicts{Job: job.ID, Missing: true}
	switch {
	case job.Opened == nil:
		v.say("", "the opening of this job is not here yet, so nobody knows its route card")
	case job.Stated.Route != "":
		out.Card, out.Edition = job.Stated.Route, job.Stated.Edition
		v.say("", fmt.Sprintf("the route card %s, edition %d, is not here yet, so no hold point can be judged", out.Card, out.Edition))
	}
	out.List = []Verdict{v}
	return out
}

// sites returns what a stage is for. A part that does not go back stands where
// something was done to it.
func (c *Held) sites(s *card.Stage) []*facts.Site {
	all := c.job.Parts
	switch s.Level {
	case card.OnVehicle:
		all = []*facts.Site{c.job.Vehicle}
	case card.OnCorner:
		all = c.job.Corners
	}
	var list []*facts.Site
	for _, at := range all {
		if (s.Level != card.OnPart || s.Takes(at.Scope.Part.Name)) && s.Concerns(at.Scope) {
			if !at.Gone() || begun(s, at) {
				list = append(list, at)
			}
		}
	}
	return list
}

// judge judges one hold for one thing; nil if it does not concern it.
func (c *Held) judge(p point, at *facts.Site) *Verdict {
	v, known := c.judged[p]
	if !known {
		if !at.Gone() && p.hold.Concerns(at.Scope) {
			v = c.work(p, at)
			c.doubts(v, p)
		}
		c.judged[p] = v
	}
	return v
}

// work judges one hold that concerns a thing.
func (c *Held) work(p point, at *facts.Site) *Verdict {
	h := p.hold
	v := &Verdict{
		Hold: h.ID, Title: h.Title, Stage: p.stage.Name, Class: h.Class, Subject: at.Subject, State: Open,
		Limit: c.say(h.Limit), Source: c.say(h.Source),
	}
	basis := rests(h, at)
	v.rests = basis.Lines
	for _, l := range v.rests {
		v.Entries = append(v.Entries, l.ID)
	}
	begun, known := h.Begun(at.Scope)
	if !known {
		begun = len(basis.Lines) > 0
	}
	right, err := h.Right(at.Scope)
	otherwise := "requirement not met"
	switch {
	case err != nil:
		v.State = Broken
	case !begun:
		basis.Undone, basis.Undoing = nil, nil
		v.early = right
		otherwise = "nothing is written down about this yet"
	case right:
		v.State, otherwise = Met, "requirement met"
		basis.Done()
	default:
		v.State = Broken
	}
	if !c.silent {
		c.tell(v, h, basis, otherwise, err)
	}
	newest := facts.Last(append(basis.Lines, basis.Undone)...)
	if basis.Undone != nil {
		v.Undone = basis.Undone.ID
	}
	if v.State != Met {
		c.waive(v, h, newest)
	}
	return v
}

// tell puts in words what a hold rests on and what is missing; otherwise is
// said where nothing is stated, and fault is why its rule cannot be worked out.
func (c *Held) tell(v *Verdict, h *card.Hold, basis *facts.Group, otherwise string, fault error) {
	v.Statements = basis.All()
	v.Figures, _ = v.said(basis.Statements)
	told, asides := v.said(v.Statements)
	v.asides = asides
	if len(told) == 0 {
		told = []string{otherwise}
	}
	if v.early && len(basis.Lines) > 0 {
		told = append(told, "in order so far, and judged when the work that follows has begun")
	}
	switch {
	case fault != nil:
		v.say("", append(told, "the rule of this hold cannot be worked out: "+fault.Error())...)
	case v.State == Broken:
		v.say(c.say(h.Reason), told...)
	default:
		v.say("", told...)
	}
}

// say is a text of the card in the shop's units, worked out once for all things
// that a hold is on.
func (c *Held) say(text string) string {
	if c.silent {
		return ""
	}
	says, known := c.texts[text]
	if !known {
		says = c.card.Say(text, c.stock.Units())
		if c.texts == nil {
			c.texts = make(map[string]string)
		}
		c.texts[text] = says
	}
	return says
}

// rests gathers what the groups of facts in a hold's rule rest on.
func rests(h *card.Hold, at *facts.Site) *facts.Group {
	all := new(facts.Group)
	for _, path := range h.Groups() {
		if g := at.Group(path); g != nil {
			all.Take(g)
		}
	}
	return all
}

// said puts statements in words, a clause each, and each clause once: what is
// stated of several things alike is told of all in one. What a hold that is met
// does not ask, and fails all the same, is a note behind what meets it: another
// hold may fail on it.
func (v *Verdict) said(list []facts.Statement) (clauses, notes []string) {
	for _, s := range list {
		says, to := s.Say(), &clauses
		if v.State == Met && s.Fails() {
			says, to = "note: "+says, &notes
		}
		if !slices.Contains(*to, says) {
			*to = append(*to, says)
		}
	}
	return append(clauses, notes...), notes
}
