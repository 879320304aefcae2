package sqlitelog_test

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/proof"
	"fettlebook/journal/sqlitelog"
)

// stage is a bench's database with some history, and what it could take in.
type stage struct {
	*rig
	*faults
	db     *sqlitelog.DB
	other  journal.Segment   // of bench2, its first entries
	pieces []journal.Segment // the same entries, a segment each
	signed journal.Countersigned
	cards  []journal.CardState
}

// setStage appends to the own log, receives the begin of the hub's, and
// makes more to take in.
func setStage(t testing.TB) *stage {
	t.Helper()
	s := &stage{rig: newRig(t, journaltest.Bench)}
	s.faults, s.rig.fault = newFaults(t)
	s.db = s.open(t)

	office := newRig(t, journaltest.Office).open(t)
	appendTo(t, office, note("the hub’s first"), note("the hub’s second"))
	receive(t, s.db, segment(t, office, journaltest.Office, 0))
	s.signed = countersign(t, s.rig, segment(t, office, journaltest.Office, 0).Checkpoint, journaltest.Office)

	second := newRig(t, "bench2").open(t)
	appendTo(t, second, note("one"), picture("the second bench's", 900), note("three"))
	s.other, s.pieces = segment(t, second, "bench2", 0), batches(t, second, "bench2")
	if err := s.db.Know(t.Context(), "bench2", s.keys["bench2"].Verifier()); err != nil {
		t.Fatal(err)
	}
	appendTo(t, s.db, note("first"), picture("a bore", 2000), note("third"))
	s.cards = []journal.CardState{cardState(t, "c1", "old details", 1), cardState(t, "c1", "new details", 2)}
	if err := s.db.SaveCard(t.Context(), s.cards[0]); err != nil {
		t.Fatal(err)
	}
	return s
}

// countersign is the hub's word on a checkpoint.
func countersign(t testing.TB, r *rig, checkpoint []byte, device journal.DeviceID) journal.Countersigned {
	t.Helper()
	key, err := proof.Verifier(r.keys[device].Verifier())
	if err != nil {
		t.Fatal(err)
	}
	c, err := proof.Open(checkpoint, key)
	if err != nil {
		t.Fatal(err)
	}
	hub, err := proof.NewKey(journaltest.Rand("the hub’s word"), proof.CosignerName(journaltest.Shop))
	if err != nil {
		t.Fatal(err)
	}
	at := r.watch.Now().Truncate(time.Second).UTC()
	both, err := proof.Countersign(c, key, hub.Cosigner(func() time.Time { return at }))
	if err != nil {
		t.Fatal(err)
	}
	return journal.Countersigned{Device: device, Size: c.Size, At: at, Note: both}
}

// deed is something that writes. has counts how often it is in the database;
// what appends counts the whole own log beyond the stage's.
type deed struct {
	name    string
	appends bool
	do      func(context.Context, *stage) error
	has     func(testing.TB, *stage, *sqlitelog.DB) int
}

