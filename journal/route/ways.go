package route

import (
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/facts"
)

// Way is where what a hold lacks can be given: by an entry, and on the page of a stage
// where the card has one for it.
type Way struct {
	Kind  journal.Kind    // "" is a stage as a whole
	About journal.Subject // what the entry is about, or whose stage it is
	Stage string          // "" for an entry by itself
}

// Ways lists where what a hold lacks can be given, the nearest first. One that lacks
// nothing which an entry could give, since its turn has not come yet, leads to its
// stage. There is none for one that is met or waived, nor without the card.
func (v *Verdict) Ways(by *card.Card) (list []Way) {
	if by == nil || by.Stage(v.Stage) == nil || v.State == Met || v.State == Waived {
		return nil
	}
	add := func(of facts.Way) {
		if w, ok := v.way(by, of); ok && !slices.Contains(list, w) {
			list = append(list, w)
		}
	}
	lacking := func(s facts.Statement) bool {
		return s.Met == facts.No || s.Met == facts.NotKnown || s.Sure == facts.NotProven
	}
	for _, s := range v.Statements {
		if lacking(s) {
			for _, w := range s.Ways() {
				add(w)
			}
		}
	}
	if !slices.ContainsFunc(list, func(w Way) bool { return w.About.Job() != "" }) {
		for _, s := range v.Statements { // what is written is not what the rule wants, or rests on what proves nothing
			for _, w := range s.Ways() {
				add(w)
			}
		}
	}
	if !slices.ContainsFunc(list, func(w Way) bool { return w.About.Job() != "" }) {
		list = append(list, Way{About: v.Thing(), Stage: v.Stage})
	}
	return list
}

// way finds the stage in which an entry is written, its hold's own before others.
func (v *Verdict) way(by *card.Card, of facts.Way) (Way, bool) {
	if of.Kind.Hand() == journal.ByProgram {
		return Way{}, false
	}
	places := of.Kind.Places()
	fits := func(about journal.Subject) bool {
		return len(places) == 0 || slices.Contains(places, about.Word()) || slices.Contains(places, "run")
	}
	for i := -1; i < len(by.Stages); i++ {
		s := by.Stage(v.Stage)
		if i >= 0 {
			s = &by.Stages[i]
		}
		if at := s.Level.Around(of.About); of.About.Job() != "" && s.Stands(at) && fits(at) && slices.Contains(s.Kinds(), of.Kind) {
			return Way{of.Kind, at, s.Name}, true
		}
	}
	return Way{Kind: of.Kind, About: of.About}, fits(of.About)
}
