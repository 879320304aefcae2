package route

import (
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/card"
)

// Ahead lists what has its turn as soon as what comes next is written: what is done in one
// go, and can be written in one go. It ends at what is done elsewhere or later: at a run of
// many parts, at a stage that puts something out of sight, and behind a stage of a corner or
// of the vehicle that has a hold of safety.
func (c *Held) Ahead(next []Todo) (ahead []Todo) {
	if c.card == nil {
		return nil
	}
	n := &planner{Held: c, written: make(map[wanting]bool)}
	for grown := next; len(grown) > 0; {
		for _, t := range grown {
			n.suppose(t)
		}
		n.list = nil
		for i := range c.card.Stages {
			if s := &c.card.Stages[i]; !s.OutOfSight && !inRun(s) {
				for _, at := range n.sites(s) {
					n.photographs(i, at)
					n.entries(i, at)
				}
			}
		}
		grown = slices.DeleteFunc(n.list, func(t Todo) bool {
			return t.Kind == "" || t.Task != WriteDown && t.Task != Photograph || listed(next, t) || listed(ahead, t)
		})
		ahead = append(ahead, grown...)
	}
	return ahead
}

// wanting is an entry that a stage wants of a thing.
type wanting struct {
	stage string
	about journal.Subject
	kind  journal.Kind
}

// suppose takes an entry as written, if others can be written behind it in one go.
func (n *planner) suppose(t Todo) {
	s := n.card.Stage(t.Stage)
	if t.Task != WriteDown || t.Kind == "" || s == nil || inRun(s) {
		return
	}
	n.written[wanting{t.Stage, t.Subject, t.Kind}] = true
}

// inRun reports whether a stage is done with many parts at once.
func inRun(s *card.Stage) bool {
	return slices.ContainsFunc(s.Wants, func(k journal.Kind) bool { return slices.Contains(k.Places(), "run") })
}

func listed(list []Todo, t Todo) bool {
	return slices.ContainsFunc(list, func(o Todo) bool {
		return o.Stage == t.Stage && o.Subject == t.Subject && o.Kind == t.Kind && o.Task == t.Task && o.Shows == t.Shows
	})
}
