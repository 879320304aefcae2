package route

import (
	"cmp"
	"iter"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/facts"
)

// Worsened lists the hold points that an entry breaks or puts in doubt: those
// that stand so with it and did not without it, and those that are broken either
// way and for which it is one reason more. Before are the verdicts without the
// entry, now those with it. What the entry itself keeps from being met comes
// before what its turn has come for by it, then what concerns safety, and what is
// broken before what is in doubt.
func Worsened(before, now iter.Seq[Verdict], by journal.EntryID) (list []Verdict) {
	was := make(map[on]State)
	for v := range before {
		was[on{v.Hold, v.Subject}] = v.State
	}
	for v := range now {
		switch {
		case v.State != Broken && v.State != InDoubt:
		case was[on{v.Hold, v.Subject}] != v.State, v.State == Broken && len(v.Against(by)) > 0:
			list = append(list, v)
		}
	}
	rank := func(v Verdict) int {
		n := slices.Index(worse(), v.State)
		if v.Class != card.Safety {
			n += len(worse())
		}
		if len(v.Against(by)) == 0 {
			n += 2 * len(worse())
		}
		return n
	}
	slices.SortStableFunc(list, func(a, b Verdict) int { return cmp.Compare(rank(a), rank(b)) })
	return list
}

// Against are the statements of the verdict by which an entry keeps the hold
// from being met.
func (v *Verdict) Against(entry journal.EntryID) (list []facts.Statement) {
	for _, s := range v.Statements {
		if s.Fails() && (s.Undone == entry || slices.Contains(s.Entries, entry)) {
			list = append(list, s)
		}
	}
	return list
}

// on is a hold on one thing, by whatever reading of the card it was judged.
type on struct {
	hold  journal.HoldID
	about journal.Subject
}
