package sqlitelog_test

import (
	"errors"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/proof"
	"fettlebook/journal/sqlitelog"
)

// hubKeys draws a hub's keys by a word.
func hubKeys(t testing.TB, word string) proof.HubKeys {
	t.Helper()
	log, err := proof.NewKey(journaltest.Rand(word+" log"), proof.Origin(journaltest.Shop, journaltest.Office))
	if err != nil {
		t.Fatal(err)
	}
	cosign, err := proof.NewKey(journaltest.Rand(word+" cosign"), proof.CosignerName(journaltest.Shop))
	if err != nil {
		t.Fatal(err)
	}
	return proof.HubKeys{Log: log, Cosign: cosign}
}

// changing is a hub with a tablet, and the keys with which the hub began.
type changing struct {
	office, bench *rig
	hub, tablet   *sqlitelog.DB
	first         proof.HubKeys
}

func newChanging(t testing.TB) *changing {
	t.Helper()
	c := &changing{office: newRig(t, journaltest.Office), bench: newRig(t, journaltest.Bench), first: hubKeys(t, "first")}
	for _, r := range []*rig{c.office, c.bench} {
		r.keys[journaltest.Office], r.cosign = c.first.Log, c.first.Cosign
	}
	c.hub, c.tablet = c.office.open(t), c.bench.open(t)
	appendTo(t, c.hub, note("the hub’s first"), note("the hub’s second"))
	if err := c.hub.Know(t.Context(), journaltest.Bench, c.bench.keys[journaltest.Bench].Verifier()); err != nil {
		t.Fatal(err)
	}
	appendTo(t, c.tablet, note("one"), note("two"))
	receive(t, c.hub, segment(t, c.tablet, journaltest.Bench, 0))
	return c
}

func change(t testing.TB, db *sqlitelog.DB, old, next proof.HubKeys) {
	t.Helper()
	p := &journal.KeyChange{Because: journal.KeysStolen, Certificate: "62af8704764faf8ea82fc61ce9c4c3908b6cb97d463a634e9e587d7c885db0ef"}
	proof.SignKeyChange(p, journaltest.Shop, journaltest.Office, old, next)
	if _, err := db.ChangeKeys(t.Context(), journal.Draft{Subject: journal.Of("shop", string(journaltest.Shop)), By: journaltest.Io, Data: p}, next.Log); err != nil {
		t.Fatal(err)
	}
}

func signs(t testing.TB, db *sqlitelog.DB, size int64) string {
	t.Helper()
	key, err := db.KeyAt(t.Context(), journaltest.Office, size)
	if err != nil {
		t.Fatal(err)
	}
	return key
}

// The hub goes on with its new key, over a start too; a tablet follows by the
// segment that has the change in it, wherever that begins and ends.
func TestATabletFollowsTheHubsKeys(t *testing.T) {
	for name, cut := range map[string][]int64{"away for all of it": {0}, "up to the change": {0, 3}, "entry by entry": {0, 1, 2, 3, 4}} {
		c := newChanging(t)
		next := hubKeys(t, "next")
		change(t, c.hub, c.first, next)
		appendTo(t, c.hub, note("by the new key"))
		closeDB(t, c.hub)
		c.office.keys[journaltest.Office] = next.Log
		hub, err := sqlitelog.Open(t.Context(), c.office.path, c.office.optionsAs(c.first))
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { hub.Close() })
		appendTo(t, hub, note("after a start"))
		for i, from := range cut {
			s := segment(t, hub, journaltest.Office, from)
			if i+1 < len(cut) {
				s = cutAt(t, hub, from, cut[i+1])
			}
			receive(t, c.tablet, s)
		}
		for _, db := range []*sqlitelog.DB{hub, c.tablet} {
			if signs(t, db, 2) != c.first.Log.Verifier() || signs(t, db, 3) != next.Log.Verifier() || signs(t, db, 5) != next.Log.Verifier() {
				t.Errorf("%s: the keys do not follow each other", name)
			}
		}
		closeDB(t, c.tablet)
		again := c.bench.open(t)
		if keys, err := again.Succession(t.Context()); err != nil || keys.Now().Cosign != next.Cosign.Verifier() {
			t.Errorf("%s: after a start the tablet goes by %q (%v)", name, keys.Now().Cosign, err)
		}
		if n := len(read(t, again, journaltest.Office)); n != 5 {
			t.Errorf("%s: the tablet holds %d entries", name, n)
		}
	}
}

// cutAt is a segment of the hub's log up to an entry.
func cutAt(t testing.TB, db *sqlitelog.DB, from, end int64) journal.Segment {
	t.Helper()
	s := segment(t, db, journaltest.Office, from)
	s.Entries = s.Entries[:end-from]
	for _, b := range batches(t, db, journaltest.Office) {
		if b.End() == end {
			s.Checkpoint = b.Checkpoint
		}
	}
	return s
}

