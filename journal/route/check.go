package route

import (
	"fmt"
	"slices"
	"strings"

	"fettlebook/journal"
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
	Class   Class           `json:"class"`
	Subject journal.Subject `json:"subject"`
	State   State           `json:"state"`
	Figures []string        `json:"figures,omitempty"` // what was found, a clause each
	Limit   string          `json:"limit"`             // what it was held against
	Source  string          `json:"source"`            // where the limit comes from
	// Entries are those that the facts in the rule rest on, in the order of
	// replay. Undone is the later entry that took away what was there.
	Entries []journal.EntryID `json:"entries,omitempty"`
	Undone  journal.EntryID   `json:"undone,omitzero"`
	Why     string            `json:"why"` // one sentence
	Waiver  *Waiver           `json:"waiver,omitzero"`
	Notes   []string          `json:"notes,omitempty"` // of waivers that do not count
}

// Verdicts is how all hold points of a job stand, in the order of the card:
// stage by stage, and in each the vehicle, its corners, or their parts.
type Verdicts struct {
	Job     journal.JobID   `json:"job"`
	Card    journal.RouteID `json:"card,omitzero"`
	Edition int             `json:"edition,omitzero"`
	Missing bool            `json:"missing,omitzero"` // the job's card is not here yet
	List    []Verdict       `json:"list"`
}

// Check holds a job against a card. Without the card nothing can be met, and
// the one verdict says that it is not here yet.
func Check(card *Card, job *record.Job, shop *record.Shop) Verdicts {
	return check(card, job, shop, journal.EntryID{})
}

// check looks at entries up to one id only, or at all.
func check(card *Card, job *record.Job, shop *record.Shop, upTo journal.EntryID) Verdicts {
	if card == nil || job.Opened == nil {
		return missing(job)
	}
	c := newChecker(newWork(card, job, shop, upTo))
	v := Verdicts{Job: job.ID, Card: card.Name, Edition: card.Edition}
	for i := range card.Stages {
		s := &card.Stages[i]
		for j := range s.Holds {
			for _, at := range c.sites(s) {
				if verdict, concerned := c.judge(s, &s.Holds[j], at); concerned {
					v.List = append(v.List, verdict)
				}
			}
		}
	}
	return v
}

// missing is the verdict on a job whose card, or whose opening, which names
// the card, is not here yet.
func missing(job *record.Job) Verdicts {
	v := Verdict{
		Hold: "card", Title: "The route card", Stage: "", Class: Safety, Subject: journal.About(job.ID, "", ""), State: Open,
		Limit: "the card and the edition that the job was opened with", Source: "the shop's register",
		Why: "the route card of this job is not here yet, so no hold point can be judged",
	}
	out := Verdicts{Job: job.ID, Missing: true}
	switch {
	case job.Opened == nil:
		v.Why = "the opening of this job is not here yet, so nobody knows its route card"
	case job.Stated.Route != "":
		out.Card, out.Edition = job.Stated.Route, job.Stated.Edition
		v.Why = fmt.Sprintf("the route card %s, edition %d, is not here yet, so no hold point can be judged", out.Card, out.Edition)
	}
	out.List = []Verdict{v}
	return out
}

// checker has the facts of a job.
type checker struct {
	*work
	facts   *vehicleFacts
	corners []site
	parts   []site
}

// site is a thing that holds are judged for.
type site struct {
	subject journal.Subject
	scope   scope
	part    *partWork
	corner  *cornerWork
}

func newChecker(w *work) *checker {
	c := &checker{work: w, facts: w.vehicleFacts()}
	for _, cw := range w.corners {
		of := scope{corner: w.cornerFacts(cw), vehicle: c.facts, limits: w.card.figures}
		if cw.onVehicle() {
			c.corners = append(c.corners, site{journal.About(w.job.ID, cw.corner.Corner, ""), of, nil, cw})
		}
		for _, p := range cw.parts {
			of.part = w.partFacts(p)
			c.parts = append(c.parts, site{p.part.Subject, of, p, cw})
		}
	}
	return c
}

// sites returns what a stage is for.
func (c *checker) sites(s *Stage) []site {
	switch s.Level {
	case OnVehicle:
		return []site{{subject: journal.About(c.job.ID, "", ""), scope: scope{vehicle: c.facts, limits: c.card.figures}}}
	case OnCorner:
		return c.corners
	}
	var list []site
	for _, p := range c.parts {
		if s.takes(p.part.base) {
			list = append(list, p)
		}
	}
	return list
}

// judge judges one hold for one thing, and reports whether it concerns it.
func (c *checker) judge(s *Stage, h *Hold, at site) (Verdict, bool) {
	if concerned, err := h.when.holds(&at.scope); err == nil && !concerned {
		return Verdict{}, false
	}
	v := Verdict{
		Hold: h.ID, Title: h.Title, Stage: s.Name, Class: h.Class, Subject: at.subject, State: Open,
		Limit: h.limit, Source: h.Source,
	}
	rests := c.rests(&v, h.rule, &at.scope)
	begun := len(v.Entries) > 0
	if h.once != nil {
		begun, _ = h.once.holds(&at.scope)
	}
	right, err := h.rule.holds(&at.scope)
	switch {
	case err != nil:
		v.State, v.Why = Broken, "the rule of this hold cannot be worked out: "+err.Error()
	case !begun:
		v.Why = clauses(strings.Join(join(v.Figures, rests.pending), "; "), "nothing is written down about this yet")
	case right:
		v.State, v.Undone = Met, journal.EntryID{}
		v.Why = clauses(strings.Join(v.Figures, "; "), "as it should be")
	default:
		v.State = Broken
		v.Why = clauses(strings.Join(join(v.Figures, rests.undoing, rests.pending), "; "), "not as it should be") + " — " + h.Reason
	}
	if v.State != Broken {
		v.Undone = journal.EntryID{}
	}
	if v.State != Met {
		c.waive(&v, h)
	}
	return v, true
}

// rests gathers what the facts in a rule rest on.
func (c *checker) rests(v *Verdict, r *rule, s *scope) (all ground) {
	var seen []*ground
	for _, path := range r.touches {
		g := c.card.facts.group(s, path)
		if g == nil || slices.Contains(seen, g) {
			continue
		}
		seen = append(seen, g)
		v.Figures = append(v.Figures, g.says...)
		for _, id := range g.entries {
			if !slices.Contains(all.entries, id) {
				all.entries = append(all.entries, id)
			}
		}
		all.wait("%s", g.pending)
		if g.undone != nil {
			all.undo(g.undone, "%s", g.undoing)
		}
	}
	slices.SortFunc(all.entries, compareIDs)
	v.Entries = all.entries
	if all.undone != nil {
		v.Undone = all.undone.ID
	}
	return all
}

// clauses returns the text, or what stands for an empty one.
func clauses(text, otherwise string) string {
	if text == "" {
		return otherwise
	}
	return text
}

func join(list []string, more ...string) []string {
	all := slices.Clone(list)
	for _, m := range more {
		if m != "" && !slices.ContainsFunc(all, func(said string) bool { return strings.Contains(said, m) }) {
			all = append(all, m)
		}
	}
	return all
}
