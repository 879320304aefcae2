// Package trace says what touched what: backwards from a part or a vehicle to
// all lots, runs, tools, people and rooms, each with what was known of it then;
// and forwards from any of these to every vehicle that shares it, where that is
// now, whom to call, and which holds rest on it. Of a casting it gathers the life
// over all its jobs.
//
//	t := trace.Of(view, "K17", trace.Options{})
//	for _, v := range t.Right {
//		fmt.Println(v.Name, v.Where(words.Writing{}))
//	}
//
// It works out nothing itself: what entries amount to package facts says, what
// shares what package shop.
package trace

import (
	"fettlebook/journal"
	"fettlebook/journal/facts"
	"fettlebook/journal/record"
	"fettlebook/journal/shop"
)

// Shop is what is asked of a shop.
type Shop interface {
	Look(term string, customers bool, most int) shop.Looked
	Shared(of journal.Subject, use *record.Line) *shop.Shared
	Standings(ids ...journal.JobID) []*shop.Standing
	Stock() *facts.Stock
}

// standing is how one job stands, nil if there is no such job.
func standing(s Shop, id journal.JobID) *shop.Standing { return s.Standings(id)[0] }

// Options say what may be looked at.
type Options struct {
	Customers bool // by their names
	// People says that it may be looked up what somebody's work touched, as at the
	// desk. Elsewhere it is only told who did what to what is traced.
	People bool
	// Wide is how many of what touched a part are asked what else they touched; 0
	// is the default.
	Wide int
}

const (
	found     = 50 // things that fit a term
	wide      = 40 // of what touched a part
	holdsOf   = 12 // vehicles of which it is said which holds rest on it
	otherOnes = 24 // vehicles that share something with a part
)
