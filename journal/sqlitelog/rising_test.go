package sqlitelog_test

import (
	"slices"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/proof"
	"fettlebook/journal/sqlitelog"
)

// liar writes a log as its key allows, and not as an honest program would.
type liar struct {
	t      *testing.T
	device journal.DeviceID
	key    proof.Key
	tree   *proof.Tree
	log    [][]byte
}

func newLiar(t *testing.T, r *rig, device journal.DeviceID) *liar {
	return &liar{t: t, device: device, key: r.keys[device], tree: new(proof.Tree)}
}

// says adds an entry made at a minute of the morning, in the name of a device.
func (l *liar) says(minute int, as journal.DeviceID, d journal.Draft) {
	l.t.Helper()
	watch := journaltest.NewWatch(journaltest.Morning().Add(time.Duration(minute) * time.Minute))
	e, err := journaltest.NewAuthor(as, watch, d.Subject.Last()+string(as)).Write(d)
	if err != nil {
		l.t.Fatal(err)
	}
	raw, err := e.Encode()
	if err != nil {
		l.t.Fatal(err)
	}
	l.raw(raw)
}

func (l *liar) raw(raw []byte) {
	l.tree.Append(raw)
	l.log = append(l.log, raw)
}

// shows is a segment of all from an index on.
func (l *liar) shows(first int64) journal.Segment {
	l.t.Helper()
	checkpoint, err := proof.Sign(l.key.Signer(), l.tree.Size(), l.tree.Root())
	if err != nil {
		l.t.Fatal(err)
	}
	return journal.Segment{Device: l.device, First: first, Entries: l.log[first:], Checkpoint: checkpoint}
}

// fallen are the entries of a log whose ids fall, by reading it from an index
// on, and by picking.
func fallen(t *testing.T, db *sqlitelog.DB, device journal.DeviceID, from int64) (list []int64) {
	t.Helper()
	var at []journal.Position
	var picked []int64
	for e, err := range db.Entries(t.Context(), device, from) {
		if err != nil {
			t.Fatal(err)
		}
		at = append(at, e.Position)
		if e.Falls {
			list = append(list, e.Index)
		}
	}
	slices.Reverse(at)
	entries, err := db.Pick(t.Context(), at)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		if e.Falls {
			picked = append(picked, e.Index)
		}
	}
	if !slices.Equal(list, picked) {
		t.Errorf("read %v fall, and picked %v", list, picked)
	}
	return list
}

// Ids fall that are not greater than all before them, wherever reading begins,
// after a new start, with and without marks, and for who only reads.
func TestFallingIDs(t *testing.T) {
	r := newRig(t, journaltest.Office)
	db := r.open(t)
	know(t, r, db)
	l := newLiar(t, r, journaltest.Bench)
	minutes := []int{5, 1, 2, 6, 6, 3, 4, 7}
	for _, m := range minutes[:3] {
		l.says(m, journaltest.Bench, note("said"))
	}
	receive(t, db, l.shows(0))
	l.raw([]byte("{}")) // no entry, and no id: index 3
	for _, m := range minutes[3:] {
		l.says(m, journaltest.Bench, note("said"))
	}
	receive(t, db, l.shows(1))
	want := []int64{1, 2, 5, 6, 7}
	look := func(how string, db *sqlitelog.DB) {
		t.Helper()
		for from := range int64(len(minutes) + 2) {
			after := slices.DeleteFunc(slices.Clone(want), func(i int64) bool { return i < from })
			if got := fallen(t, db, journaltest.Bench, from); !slices.Equal(got, after) {
				t.Errorf("%s, from %d on: %v fall, want %v", how, from, got, after)
			}
		}
	}
	look("received", db)
	for _, how := range []string{"after a new start", "without marks"} {
		closeDB(t, db)
		reader, err := sqlitelog.OpenToRead(t.Context(), r.path)
		if err != nil {
			t.Fatal(err)
		}
		look(how+", reading", reader)
		closeDB(t, reader)
		db = r.open(t)
		look(how, db)
		forget(t, r)
	}
}

