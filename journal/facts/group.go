package facts

import (
	"fmt"
	"slices"

	"fettlebook/journal/record"
)

// Group is what a group of facts rests on, and what it says in words.
type Group struct {
	Lines   []*record.Line // in the order of replay
	Undone  *record.Line   // the later entry that took away what was there
	Undoing string         // what that entry did, as a clause
	Says    []string       // the figures, a clause each
	Pending string         // what is still to come, as a clause
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

func (g *Group) say(format string, args ...any) {
	g.Says = append(g.Says, fmt.Sprintf(format, args...))
}

// wait says what is still to come; the first that was said stands.
func (g *Group) wait(format string, args ...any) {
	if g.Pending == "" {
		g.Pending = fmt.Sprintf(format, args...)
	}
}

// undo notes the later entry that took the thing away; the last one stands.
func (g *Group) undo(by *record.Line, format string, args ...any) {
	if by == nil || Before(by, g.Undone) {
		return
	}
	g.Undone, g.Undoing = by, fmt.Sprintf(format, args...)
}

// Take adds what another group rests on and says.
func (g *Group) Take(o *Group) {
	g.Says = append(g.Says, o.Says...)
	g.rests(o.Lines...)
	g.wait("%s", o.Pending)
	g.undo(o.Undone, "%s", o.Undoing)
}
