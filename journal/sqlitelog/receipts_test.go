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

// An entry was received when the first countersignature that covers it was
// made, whatever comes later and in whatever order.
func TestReceivedIsTheFirstCovering(t *testing.T) {
	r := newRig(t, journaltest.Bench)
	db := r.open(t)
	var words []journal.Countersigned
	for i := range 7 {
		appendTo(t, db, notef("remark %d", i))
		r.watch.Advance(time.Minute)
		words = append(words, countersign(t, r, segment(t, db, journaltest.Bench, 0).Checkpoint, journaltest.Bench))
	}
	for _, i := range []int{4, 1, 4} { // sizes 5 and 2
		if err := db.SaveCountersigned(t.Context(), words[i]); err != nil {
			t.Fatal(err)
		}
	}
	again := words[1]
	again.At = again.At.Add(time.Hour) // a second word on the same size does not replace the first
	if err := db.SaveCountersigned(t.Context(), again); err != nil {
		t.Fatal(err)
	}
	want := []time.Time{words[1].At, words[1].At, words[4].At, words[4].At, words[4].At, {}, {}}
	for _, from := range []int64{0, 1, 2, 4, 5, 6, 7} {
		n := from
		for e, err := range db.Entries(t.Context(), journaltest.Bench, from) {
			if err != nil {
				t.Fatal(err)
			}
			if !e.Received.Equal(want[n]) {
				t.Errorf("from %d: entry %d was received at %v, want %v", from, n, e.Received, want[n])
			}
			n++
		}
		if n != 7 {
			t.Errorf("from %d: read up to %d", from, n)
		}
	}
	at := []journal.Position{{Device: journaltest.Bench, Index: 6}, {Device: journaltest.Bench, Index: 3}, {Device: journaltest.Bench, Index: 0},
		{Device: journaltest.Bench, Index: 7}, {Device: journaltest.Bench, Index: -1}, {Device: "nobody", Index: 1}}
	picked, err := db.Pick(t.Context(), at)
	if err != nil || len(picked) != 3 {
		t.Fatalf("of positions that are here and others %d entries are picked: %v", len(picked), err)
	}
	for _, e := range picked {
		if !e.Received.Equal(want[e.Index]) || e.Device != journaltest.Bench {
			t.Errorf("picked: entry %d of %s was received at %v, want %v", e.Index, e.Device, e.Received, want[e.Index])
		}
	}
	last, err := db.LastCountersigned(t.Context(), journaltest.Bench)
	if err != nil || last.Size != 5 || !last.At.Equal(words[4].At) || string(last.Note) != string(words[4].Note) {
		t.Errorf("the last is %+v (%v)", last, err)
	}
	since, err := db.CountersignedSince(t.Context(), journaltest.Bench, 2, 10)
	if err != nil || len(since) != 1 || since[0].Size != 5 {
		t.Errorf("beyond 2 are %+v (%v)", since, err)
	}
	if none, err := db.LastCountersigned(t.Context(), journaltest.Office); err != nil || none.Size != 0 {
		t.Errorf("of the hub’s log is %+v (%v)", none, err)
	}
	if err := db.SaveCountersigned(t.Context(), journal.Countersigned{Device: "nobody", Size: 1}); !errors.Is(err, journal.ErrNoLog) {
		t.Errorf("a word on a log that is not here gave %v", err)
	}
}

// New entries cite the newest countersigned state of the hub's log, also
// after a restart. What does not verify is not taken.
func TestSeen(t *testing.T) {
	r := newRig(t, journaltest.Bench)
	db := r.open(t)
	office := newRig(t, journaltest.Office).open(t)
	var words []journal.Countersigned
	for i := range 3 {
		appendTo(t, office, notef("remark %d", i))
		words = append(words, countersign(t, r, segment(t, office, journaltest.Office, 0).Checkpoint, journaltest.Office))
	}
	cites := func(db *sqlitelog.DB, want int64) {
		t.Helper()
		e := appendTo(t, db, note("what do I cite?"))[0]
		if e.Seen.Size != want {
			t.Fatalf("it cites size %d, want %d", e.Seen.Size, want)
		}
		if want == 0 {
			return
		}
		root, err := office.RootAt(t.Context(), journaltest.Office, want)
		if err != nil || e.Seen.Root != root {
			t.Fatalf("it cites root %x (%v), want %x", e.Seen.Root, err, root)
		}
	}
	cites(db, 0)
	for _, step := range []struct {
		word int
		want int64
	}{{1, 2}, {0, 2}, {2, 3}} {
		if err := db.SaveCountersigned(t.Context(), words[step.word]); err != nil {
			t.Fatal(err)
		}
		cites(db, step.want)
	}
	forged := words[2]
	forged.Size, forged.Note = 99, []byte("fettlebook/k7m2q4xw/office\n99\n")
	if err := db.SaveCountersigned(t.Context(), forged); !errors.Is(err, proof.ErrCheckpoint) {
		t.Errorf("a word without signatures gave %v", err)
	}
	closeDB(t, db)
	cites(r.open(t), 3)
}

func TestMarks(t *testing.T) {
	r := newRig(t, journaltest.Bench)
	db := r.open(t)
	if v, err := db.Mark(t.Context(), "followed"); v != "" || err != nil {
		t.Errorf("no mark gave %q, %v", v, err)
	}
	for _, v := range []string{"1", "2"} {
		if err := db.SetMark(t.Context(), "followed", v); err != nil {
			t.Fatal(err)
		}
	}
	closeDB(t, db)
	if v, err := r.open(t).Mark(t.Context(), "followed"); v != "2" || err != nil {
		t.Errorf("the mark is %q, %v", v, err)
	}
}

func TestQuarantine(t *testing.T) {
	db := newRig(t, journaltest.Bench).open(t)
	for range 2 { // the same bytes come again and again
		if err := db.Quarantine(t.Context(), "bench2", "bent", []byte("bytes")); err != nil {
			t.Fatal(err)
		}
	}
	if err := db.Quarantine(t.Context(), "bench2", "bent too", []byte("other bytes")); err != nil {
		t.Fatal(err)
	}
	list, err := db.Quarantines(t.Context())
	if err != nil || len(list) != 2 || list[0].Reason != "bent" || list[0].Bytes != 5 || list[1].Device != "bench2" || list[1].At != journaltest.Morning().Unix() {
		t.Errorf("got %+v (%v)", list, err)
	}
}
