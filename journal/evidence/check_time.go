package evidence

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/words"
)

func (r *reading) checkCountersigned() (Answer, error) {
	a := Answer{Question: Countersigned}
	if r.reg.founding == nil {
		a.add(Finding{NotCountersigned, No, "The hub’s key is not here, so no countersignature can be checked.", nil, nil})
	}
	for _, l := range r.d.Logs {
		for _, s := range l.States {
			state := r.logs[l.Device].states[s.Size]
			if state != nil && state.signed && state.bent {
				a.add(Finding{CosignatureWrong, No, fmt.Sprintf("The hub’s countersignature over %s of the log of %s is wrong.", words.Count(s.Size, "entry"), l.Device), nil, paths(CheckpointPath(l.Device, s.Size))})
			}
		}
	}
	if err := r.checkChanges(&a); err != nil {
		return a, err
	}
	hub := r.hubTimes()
	held := 0
	var first, last time.Time
	for _, e := range r.list {
		switch {
		case e.in == nil:
			a.add(Finding{NotCountersigned, No, fmt.Sprintf("The entry %s is not proven, so no countersignature covers it.", e.called()), []At{e.At}, nil})
			continue
		case e.in.held.IsZero() && e.in.replaced != nil:
			a.add(Finding{NotCountersigned, No, fmt.Sprintf("The entry %s is countersigned only with keys that the hub had replaced by then.", e.called()), []At{e.At}, nil})
			continue
		case e.in.held.IsZero() && !e.in.bent:
			a.add(Finding{NotCountersigned, Unknown, fmt.Sprintf("The hub has not countersigned the entry %s in this file, so only its device’s clock says when it was made.", e.called()), []At{e.At}, nil})
			continue
		case e.in.held.IsZero():
			continue
		}
		checkClock(&a, e, hub)
		if held++; first.IsZero() || e.in.held.Before(first) {
			first = e.in.held
		}
		if e.in.held.After(last) {
			last = e.in.held
		}
	}
	all := "the hub held " + words.Choose(held == len(r.list), "every entry", words.Of(held, len(r.list), "entry"))
	by := words.If(held > 0, fmt.Sprintf("; the first by %s, the last by %s, by the hub’s own clock", clock(first), clock(last)))
	a.settle("Yes: "+all+by+".", "No: "+all+by+".", words.Capital(all)+by+".")
	return a, nil
}

// heldAt is a state of the hub's log and when it was certainly there.
type heldAt struct {
	size int64
	by   time.Time
}

// hubTimes lists the countersigned states of the hub's log by rising size, with
// times that do not fall.
func (r *reading) hubTimes() (list []heldAt) {
	l := r.logs[r.d.Hub]
	for _, s := range l.States {
		state := l.states[s.Size]
		if state == nil || !state.signed || state.held.IsZero() {
			continue
		}
		by := state.held
		if n := len(list); n > 0 && by.Before(list[n-1].by) {
			by = list[n-1].by
		}
		list = append(list, heldAt{s.Size, by})
	}
	return list
}

// checkClock says of an entry that its device's clock did not say what the hub's
// word allows: it was made after the hub's state that it had seen was
// countersigned, and before it was countersigned itself.
func checkClock(a *Answer, e *entry, hub []heldAt) {
	if e.e == nil {
		return
	}
	var seen time.Time
	after, _ := slices.BinarySearchFunc(hub, e.e.Seen.Size+1, func(h heldAt, size int64) int { return cmp.Compare(h.size, size) })
	if after > 0 {
		seen = hub[after-1].by
	}
	at := time.Time(e.e.Time)
	early := !seen.IsZero() && at.Before(seen.Add(-journal.MaxAhead))
	if !early && !at.After(e.in.held.Add(journal.MaxAhead)) {
		return
	}
	says := fmt.Sprintf("The clock of %s said %s when the entry %s was made; the hub’s word is that it was made before %s", e.At.Device, clock(at), e.called(), clock(e.in.held))
	if !seen.IsZero() {
		says += " and after " + clock(seen)
	}
	a.add(Finding{ClockOff, Yes, says + ".", []At{e.At}, paths(EntryPath(e.At))})
}
