package uplink_test

import (
	"context"
	"errors"
	"fmt"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/sqlitelog"
	"fettlebook/media"
	"fettlebook/sync/segment"
	"fettlebook/sync/uplink"
)

var errStep = errors.New("this step failed")

// failing is the tablet's database of which a step fails once: before it took hold, or after.
type failing struct {
	*sqlitelog.DB
	step string
	kept bool
	due  *atomic.Bool
}

func (f failing) does(step string, do func() error) error {
	if step != f.step || !f.due.CompareAndSwap(true, false) {
		return do()
	}
	if !f.kept {
		return errStep
	}
	return errors.Join(do(), errStep)
}

func (f failing) Receive(ctx context.Context, s journal.Segment) (head journal.Head, err error) {
	err = f.does("take entries in", func() error { head, err = f.DB.Receive(ctx, s); return err })
	return head, err
}

func (f failing) Segment(ctx context.Context, device journal.DeviceID, from int64, most int) (s journal.Segment, err error) {
	err = f.does("read what is to be sent", func() error { s, err = f.DB.Segment(ctx, device, from, most); return err })
	return s, err
}

func (f failing) SaveCountersigned(ctx context.Context, c journal.Countersigned) error {
	return f.does("keep a countersignature", func() error { return f.DB.SaveCountersigned(ctx, c) })
}

func (f failing) Confirm(ctx context.Context, ref media.Ref, at time.Time) error {
	return f.does("note that an original is there", func() error { return f.DB.Confirm(ctx, ref, at) })
}

func (f failing) Unconfirm(ctx context.Context, ref media.Ref) error {
	return f.does("note that an original is lost", func() error { return f.DB.Unconfirm(ctx, ref) })
}

// Whichever step of a tablet's sync fails, and whether it took hold or not: hub and tablet
// hold the same in the end, and the original is there.
func TestEveryStepOfTheTabletFails(t *testing.T) {
	for _, step := range []string{"take entries in", "read what is to be sent", "keep a countersignature", "note that an original is there", "note that an original is lost"} {
		for _, kept := range []bool{false, true} {
			t.Run(fmt.Sprintf("%s, kept %v", step, kept), func(t *testing.T) {
				t.Parallel()
				synctest.Test(t, func(t *testing.T) {
					r := open(t)
					r.elsewhere(3)
					r.write(r.db, 5)
					ref := r.snap(media.ChunkSize + 5)
					must(t, r.db.Confirm(t.Context(), ref, time.Now())) // and the hub lost it
					r.wants = segment.WantedReply{Originals: [][]byte{ref[:]}}
					due := new(atomic.Bool)
					due.Store(true)
					r.with = func(cfg *uplink.Config) {
						f := failing{r.db, step, kept, due}
						cfg.Log, cfg.Receipts, cfg.Photos = f, f, f
					}
					r.run()
					r.rounds()
					r.rounds()
					r.settled()
					if due.Load() {
						t.Error("the step was not taken")
					}
					if n := r.waiting(); n != 0 || r.asked[segment.Confirm] == 0 {
						t.Errorf("%d originals wait, %d were confirmed", n, r.asked[segment.Confirm])
					}
				})
			})
		}
	}
}

// A hub that lost originals and countersignatures is given both back once in each of its
// runs: those that it had made before, and nothing that it made since.
func TestWanted(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		r := open(t)
		r.elsewhere(3)
		r.write(r.db, 5)
		ref, lost := r.snap(media.ChunkSize+5), r.snap(7)
		must(t, r.db.Confirm(t.Context(), lost, time.Now()))
		r.run()
		r.rounds()
		r.settled()
		if n := r.waiting(); n != 0 {
			t.Fatalf("%d originals wait", n)
		}
		delete(r.originals, lost)
		kept, err := r.db.CountersignedSince(t.Context(), mine, 0, 100)
		must(t, err)
		r.mu.Lock()
		r.pieces = map[int][]byte{} // it is another hub by now, with the disk of a month ago
		r.asked = map[segment.What]int{}
		of := make([]byte, 32) // somebody else's
		r.wants = segment.WantedReply{Originals: [][]byte{ref[:], of, lost[:]}, Receipts: []segment.Window{
			{Device: mine, Until: time.Now().Unix()}, {Device: other, Until: time.Now().Add(-time.Hour).Unix()}}}
		r.began++
		r.mu.Unlock()
		r.rounds()
		r.rounds()
		r.settled()
		if n := r.waiting(); n != 0 || r.asked[segment.Chunk] != 2 || r.asked[segment.Confirm] != 1 || r.asked[segment.Offer] != 2 {
			t.Errorf("%d originals wait, asked %v; want the one brought, and the one that is not here asked for", n, r.asked)
		}
		if len(r.receipts) != len(kept) || string(r.receipts[0]) != string(kept[0].Note) {
			t.Errorf("%d countersignatures were given back, want %d", len(r.receipts), len(kept))
		}
		if r.asked[segment.Wanted] != 1 {
			t.Errorf("it was asked %d times what it wants", r.asked[segment.Wanted])
		}
	})
}
