package sqlitelog_test

import (
	"context"
	"sync"
	"sync/atomic"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/sqlitelog"
)

const bench2 journal.DeviceID = "bench2"

// knowing opens a device that knows the keys of all.
func knowing(t *testing.T, own journal.DeviceID) (*rig, *sqlitelog.DB) {
	t.Helper()
	r := newRig(t, own)
	db := r.open(t)
	know(t, r, db)
	return r, db
}

func know(t *testing.T, r *rig, db *sqlitelog.DB) {
	t.Helper()
	for device, key := range r.keys {
		if err := db.Know(t.Context(), device, key.Verifier()); err != nil {
			t.Fatal(err)
		}
	}
}

// bring carries what is new of a log from one device to another.
func bring(t *testing.T, from, to *sqlitelog.DB, device journal.DeviceID) {
	t.Helper()
	have := int64(len(read(t, to, device)))
	receive(t, to, segment(t, from, device, have))
}

// cites fails the test unless the next entry cites exactly so much of each log,
// with the roots that stand in the logs of those who wrote them.
func cites(t *testing.T, db *sqlitelog.DB, logs map[journal.DeviceID]*sqlitelog.DB, want map[journal.DeviceID]int64) {
	t.Helper()
	supposed, err := db.Suppose(t.Context(), note("supposed"))
	if err != nil {
		t.Fatal(err)
	}
	guess, err := journal.Decode(supposed.Bytes)
	if err != nil {
		t.Fatal(err)
	}
	e := appendTo(t, db, note("citing"))[0]
	for _, after := range []journal.After{e.After, guess.After} {
		if len(after) != len(want) {
			t.Fatalf("cites %+v, want %v", after, want)
		}
		for device, size := range want {
			p := after.Of(device)
			root, err := logs[device].RootAt(t.Context(), device, size)
			if err != nil {
				t.Fatal(err)
			}
			if p.Size != size || !p.Fits(root) {
				t.Fatalf("of %s %+v is cited, want %d entries with root %x", device, p, size, root)
			}
		}
	}
}

// spent is a context that ends after it was asked so often whether it did.
type spent struct {
	context.Context
	left atomic.Int64
	over chan struct{}
	once sync.Once
}

func newSpent(ctx context.Context, after int64) *spent {
	s := &spent{Context: ctx, over: make(chan struct{})}
	s.left.Store(after)
	return s
}

func (s *spent) Done() <-chan struct{} {
	if s.left.Add(-1) < 0 {
		s.once.Do(func() { close(s.over) })
	}
	return s.over
}

func (s *spent) Err() error {
	select {
	case <-s.Done():
		return context.Canceled
	default:
		return nil
	}
}

// Wherever whoever receives a segment is stopped, the next entry cites all that
// is here: what lies on the disk was seen, and citing less is doubt.
func TestCitingAfterAReceiveThatWasStopped(t *testing.T) {
	_, lift := knowing(t, journaltest.Bench)
	_, pit := knowing(t, bench2)
	logs := map[journal.DeviceID]*sqlitelog.DB{journaltest.Bench: lift}
	stopped := 0
	for after := int64(0); ; after++ {
		have := int64(len(read(t, pit, journaltest.Bench)))
		if have == int64(len(read(t, lift, journaltest.Bench))) {
			appendTo(t, lift, note("seen"))
		}
		_, err := pit.Receive(newSpent(t.Context(), after), segment(t, lift, journaltest.Bench, have))
		here := int64(len(read(t, pit, journaltest.Bench)))
		want := make(map[journal.DeviceID]int64)
		if here > 0 {
			want[journaltest.Bench] = here
		}
		cites(t, pit, logs, want)
		if err == nil && here > have {
			break
		}
		stopped++
	}
	if stopped == 0 {
		t.Error("nothing was stopped, so this test shows nothing")
	}
}

