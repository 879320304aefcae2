package figure

import (
	"iter"
	"slices"

	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/facts"
	"fettlebook/journal/route"
	"fettlebook/journal/words"
)

// Worst is what is wrong with an entry that is about to be stamped, the worst
// first. The zero Worst is nothing.
type Worst struct {
	Say []Sentence
	// Breaks says that it breaks a hold point, or that a limit is not kept by
	// which somebody could be hurt.
	Breaks bool
	// Names tell what is broken from anything else that could be.
	Names []string
}

// mostSaid is how much stands beside a button; the figure has all of it.
const mostSaid = 2

// First are the sentences that stand beside a button.
func (w Worst) First() []Sentence { return w.Say[:min(mostSaid, len(w.Say))] }

// More is how many there are beyond those.
func (w Worst) More() int { return len(w.Say) - len(w.First()) }

// WorstOf works out what an entry makes worse: what it states against hold points,
// what it comes to by itself, and the hold points whose turn has come by it and
// that are not met. Before is the shop without the entry, now the one
// in which it is supposed.
func WorstOf(before, now *live.Snapshot, id journal.EntryID) Worst {
	w := begin(now, id)
	if w == nil {
		return Worst{}
	}
	of := &worst{work: w}
	var others []route.Verdict
	for _, j := range w.jobs() {
		for _, v := range route.Worsened(each(before, j.ID), each(now, j.ID), w.line.ID) {
			of.Breaks = true
			of.Names = append(of.Names, string(v.Hold)+" "+string(v.Subject)+" "+string(v.State))
			against := v.Against(w.line.ID)
			for _, s := range against {
				of.state(v.Subject, s, v.State, v.Class == card.Safety)
			}
			if len(against) == 0 {
				others = append(others, v)
			}
		}
	}
	of.alone()
	for _, v := range others {
		of.add(v.Subject, v.Title+": "+v.Found(), v.State, v.Class == card.Safety, rests(v.Limit, v.Source))
	}
	return of.Worst
}

// each yields how the hold points of a job stand.
func each(s *live.Snapshot, job journal.JobID) iter.Seq[route.Verdict] {
	return func(yield func(route.Verdict) bool) {
		if st := s.Standing(job); st != nil {
			for v := range st.Each() {
				if !yield(v) {
					return
				}
			}
		}
	}
}

// worst gathers what is wrong.
type worst struct {
	*work
	Worst
	stated []facts.Statement
}

// alone adds what the entry comes to by itself. A warning that nothing is broken
// by is said too: of a slip of the pen, a hold point may know nothing.
func (w *worst) alone() {
	list := w.stock.Entry(w.line).Statements
	for _, s := range list {
		if s.Safety && s.Fails() && !w.said(s) {
			w.Breaks = true
			w.Names = append(w.Names, string(s.Quantity)+" "+s.Of+" "+string(s.Because))
			w.state(s.About, s, route.Broken, true)
		}
	}
	for _, s := range list {
		if s.Safety && s.Because == facts.Warned {
			w.state(s.About, s, "", true)
		}
	}
}

// said reports whether a hold point has said the same: of the same thing, or of a
// tool that proves nothing.
func (w *worst) said(s facts.Statement) bool {
	return slices.ContainsFunc(w.stated, func(o facts.Statement) bool {
		if s.Tool != nil && o.Tool != nil && s.Because == o.Because && s.Tool.ID == o.Tool.ID {
			return true
		}
		return o.Quantity == s.Quantity && o.Of == s.Of
	})
}

func (w *worst) state(about journal.Subject, s facts.Statement, as route.State, safety bool) {
	w.stated = append(w.stated, s)
	w.add(about, s.Say(), as, safety, "")
}

// add says something of a place, once.
func (w *worst) add(about journal.Subject, text string, as route.State, safety bool, rests string) {
	if at := w.names([]journal.Subject{about}); at != "" {
		text = at + ": " + text
	}
	one := Sentence{Text: words.Sentence(text), State: as, Safety: safety, Rests: rests}
	if !slices.ContainsFunc(w.Worst.Say, func(o Sentence) bool { return o.Text == one.Text }) {
		w.Worst.Say = append(w.Worst.Say, one)
	}
}
