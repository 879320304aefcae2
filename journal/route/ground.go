package route

import (
	"bytes"
	"fmt"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/record"
)

// ground is what a group of facts rests on, and what it says in words.
type ground struct {
	entries []journal.EntryID // in the order of replay
	undone  *record.Line      // the later entry that took away what was there
	undoing string            // what that entry did, as a clause
	says    []string          // the figures, a clause each
	pending string            // what is still to come, as a clause
}

func (g *ground) basis() *ground { return g }

// rests adds entries that the facts rest on.
func (g *ground) rests(lines ...*record.Line) {
	for _, l := range lines {
		if l != nil && !slices.Contains(g.entries, l.ID) {
			g.entries = append(g.entries, l.ID)
		}
	}
	slices.SortFunc(g.entries, compareIDs)
}

func (g *ground) say(format string, args ...any) {
	g.says = append(g.says, fmt.Sprintf(format, args...))
}

// wait says what is still to come; the first that was said stands.
func (g *ground) wait(format string, args ...any) {
	if g.pending == "" {
		g.pending = fmt.Sprintf(format, args...)
	}
}

// undo notes the later entry that took the thing away; the last one stands.
func (g *ground) undo(by *record.Line, format string, args ...any) {
	if by == nil || g.undone != nil && compareIDs(by.ID, g.undone.ID) < 0 {
		return
	}
	g.undone, g.undoing = by, fmt.Sprintf(format, args...)
}

func compareIDs(a, b journal.EntryID) int { return bytes.Compare(a[:], b[:]) }