func deeds() []deed {
	appended := func(d journal.Draft) func(context.Context, *stage) error {
		return func(ctx context.Context, s *stage) error {
			_, err := s.db.Append(ctx, d)
			return err
		}
	}
	beyond := func(device journal.DeviceID, base, each int) func(testing.TB, *stage, *sqlitelog.DB) int {
		return func(t testing.TB, _ *stage, db *sqlitelog.DB) int {
			n := len(read(t, db, device)) - base
			if n%each != 0 {
				t.Fatalf("%d of %d entries are there", n, each)
			}
			return n / each
		}
	}
	own := beyond(journaltest.Bench, 3, 1)
	return []deed{
		{"append", true, appended(note("one more")), own},
		{"append with a photo", true, appended(picture("another bore", 3000)), own},
		{"append a withdrawal", true, appended(withdrawal("a bore")), own},
		{"receive", false, func(ctx context.Context, s *stage) error {
			_, err := s.db.Receive(ctx, s.other)
			return err
		}, beyond("bench2", 0, 3)},
		{"receive together", false, func(ctx context.Context, s *stage) error {
			_, err := s.db.ReceiveAll(ctx, s.pieces)
			return err
		}, beyond("bench2", 0, 3)},
		{"save countersigned", false, func(ctx context.Context, s *stage) error {
			return s.db.SaveCountersigned(ctx, s.signed)
		}, func(t testing.TB, s *stage, db *sqlitelog.DB) int {
			list, err := db.CountersignedSince(t.Context(), journaltest.Office, 0, 100)
			if err != nil {
				t.Fatal(err)
			}
			return len(list)
		}},
		{"save card", false, func(ctx context.Context, s *stage) error {
			return s.db.SaveCard(ctx, s.cards[1])
		}, func(t testing.TB, s *stage, db *sqlitelog.DB) int {
			c, err := db.Card(t.Context(), "c1")
			if err != nil {
				t.Fatal(err)
			}
			return slices.IndexFunc(s.cards, func(s journal.CardState) bool { return s.Card == c })
		}},
	}
}

// Whatever operation fails, and whether the disk kept it or not, nothing is
// there by half, and the next try writes it.
func TestEveryOperationFails(t *testing.T) {
	for _, d := range journaltest.Rows(t, 3, deeds()) {
		for _, kept := range []bool{false, true} {
			t.Run(fmt.Sprintf("%s, kept %v", d.name, kept), func(t *testing.T) {
				const enough = 100
				n := 0
				for ; n < enough && failsAt(t, d, n, kept, ""); n++ {
				}
				if n == 0 || n == enough {
					t.Errorf("%d operations failed before a clean run", n)
				}
			})
		}
	}
}

// The commit itself fails: in one the disk did not keep it, in the other it
// did and said otherwise.
func TestCommitFails(t *testing.T) {
	for _, d := range deeds()[1:5] { // those that need a transaction
		for _, kept := range []bool{false, true} {
			t.Run(fmt.Sprintf("%s, kept %v", d.name, kept), func(t *testing.T) {
				if !failsAt(t, d, 0, kept, "commit") {
					t.Error("there was no commit to fail")
				}
			})
		}
	}
}

// failsAt does the deed with its nth operation failing, checks all, and does
// it again. It reports whether anything failed.
func failsAt(t *testing.T, d deed, n int, kept bool, only string) bool {
	t.Helper()
	s := setStage(t)
	s.faults.fail(n, kept, only)
	err := d.do(t.Context(), s)
	fired := s.faults.rest()
	if fired != errors.Is(err, errFault) || !fired && err != nil {
		t.Fatalf("operation %d failed: %v, and the deed ended with %v", n, fired, err)
	}
	s.check(t)
	checkLog(t, s.path, "bench2", s.keys["bench2"])
	first := d.has(t, s, s.db)
	switch {
	case !fired && first != 1:
		t.Fatalf("done once, it is there %d times", first)
	case fired && first > 0 && !kept:
		t.Fatalf("operation %d failed and the deed is there", n)
	case first > 1:
		t.Fatalf("operation %d failed and the deed is there %d times", n, first)
	}

	// Once more in the same run, and on after a restart. An append that was
	// kept and is repeated by its caller stands there twice, as it should.
	if err := d.do(t.Context(), s); err != nil {
		t.Fatalf("after operation %d had failed, the next try ended with %v", n, err)
	}
	want := 1
	if d.appends {
		want = first + 1
	}
	appendTo(t, s.db, note("and on"))
	closeDB(t, s.db)
	s.rig.fault = ""
	db := s.open(t)
	appendTo(t, db, note("and on after a restart"))
	if d.appends {
		want += 2
	}
	s.check(t)
	checkLog(t, s.path, "bench2", s.keys["bench2"])
	if got := d.has(t, s, db); got != want {
		t.Fatalf("after operation %d had failed, the deed is there %d times, want %d", n, got, want)
	}
	return fired
}