// Who has the old keys gets nothing into a log that knows the change, and what
// they countersigned beyond it is taken back.
func TestTheOldKeysAreReplaced(t *testing.T) {
	c := newChanging(t)
	next, thief := hubKeys(t, "next"), hubKeys(t, "thief")
	receive(t, c.tablet, segment(t, c.hub, journaltest.Office, 0))
	stolen := newRig(t, journaltest.Office)
	if err := sqlitelog.Copy(t.Context(), c.office.path, stolen.path); err != nil {
		t.Fatal(err)
	}
	stolen.keys[journaltest.Office], stolen.cosign = c.first.Log, c.first.Cosign
	theirs := stolen.open(t)

	good := word(t, c.bench, c.tablet, journaltest.Bench, c.first.Cosign)
	if err := c.tablet.SaveCountersigned(t.Context(), good); err != nil {
		t.Fatal(err)
	}
	appendTo(t, c.tablet, note("three"))
	bad := word(t, c.bench, c.tablet, journaltest.Bench, c.first.Cosign) // the thief's hub
	if err := c.tablet.SaveCountersigned(t.Context(), bad); err != nil {
		t.Fatal(err)
	}
	change(t, c.hub, c.first, next)
	receive(t, c.tablet, segment(t, c.hub, journaltest.Office, 0))
	if last, err := c.tablet.LastCountersigned(t.Context(), journaltest.Bench); err != nil || last.Size != good.Size {
		t.Errorf("the hub’s word holds up to %d (%v), want %d", last.Size, err, good.Size)
	}
	if list, err := c.tablet.Quarantines(t.Context()); err != nil || len(list) != 1 {
		t.Errorf("%d things are in quarantine (%v)", len(list), err)
	}
	replaced := (*proof.Replaced)(nil)
	if _, err := c.tablet.Countersignature(t.Context(), journaltest.Bench, bad.Note); !errors.As(err, &replaced) || replaced.Reach != 2 {
		t.Errorf("the old key’s word is taken: %v", err)
	}
	if _, err := c.tablet.Countersignature(t.Context(), journaltest.Bench, word(t, c.bench, c.tablet, journaltest.Bench, next.Cosign).Note); err != nil {
		t.Errorf("the new key’s word is not taken: %v", err)
	}

	// The thief writes on, or changes the keys too: another history.
	appendTo(t, theirs, note("the thief’s"))
	fork, unproven := (*journal.Fork)(nil), (*journal.Unproven)(nil)
	if _, err := c.tablet.Receive(t.Context(), segment(t, theirs, journaltest.Office, 0)); !errors.As(err, &fork) || fork.Common != 2 {
		t.Errorf("the thief’s history is taken: %v", err)
	}
	change(t, theirs, c.first, thief)
	if _, err := c.tablet.Receive(t.Context(), segment(t, theirs, journaltest.Office, 0)); !errors.As(err, &fork) || fork.Common != 2 {
		t.Errorf("the thief’s keys are taken: %v", err)
	}
	if _, err := c.tablet.Receive(t.Context(), segment(t, theirs, journaltest.Office, 3)); !errors.As(err, &unproven) {
		t.Errorf("the thief’s entries follow the hub’s: %v", err)
	}
	if signs(t, c.tablet, 9) != next.Log.Verifier() {
		t.Error("the tablet goes by the thief’s key")
	}

	// Nobody but who has the keys changes them.
	p := &journal.KeyChange{Because: journal.KeysRenewed, Certificate: "62af8704764faf8ea82fc61ce9c4c3908b6cb97d463a634e9e587d7c885db0ef"}
	proof.SignKeyChange(p, journaltest.Shop, journaltest.Office, next, hubKeys(t, "third"))
	if _, err := c.hub.Append(t.Context(), journal.Draft{Subject: journal.Of("shop", string(journaltest.Shop)), By: journaltest.Io, Data: p}); err == nil {
		t.Error("keys are changed like anything is written")
	}
	if _, err := c.tablet.ChangeKeys(t.Context(), journaltest.Sample(journal.KeysChanged), thief.Log); err == nil {
		t.Error("a tablet changes the hub’s keys")
	}
}

// word countersigns the newest state of a log.
func word(t testing.TB, r *rig, db *sqlitelog.DB, device journal.DeviceID, by proof.Key) journal.Countersigned {
	t.Helper()
	head, err := db.Head(t.Context(), device)
	if err != nil {
		t.Fatal(err)
	}
	v, err := proof.Verifier(r.keys[device].Verifier())
	if err != nil {
		t.Fatal(err)
	}
	at := r.watch.Now().Truncate(time.Second).UTC()
	both, err := proof.Countersign(proof.Checkpoint{Note: head.Checkpoint}, v, by.Cosigner(func() time.Time { return at }))
	if err != nil {
		t.Fatal(err)
	}
	return journal.Countersigned{Device: device, Size: head.Size, At: at, Note: both}
}
