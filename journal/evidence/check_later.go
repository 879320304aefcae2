package evidence

import (
	"fmt"

	"fettlebook/journal"
	"fettlebook/journal/words"
)

// checkLater lists the entries of sealed jobs that no seal covers: what was
// added after handover, and what the hub held when it sealed and does not
// count among the job's entries.
func (r *reading) checkLater() (Answer, error) {
	a := Answer{Question: Later}
	covered := make(map[At]bool)
	sealed := make(map[journal.JobID]*entry)
	for _, s := range r.d.Seals {
		for _, c := range s.Covers {
			covered[c.At] = true
		}
		covered[s.At] = true
		if e := r.entries[s.At]; e != nil && e.e != nil && (sealed[s.Job] == nil || sealed[s.Job].At.Index < e.At.Index) {
			sealed[s.Job] = e
		}
	}
	for _, e := range r.list {
		if covered[e.At] || e.e == nil {
			continue
		}
		seal := r.sealOf(e, sealed)
		switch {
		case seal == nil: // no work of a sealed job, whatever it is said to be here for
		case r.held(seal, e.At):
			a.add(Finding{NotUnderSeal, Yes, fmt.Sprintf("The entry %s is not under a seal, although the hub held it when it sealed.", e.called()), []At{e.At}, paths(EntryPath(e.At))})
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
