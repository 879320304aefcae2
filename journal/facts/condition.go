package facts

import (
	"slices"
	"strings"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/record"
)

// condition is how something was found, with what was decided about it last.
type condition struct {
	line     *record.Line
	is       *journal.Condition
	decision journal.ConditionDecision // "" while there is none
	decided  *record.Line
}

// conditions lists how things were found, by entries of a job. Decisions may
// stand anywhere in it.
func conditions(events []Event) []condition {
	decided := make(map[journal.EntryID]Event)
	for _, e := range events {
		if r, ok := e.Data.(*journal.ConditionRuling); ok {
			decided[r.Of] = e // the last decision holds
		}
	}
	var list []condition
	for _, e := range events {
		found, ok := e.Data.(*journal.Condition)
		if !ok {
			continue
		}
		c := condition{line: e.Line, is: found, decision: found.Decision, decided: e.Line}
		if later, ok := decided[e.Line.ID]; ok {
			c.decision, c.decided = later.Data.(*journal.ConditionRuling).Decision, later.Line
		}
		list = append(list, c)
	}
	return list
}

// statement begins to say how something was found.
func (c condition) statement(q Quantity) Statement {
	return Statement{Quantity: q, Of: string(c.is.Condition), With: []Figure{with("where", c.is.Where), with("at", string(c.line.Subject))}, Safety: c.is.Grave()}
}

// touches reports whether it is about a thing, or about the corner that the
// thing is at: a part with its line is taken apart and fitted as one.
func (c condition) touches(about journal.Subject) bool {
	return Covers(about, c.line.Subject) || Covers(c.line.Subject, about)
}

// conditions counts how the things of a subject were found, and what was
// decided about it.
func (w *Job) conditions(about journal.Subject, back *Event, g *Group) (f card.ConditionFacts) {
	for _, c := range conditions(w.all) {
		if w.takesPlace(about, c) {
			s := c.statement(ConditionIs)
			s.With = append(s.With, with("before", string(c.line.Subject.Part())))
			g.state(s, c.line, c.decided)
		}
		if !c.touches(about) {
			continue
		}
		f.Found++
		g.rests(c.line)
		s := c.statement(ConditionIs)
		if c.decision == "" {
			f.Open++
			if c.is.Grave() {
				f.Grave++
			}
			s.About, s.Met, s.Sure, s.Because = g.About, NotKnown, NotYet, ConditionUndecided
			g.pend(s)
			continue
		}
		s.Value = string(c.decision)
		var renewed *Event
		if c.wantsNew() {
			if renewed = c.renewed(w.all); renewed == nil {
				f.Grave++
				s.About, s.Met, s.Sure, s.Because = g.About, NotKnown, NotYet, ReplacementNotShown
				g.rests(c.decided)
				g.pend(s)
				continue
			}
		}
		if c.staysOff() && c.line.Subject == about && back != nil {
			f.Refused++
			s.Met = No
			g.state(s, c.line, c.decided, back.Line)
			continue
		}
		g.state(s, c.line, c.decided, renewed.record())
	}
	return f
}

// takesPlace reports whether a part is in the place of the one that was found so:
// whoever asks about the part is to learn what became of the first.
func (w *Job) takesPlace(about journal.Subject, c condition) bool {
	if c.line.Subject.Part() == "" || about.Part() == "" || !c.staysOff() {
		return false
	}
	for _, at := range w.corners {
		i := slices.IndexFunc(at.parts, func(p *partWork) bool { return p.part.Subject == about })
		if i >= 0 && at.parts[i].standsIn() {
			return slices.ContainsFunc(at.gone, func(o *partWork) bool { return o.base == at.parts[i].base && o.part.Subject == c.line.Subject })
		}
	}
	return false
}

// wantsNew reports whether a new hose or line has to go in by what was decided.
// These have no casting by whose number anybody could see that it is another.
func (c condition) wantsNew() bool {
	return len(c.is.Renewed()) > 0 && (c.decision == journal.ReplaceIt || c.decision == journal.RefuseRefit)
}

// staysOff reports whether the part does not go back on by what was decided: it
// was refused, or another casting is to take its place.
func (c condition) staysOff() bool {
	return c.decision == journal.RefuseRefit || c.decision == journal.ReplaceIt && c.is.OfCasting()
}

// renewed returns the last entry by which a new one went in at the corner after
// it was found: a line that was opened and closed says nothing of it.
func (c condition) renewed(events []Event) *Event {
	return lastOf(events, func(e Event) bool {
		fitted, ok := e.Data.(*journal.Rebuild)
		here := c.line.Subject.Corner() == "" || e.Line.Subject.Corner() == c.line.Subject.Corner()
		return ok && here && After(e.Line, c.line) && slices.ContainsFunc(fitted.News(), func(what string) bool {
			name, _, _ := strings.Cut(what, ",")
			words := strings.Fields(journal.Called(name))
			return len(words) > 0 && slices.Contains(c.is.Renewed(), words[len(words)-1])
		})
	})
}

// refit names what can fail on the road and has no decision when a part goes
// back on.
func (w *entry) refit() {
	j := w.shop.Job(w.line.Subject.Job())
	if j == nil {
		return
	}
	for _, c := range conditions(w.events(j.Timeline())) {
		if c.decision == "" && c.is.Grave() && c.touches(w.line.Subject) && !After(c.line, w.line) {
			s := c.statement(ConditionOpen)
			s.Met = No
			w.state(s)
		}
	}
}

// condition warns of what can fail on the road and is to be used as it is.
func (w *entry) condition(is *journal.Condition, decision journal.ConditionDecision) {
	if is != nil && is.Grave() && decision == journal.UseAsIs {
		w.state(Statement{Quantity: ConditionUsed, Of: string(is.Condition), With: []Figure{with("where", is.Where)}, Met: No, Safety: true, Source: practice + "; the maker’s data come first"})
	}
}

// ruled returns the condition that a decision is about, nil if it is not here.
func (w *entry) ruled(of journal.EntryID) *journal.Condition {
	for _, l := range w.shop.Line(of) {
		if c, ok := w.effect(l).(*journal.Condition); ok {
			return c
		}
	}
	return nil
}
