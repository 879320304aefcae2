package hub_test

import (
	"slices"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/record"
)

// of returns the entries of the register with data of that type.
func of[P journal.Payload](r *rig) (list []P) {
	for _, p := range r.register() {
		if p, ok := p.(P); ok {
			list = append(list, p)
		}
	}
	return list
}

// citing is an entry that says how much of the hub's log its writer held.
func (tab *tablet) citing() *journal.Entry {
	tab.r.t.Helper()
	e := tab.entry(&journal.Arrival{Agreed: true})
	root, err := tab.r.db.RootAt(tab.r.t.Context(), tab.r.device, 1)
	must(tab.r.t, err)
	e.After = journal.After{{Device: tab.r.device, Size: 1, Root: [16]byte(root[:16])}}
	return e
}

// closings waits for a number of closings and returns them, by device.
func (r *rig) closings(n int) map[journal.DeviceID]int64 {
	r.t.Helper()
	r.until("closings in the register", func() bool { return len(of[*journal.LogClosing](r)) >= n })
	counts := make(map[journal.DeviceID]int64)
	for _, c := range of[*journal.LogClosing](r) {
		if _, twice := counts[c.Device]; twice {
			r.t.Errorf("the log of %s is closed twice", c.Device)
		}
		counts[c.Device] = c.Counts
	}
	return counts
}

// The hub says of each log, once, from which entry on it cites, also of logs
// that were here before it could say so.
func TestTheFirstEntryThatCitesIsNoted(t *testing.T) {
	r := open(t)
	old, new := r.joined("t1aaaaaa"), r.joined("t2bbbbbb")
	r.send(old.device, r.encode(old.write(2)))
	first := len(new.log)
	new.add(new.citing())
	r.send(new.device, r.encode(new.segment(first, len(new.log))))
	r.countersigned(old, 2)
	noted := func(d journal.DeviceID) func() bool {
		return func() bool {
			return slices.ContainsFunc(of[*journal.LogNote](r), func(n *journal.LogNote) bool { return n.Device == d })
		}
	}
	r.until("a note of the log that cites", noted(new.device))
	if noted(old.device)() {
		t.Error("a log is noted that cites nothing")
	}
	old.add(old.entry(&journal.Arrival{Agreed: true}))
	old.add(old.citing())
	r.send(old.device, r.encode(old.segment(2, 4)))
	r.until("a note of the log that cites now", noted(old.device))
	r.until("a note of the hub’s own log", noted(r.device))
	r.restart()
	r.ready()
	r.send(old.device, r.encode(old.write(1)))
	r.countersigned(old, 5)
	from := make(map[journal.DeviceID][]int64)
	for _, n := range of[*journal.LogNote](r) {
		from[n.Device] = append(from[n.Device], n.From)
	}
	if !slices.Equal(from[new.device], []int64{0}) || !slices.Equal(from[old.device], []int64{3}) || len(from[r.device]) != 1 {
		t.Errorf("the logs cite from %v on, by the register", from)
	}
	for l, err := range r.db.Entries(t.Context(), r.device, from[r.device][0]) {
		must(t, err)
		if e, err := journal.Decode(l.Bytes); err != nil || len(e.After) == 0 {
			t.Errorf("entry %d of the hub’s log cites nothing (%v)", l.Index, err)
		}
		break
	}
}

// Of a revoked device's log counts what the hub held, of one with two
// histories what both have, however often the hub starts.
func TestClosedLogsCountUpToAnEntry(t *testing.T) {
	r := open(t)
	lost, torn := r.joined("t1aaaaaa"), r.joined("t2bbbbbb")
	r.send(lost.device, r.encode(lost.write(2)))
	r.send(torn.device, r.encode(torn.write(3)))
	r.countersigned(lost, 2)
	r.countersigned(torn, 3)
	torn.log = torn.log[:1:1]
	r.send(torn.device, r.encode(torn.write(3)))
	if got := r.closings(1); got[torn.device] != 1 {
		t.Errorf("closed at %v, the histories part after the first entry", got)
	}
	_, err := r.hub.Append(t.Context(), journal.Draft{Subject: journal.Of("device", string(lost.device)), By: by, Data: &journal.Revocation{Device: lost.device, Reason: "left on a roof"}})
	must(t, err)
	if got := r.closings(2); got[lost.device] != 2 {
		t.Errorf("closed at %v, two entries were here", got)
	}
	_, err = r.db.Receive(t.Context(), lost.write(2)) // an earlier hub took in what was on its way
	must(t, err)
	r.restart()
	r.ready()
	honest := r.joined("t3cccccc")
	r.send(honest.device, r.encode(honest.write(1)))
	r.countersigned(honest, 1)
	if got := r.closings(2); got[lost.device] != 2 || got[torn.device] != 1 {
		t.Errorf("closed at %v after a restart", got)
	}
	s, err := record.Fold(journal.Authority{Shop: r.shop, Hub: r.device}, r.db.All(t.Context()))
	must(t, err)
	for l := range s.All() {
		if l.Device != lost.device {
			continue
		}
		if counts := l.Index < 2; l.Counts() != counts || l.Has(record.RevokedDevice) == counts {
			t.Errorf("entry %d of the revoked tablet counts: %t, bears %q", l.Index, l.Counts(), l.Flags)
		}
	}
}

// A fork that was found before the hub could say what counts, or that it had
// no time to say, is closed at the next start, by what lies in quarantine. A
// message that the device did not sign says nothing.
func TestForksFoundBeforeAreClosed(t *testing.T) {
	r := open(t)
	torn := r.joined("t1aaaaaa")
	r.send(torn.device, r.encode(torn.write(4)))
	r.countersigned(torn, 4)
	held := torn.segment(3, 4).Checkpoint
	torn.log = torn.log[:2:2]
	other := torn.write(3)
	forged := torn.segment(0, 5)
	forged.Entries[0] = []byte("somebody else's")
	r.stop()
	r.openLog()
	must(t, r.db.Quarantine(t.Context(), torn.device, "two histories", r.encode(other)))
	must(t, r.db.Quarantine(t.Context(), torn.device, "not its word", r.encode(forged)))
	must(t, r.db.Quarantine(t.Context(), torn.device, "nothing", []byte("garbage")))
	_, err := r.db.Append(t.Context(), journal.Draft{Subject: journal.Of("device", string(torn.device)), By: by,
		Data: &journal.ForkFound{Device: torn.device, Held: string(held), Shown: string(other.Checkpoint)}})
	must(t, err)
	r.run()
	r.ready()
	if got := r.closings(1); got[torn.device] != 2 {
		t.Errorf("closed at %v, the histories part after the second entry", got)
	}
}
