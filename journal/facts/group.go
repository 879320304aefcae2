package facts

import (
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/words"
)

// Group is what a group of facts rests on, and what it states.
type Group struct {
	About      journal.Subject
	Lines      []*record.Line // in the order of replay
	Statements []Statement
	Lacking    []Statement  // what is missing by name and count, of several things
	Pending    *Statement   // what is still to come
	Undone     *record.Line // the later entry that took away what was there
	Undoing    *Statement   // how

	in words.Writing // of the sentences
}

// rests adds entries that the facts rest on.
func (g *Group) rests(lines ...*record.Line) {
	for _, l := range lines {
		if l != nil && !slices.Contains(g.Lines, l) {
			g.Lines = append(g.Lines, l)
		}
	}
	slices.SortFunc(g.Lines, Compare)
}

// lack says what is missing: still to come, or too late since an entry.
func (g *Group) lack(s Statement, since *record.Line) {
	s.About, s.Met, s.Sure = g.About, NotKnown, NotYet
	s = g.written(s)
	if since != nil {
		s.Met, s.Sure, s.Undone = No, Undone, since.ID
		g.lose(since, s)
	}
	g.Lacking = append(g.Lacking, s)
}

// Done leaves out what was missing or lost on the way to what is there now.
func (g *Group) Done() { g.Lacking, g.Pending, g.Undone, g.Undoing = nil, nil, nil, nil }

// written says how a statement's figures are written, unless that is known: of one that
// another group made.
func (g *Group) written(s Statement) Statement {
	if s.in == (words.Writing{}) {
		s.in = g.in
	}
	return s
}

// state adds a statement and what it rests on, by default all that the group
// does. One that does not say how sure it is stands as it was written.
func (g *Group) state(s Statement, on ...*record.Line) {
	if s = g.written(s); s.About == "" {
		s.About = g.About
	}
	if s.Sure == "" {
		s.Sure = Written
	}
	g.rests(on...)
	if len(on) == 0 && len(s.Entries) == 0 {
		on = g.Lines
	}
	g.Statements = append(g.Statements, s.on(on...))
}

// await says what is still to come; the first that was said stands.
func (g *Group) await(q Quantity, because Cause, of ...string) {
	g.pend(Statement{About: g.About, Quantity: q, Of: first1(of), Met: NotKnown, Sure: NotYet, Because: because})
}

func (g *Group) pend(s Statement) {
	if s = g.written(s); g.Pending == nil {
		g.Pending = &s
	}
}

// undo notes the later entry that took the thing away; the last one stands.
func (g *Group) undo(by *record.Line, q Quantity, because Cause, of ...string) {
	if by != nil {
		g.lose(by, Statement{About: g.About, Quantity: q, Of: first1(of), Met: No, Sure: Undone, Because: because})
	}
}

func (g *Group) lose(by *record.Line, s Statement) {
	if by == nil || Before(by, g.Undone) {
		return
	}
	s.Undone = by.ID
	s = g.written(s)
	g.Undone, g.Undoing = by, &s
}

// keep says that what was taken away is there again.
func (g *Group) keep() { g.Undone, g.Undoing = nil, nil }

// Take adds what another group rests on and states.
func (g *Group) Take(o *Group) {
	g.Statements = append(g.Statements, o.Statements...)
	g.Lacking = append(g.Lacking, o.Lacking...)
	g.rests(o.Lines...)
	if o.Pending != nil {
		g.pend(*o.Pending)
	}
	if o.Undone != nil {
		g.lose(o.Undone, *o.Undoing)
	}
}

// All returns what the group states, how it was undone, and what is still to
// come. What a statement says of its own undoing is not stated twice.
func (g *Group) All() []Statement {
	all := slices.Concat(g.Statements, g.Lacking)
	if u := g.Undoing; u != nil && !slices.ContainsFunc(all, func(s Statement) bool { return s.Undone == u.Undone && s.Because == u.Because }) {
		all = append(all, *u)
	}
	if p := g.Pending; p != nil {
		all = append(all, *p)
	}
	return all
}

// first1 returns the only element, or "".
func first1(of []string) string {
	if len(of) == 0 {
		return ""
	}
	return of[0]
}
