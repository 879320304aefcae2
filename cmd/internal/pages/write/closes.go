package write

import (
	"slices"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/form"
	"fettlebook/journal"
	"fettlebook/journal/route"
	"fettlebook/journal/words"
)

// closing is what a stage puts out of sight, before it is stamped.
type closing struct {
	Title string // of the stage
	Open  []way
}

// way leads to where something is put right.
type way struct {
	Path, Say, Why string
	State          route.State // of a hold
}

// Stamp is how the hold stands.
func (w way) Stamp() pages.Stamp { return pages.Stamp{State: w.State} }

// wayTo is where something is done that is to be done.
func wayTo(t route.Todo) way {
	w := way{Path: pages.StagePath(t.Stage, t.Subject), Say: pages.Place(t.Subject) + " · ", State: t.State}
	switch t.Task {
	case route.Photograph:
		w.Say += "photograph: " + t.Shows
	case route.WriteDown:
		w.Say += t.Head()
		w.Why = words.Sentence(t.What())
	default:
		w.Say += t.Title()
		w.Why = words.Sentence(t.Found())
	}
	if t.Kind != "" {
		w.Path += "?kind=" + string(t.Kind)
	}
	return w
}

// closes is what the task puts out of sight; nil if that is nothing. Of a run it
// is what is hidden on the parts that are in it.
func (t *task) closes(typed form.Values) *closing {
	var abouts []journal.Subject
	switch {
	case t.at != nil:
		abouts = []journal.Subject{t.subject}
	case t.rack:
		abouts = chosen(typed)
	case t.parts != nil:
		abouts = *t.parts
	}
	var c *closing
	for _, about := range abouts {
		st := t.snap.Standing(about.Job())
		if st == nil || st.Card == nil {
			continue
		}
		for i := range st.Card.Stages {
			stage := &st.Card.Stages[i]
			if !stage.OutOfSight || t.at != nil && stage.Name != t.at.Stage.Name || t.at == nil && !slices.Contains(stage.Wants, t.kind) {
				continue
			}
			if c == nil {
				c = &closing{Title: stage.Title}
			}
			for _, todo := range route.Closes(st.Card, st.Rows, stage.Name, about) {
				if w := wayTo(todo); !slices.Contains(c.Open, w) {
					c.Open = append(c.Open, w)
				}
			}
		}
	}
	return c
}
