package evidence

import (
	"fmt"
	"time"

	"fettlebook/journal/words"
)

func (r *reading) checkCountersigned() (Answer, error) {
	a := Answer{Question: Countersigned}
	if r.reg.cosigner == nil {
		a.add(Finding{NotCountersigned, No, "The hub's key is not here, so no countersignature can be checked.", nil, nil})
	}
	for _, l := range r.d.Logs {
		for _, s := range l.States {
			state := r.logs[l.Device].states[s.Size]
			if state != nil && state.signed && state.bent {
				a.add(Finding{CosignatureWrong, No, fmt.Sprintf("The hub's countersignature over %s of the log of %s is wrong.", words.Count(s.Size, "entry"), l.Device), nil, paths(CheckpointPath(l.Device, s.Size))})
			}
		}
	}
	held := 0
	var first, last time.Time
	for _, e := range r.list {
		switch {
		case e.in == nil:
			a.add(Finding{NotCountersigned, No, fmt.Sprintf("The entry %s is not proven, so no countersignature covers it.", e.called()), []At{e.At}, nil})
			continue
		case e.in.held.IsZero() && !e.in.bent:
			a.add(Finding{NotCountersigned, Unknown, fmt.Sprintf("The hub has not countersigned the entry %s in this file, so only its device's clock says when it was made.", e.called()), []At{e.At}, nil})
			continue
		case e.in.held.IsZero():
			continue
		}
		if held++; first.IsZero() || e.in.held.Before(first) {
			first = e.in.held
		}
		if e.in.held.After(last) {
			last = e.in.held
		}
	}
	all := "the hub held " + words.Choose(held == len(r.list), "every entry", words.Of(held, len(r.list), "entry"))
	by := words.If(held > 0, fmt.Sprintf("; the first by %s, the last by %s, by the hub's own clock", clock(first), clock(last)))
	a.settle("Yes: "+all+by+".", "No: "+all+by+".", words.Capital(all)+by+".")
	return a, nil
}