// An entry cites of every other log what is here, as far as all that is cited
// therein is here, and it does after a new start and without any mark.
func TestEntriesCiteWhatIsHeld(t *testing.T) {
	_, office := knowing(t, journaltest.Office)
	_, lift := knowing(t, journaltest.Bench)
	r, pit := knowing(t, bench2)
	logs := map[journal.DeviceID]*sqlitelog.DB{journaltest.Office: office, journaltest.Bench: lift, bench2: pit}

	cites(t, pit, logs, nil)
	appendTo(t, lift, note("one"), note("two"))
	bring(t, lift, pit, journaltest.Bench)
	cites(t, pit, logs, map[journal.DeviceID]int64{journaltest.Bench: 2})

	appendTo(t, office, note("from the office"))
	bring(t, office, lift, journaltest.Office)
	appendTo(t, lift, note("having seen the office"), note("and more"))
	bring(t, lift, pit, journaltest.Bench)
	cites(t, pit, logs, map[journal.DeviceID]int64{journaltest.Bench: 2}) // the office's log is not here
	bring(t, office, pit, journaltest.Office)
	all := map[journal.DeviceID]int64{journaltest.Bench: 4, journaltest.Office: 1}
	cites(t, pit, logs, all)

	closeDB(t, pit)
	pit = r.open(t)
	cites(t, pit, logs, all)
	closeDB(t, pit)
	forget(t, r)
	pit = r.open(t)
	cites(t, pit, logs, all)
}

// Logs that cite each other and come back whole to a device that lost both
// are taken in at once, in any order, and cited when both are here.
func TestLogsThatCiteEachOtherComeBack(t *testing.T) {
	_, lift := knowing(t, journaltest.Bench)
	_, pit := knowing(t, bench2)
	for range 3 {
		appendTo(t, lift, note("at the lift"))
		bring(t, lift, pit, journaltest.Bench)
		appendTo(t, pit, note("in the pit"))
		bring(t, pit, lift, bench2)
	}
	_, office := knowing(t, journaltest.Office)
	logs := map[journal.DeviceID]*sqlitelog.DB{journaltest.Bench: lift, bench2: pit}
	bring(t, lift, office, journaltest.Bench)
	cites(t, office, logs, map[journal.DeviceID]int64{journaltest.Bench: 1}) // the first had seen nothing
	bring(t, pit, office, bench2)
	cites(t, office, logs, map[journal.DeviceID]int64{journaltest.Bench: 3, bench2: 3})
}

// A log that the register closed is cited once more, so that it is known how
// much of it was held, and then left out; beyond the entry that the register
// names nothing of it is cited.
func TestClosedLogsAreLeftOut(t *testing.T) {
	_, office := knowing(t, journaltest.Office)
	_, lift := knowing(t, journaltest.Bench)
	r, pit := knowing(t, bench2)
	logs := map[journal.DeviceID]*sqlitelog.DB{journaltest.Office: office, journaltest.Bench: lift}
	appendTo(t, lift, note("one"), note("two"), note("three"))
	bring(t, lift, pit, journaltest.Bench)
	onBench := journal.Of("device", string(journaltest.Bench))
	appendTo(t, office, journal.Draft{Subject: onBench, By: journaltest.Io, Data: &journal.Revocation{Device: journaltest.Bench, Reason: "lost"}})
	bring(t, office, pit, journaltest.Office)
	cites(t, pit, logs, map[journal.DeviceID]int64{journaltest.Bench: 3, journaltest.Office: 1})
	cites(t, pit, logs, map[journal.DeviceID]int64{journaltest.Office: 1})

	appendTo(t, office, journal.Draft{Subject: onBench, By: journaltest.Io, Data: &journal.LogClosing{Device: journaltest.Bench, Counts: 2}})
	bring(t, office, pit, journaltest.Office)
	cites(t, pit, logs, map[journal.DeviceID]int64{journaltest.Bench: 2, journaltest.Office: 2})
	cites(t, pit, logs, map[journal.DeviceID]int64{journaltest.Office: 2})
	closeDB(t, pit)
	forget(t, r)
	pit = r.open(t)
	cites(t, pit, logs, map[journal.DeviceID]int64{journaltest.Bench: 2, journaltest.Office: 2})
}

// forget deletes all marks, which may be lost.
func forget(t *testing.T, r *rig) {
	t.Helper()
	pool := rawPool(t, r.path, "")
	defer pool.Close()
	if _, err := pool.Exec(`DELETE FROM marks`); err != nil {
		t.Fatal(err)
	}
}