// A reader sees on what a program writes beside it.
func TestFallingIDsBesideAWriter(t *testing.T) {
	r := newRig(t, journaltest.Office)
	db := r.open(t)
	know(t, r, db)
	l := newLiar(t, r, journaltest.Bench)
	l.says(5, journaltest.Bench, note("said"))
	receive(t, db, l.shows(0))
	reader, err := sqlitelog.OpenToRead(t.Context(), r.path)
	if err != nil {
		t.Fatal(err)
	}
	defer closeDB(t, reader)
	if got := fallen(t, reader, journaltest.Bench, 0); len(got) > 0 {
		t.Errorf("%v fall", got)
	}
	l.says(4, journaltest.Bench, note("said"))
	receive(t, db, l.shows(1))
	if got := fallen(t, reader, journaltest.Bench, 0); !slices.Equal(got, []int64{1}) {
		t.Errorf("%v fall, want the second", got)
	}
}

// What a database learns of itself it learns from the hub alone: neither from
// a tablet, nor from a tablet in the hub's name, nor from an id that falls.
func TestOnlyTheHubTeaches(t *testing.T) {
	card := cardState(t, "c1", "A. Customer", 1)
	key := newRig(t, "bench2").keys["bench2"].Verifier()
	lessons := map[string]journal.Draft{
		"withdrawn": withdrawal("a bore"),
		"erased":    {Subject: journal.Of("card", "c1"), By: journaltest.Io, Data: &journal.CardErasing{Card: "c1", Reason: "asked for"}},
		"enrolled": {Subject: journal.Of("device", "bench2"), By: journaltest.Io,
			Data: &journal.Device{Device: "bench2", Name: "bench 2", LogKey: key, ConnectKey: "UDQQQTGJBZOCDDZ6V2UHNRMTK2CCYYMLL55WPOUKOKLODYZJON6KRUXO", Invitation: entryID(9)}},
	}
	learnt := func(db *sqlitelog.DB) map[string]bool {
		_, gone := db.Card(t.Context(), "c1")
		known, _ := db.Key(t.Context(), "bench2")
		return map[string]bool{"withdrawn": !here(t, db, thumbOf(picture("a bore", 100))), "erased": gone != nil, "enrolled": known == key}
	}
	for name, c := range map[string]struct {
		log, as journal.DeviceID
		minute  int
		learns  bool
	}{
		"the hub":                        {journaltest.Office, journaltest.Office, 5, true},
		"the hub, with an id that falls": {journaltest.Office, journaltest.Office, 1, false},
		"a tablet":                       {journaltest.Bench, journaltest.Bench, 5, false},
		"a tablet in the hub’s name":     {journaltest.Bench, journaltest.Office, 5, false},
		"the hub in a tablet's name":     {journaltest.Office, journaltest.Bench, 5, false},
	} {
		t.Run(name, func(t *testing.T) {
			for what, lesson := range lessons {
				r := newRig(t, "pit")
				var err error
				if r.keys["pit"], err = proof.NewKey(journaltest.Rand("pit"), proof.Origin(journaltest.Shop, "pit")); err != nil {
					t.Fatal(err)
				}
				db := r.open(t)
				if err := db.Know(t.Context(), journaltest.Bench, r.keys[journaltest.Bench].Verifier()); err != nil {
					t.Fatal(err)
				}
				appendTo(t, db, picture("a bore", 100))
				if err := db.SaveCard(t.Context(), card); err != nil {
					t.Fatal(err)
				}
				l := newLiar(t, r, c.log)
				l.says(2, c.as, note("begins"))
				l.says(c.minute, c.as, lesson)
				receive(t, db, l.shows(0))
				for k, v := range learnt(db) {
					if v != (c.learns && k == what) {
						t.Errorf("of an entry %s: %s %v", what, k, v)
					}
				}
			}
		})
	}
}
