package evidence

import (
	"fmt"

	"fettlebook/journal"
	"fettlebook/journal/words"
)

// checkLater lists the entries of sealed jobs that the seal of their handover
// does not cover: what was added later, and what the hub held when it sealed
// and does not count among the job's entries. Of several seals of a job the one
// on the receipt is that of the handover, or else the first.
func (r *reading) checkLater() (Answer, error) {
	a := Answer{Question: Later}
	handovers, err := r.handovers()
	if err != nil {
		return a, err
	}
	covered := make(map[At]bool)
	sealed := make(map[journal.JobID]*entry)
	for job, s := range handovers {
		for _, c := range s.Covers {
			covered[c.At] = true
		}
		covered[s.At], sealed[job] = true, r.entries[s.At]
	}
	for _, e := range r.list {
		if covered[e.At] || e.e == nil {
			continue
		}
		seal := r.sealOf(e, sealed)
		switch {
		case seal == nil: // no work of a sealed job, whatever it is said to be here for
		case r.held(seal, e.At):
			a.add(Finding{NotUnderSeal, Yes, fmt.Sprintf("The entry %s is not under the seal, although the hub held it when it sealed.", e.called()), []At{e.At}, paths(EntryPath(e.At))})
		default:
			a.add(Finding{AddedLater, Yes, fmt.Sprintf("The entry %s was added after handover, or reached the hub after it%s.", e.called(), r.by(e)), []At{e.At}, paths(EntryPath(e.At))})
		}
	}
	later := a.count(AddedLater)
	yes := fmt.Sprintf("Yes: %s added after handover, or reached the hub after it.", words.Either(later, "entry was", "entries were"))
	switch {
	case len(sealed) == 0:
		yes = "Yes: no job was handed back with a seal yet."
	case later == 0:
		yes = "Yes: nothing that was added after handover is in this file."
	}
	a.settle(yes, "", "")
	return a, nil
}

// handovers returns the proven seal of each job's handover.
func (r *reading) handovers() (map[journal.JobID]Seal, error) {
	first := make(map[journal.JobID]Seal)
	receipted := make(map[journal.JobID]bool)
	for _, s := range r.d.Seals {
		seal, err := r.seal(s)
		if err != nil {
			return nil, err
		}
		if seal == nil {
			continue
		}
		before, known := first[s.Job]
		switch is := r.receipt != nil && s.Job == r.receipt.Job && seal.Root == journal.Digest(r.receipt.Seal); {
		case is:
			first[s.Job], receipted[s.Job] = s, true
		case !known, !receipted[s.Job] && s.At.Index < before.At.Index:
			first[s.Job] = s
		}
	}
	return first, nil
}

// sealOf returns the newest seal of an entry's job; of a run's entry the
// newest of all.
func (r *reading) sealOf(e *entry, sealed map[journal.JobID]*entry) *entry {
	if job := e.e.Subject.Job(); job != "" || e.e.Subject.Run() == "" {
		return sealed[job]
	}
	var newest *entry
	for _, s := range sealed {
		if newest == nil || newest.At.Index < s.At.Index {
			newest = s
		}
	}
	return newest
}

// held reports whether the hub held an entry when it wrote a seal.
func (r *reading) held(seal *entry, at At) bool {
	if at.Device == seal.At.Device {
		return at.Index < seal.At.Index
	}
	return at.Index < seal.e.After.Of(at.Device).Size
}

// by says by when the hub held an entry, if it says so.
func (r *reading) by(e *entry) string {
	if e.in == nil || e.in.held.IsZero() {
		return ""
	}
	return "; the hub held it by " + clock(e.in.held)
}
