package evidence

import (
	"fmt"
	"slices"

	"fettlebook/journal"
	"fettlebook/journal/words"

	"golang.org/x/mod/sumdb/tlog"
)

// prefix is a state of a log as it is cited.
type prefix struct {
	device journal.DeviceID
	size   int64
}

// checkOrder holds what entries say they had seen against the logs, and the
// order of each seal against that.
func (r *reading) checkOrder() (Answer, error) {
	a := Answer{Question: Ordered}
	shown := make(map[prefix]*Cited)
	for i := range r.d.Cited {
		c := &r.d.Cited[i]
		shown[prefix{c.Device, c.Size}] = c
		if !r.grew(c) {
			a.add(Finding{CitedBroken, No, fmt.Sprintf("The state of %s of the log of %s, which entries cite, is not proven to be a beginning of that log.", words.Count(c.Size, "entry"), c.Device), nil, paths(DossierPath)})
		}
	}
	said := make(map[prefix]bool)
	for _, e := range r.list {
		if e.e == nil {
			continue
		}
		for _, p := range slices.Concat(e.e.After, r.heldBy(e)) {
			r.checkCited(&a, e, prefix{p.Device, p.Size}, p.Fits, shown, said)
		}
		if s := e.e.Seen; s.Size > 0 {
			r.checkCited(&a, e, prefix{r.d.Hub, s.Size}, func(root [32]byte) bool { return root == s.Root }, shown, said)
		}
	}
	for _, s := range r.d.Seals {
		r.checkTurned(&a, s)
	}
	a.settle(fmt.Sprintf("Yes: %s of other logs that entries cite are beginnings of those logs, and the order of each seal agrees with them.", words.Count(len(r.d.Cited), "state")),
		"No: what entries cite of other logs, or the order of a seal, does not agree with the logs.",
		"What is shown agrees; of some entries it is not shown what they had seen of other logs.")
	return a, nil
}

// grew checks that a cited state is a beginning of the log that is here.
func (r *reading) grew(c *Cited) bool {
	l := r.logs[c.Device]
	for _, s := range l.States {
		if state := l.states[s.Size]; s.Size >= c.Size {
			if state == nil || !state.signed {
				return false
			}
			if s.Size == c.Size {
				return tlog.Hash(c.Root) == state.Root && len(c.Grown) == 0
			}
			return grown(c.Grown, state.Size, state.Root, c.Size, tlog.Hash(c.Root))
		}
	}
	return false
}

// heldBy is what a change of the hub's keys says beside its after of other logs.
func (r *reading) heldBy(e *entry) journal.After {
	for _, reign := range r.reg.hub.Reigns {
		if reign.Change != nil && e.At == (At{Device: r.d.Hub, Index: reign.Since}) {
			return reign.Change.Held
		}
	}
	return nil
}

// checkCited checks one citation of a log that is here.
func (r *reading) checkCited(a *Answer, e *entry, p prefix, fits func([32]byte) bool, shown map[prefix]*Cited, said map[prefix]bool) {
	if r.logs[p.device] == nil || p.device == e.At.Device {
		return
	}
	c := shown[p]
	common, parted := r.reg.common[p.device]
	switch {
	case parted && p.size > common && (c == nil || !fits(c.Root)):
		// It may be the other history that was cited; the register says so.
	case c == nil && !said[p]:
		said[p] = true
		a.add(Finding{CitedUnshown, Unknown, fmt.Sprintf("The entry %s says that it had seen %s of the log of %s; that state is not in this file.", e.called(), words.Count(p.size, "entry"), p.device), []At{e.At}, nil})
	case c != nil && !fits(c.Root):
		a.add(Finding{CitedOther, No, fmt.Sprintf("The entry %s had seen another log of %s than the one in this file: its first %s have another root.", e.called(), p.device, words.Count(p.size, "entry")), []At{e.At}, paths(EntryPath(e.At), DossierPath)})
	}
}

// checkTurned finds an entry that stands in a seal before one that it had
// seen.
func (r *reading) checkTurned(a *Answer, s Seal) {
	least := make(map[journal.DeviceID]int64) // index of each log, of what stands behind
	for i := len(s.Covers) - 1; i >= 0; i-- {
		e := r.entries[s.Covers[i].At]
		if e != nil && e.e != nil {
			for _, l := range r.d.Logs {
				device := l.Device
				index, behind := least[device]
				if !behind {
					continue
				}
				saw := r.reg.seen(device, e.e.After.Of(device).Size)
				if device == e.At.Device {
					saw = e.At.Index
				}
				if index < saw {
					a.add(Finding{OrderTurned, No, fmt.Sprintf("Under the seal of job %s the entry %s stands before %s, which it had seen.", s.Job, e.called(), At{device, index}), []At{e.At, {device, index}}, paths(DossierPath)})
				}
			}
		}
		at := s.Covers[i].At
		if before, ok := least[at.Device]; !ok || at.Index < before {
			least[at.Device] = at.Index
		}
	}
}
