package hub_test

import (
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"sync/atomic"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/sqlitelog"
	"fettlebook/media"
	"fettlebook/media/durable"
	"fettlebook/media/mediatest"
	"fettlebook/media/photodir"
	"fettlebook/sync/hub"
	"fettlebook/sync/segment"
)

// shelf is a folder of originals on a disk whose nth call fails, or is the last that is made
// until the program that had it is started anew.
type shelf struct {
	atomic.Pointer[photodir.Dir]
	t      *testing.T
	path   string
	due    atomic.Int64 // calls until one fails; none is to fail while it is zero
	stored bool
	dies   bool
	dead   atomic.Bool
}

func (s *shelf) open() {
	s.t.Helper()
	s.dead.Store(false)
	dir, err := photodir.OpenOn(durable.Through(func(_ string, call func() error) error {
		switch {
		case s.dead.Load():
			return errStep
		case s.due.Load() == 0 || s.due.Add(-1) > 0:
			return call()
		}
		s.dead.Store(s.dies)
		if s.stored {
			return errors.Join(call(), errStep)
		}
		return errStep
	}), s.path)
	must(s.t, err)
	s.Store(dir)
}

// Has, Missing, PutChunk and Finish implement [hub.Arrivals]; Drop and DropOlder
// [hub.Unfinished].
func (s *shelf) Has(ctx context.Context, ref media.Ref) (bool, error) { return s.Load().Has(ctx, ref) }
func (s *shelf) Missing(ctx context.Context, ref media.Ref, size int64) ([]int, error) {
	return s.Load().Missing(ctx, ref, size)
}
func (s *shelf) PutChunk(ctx context.Context, ref media.Ref, size int64, i int, data []byte) error {
	return s.Load().PutChunk(ctx, ref, size, i, data)
}
func (s *shelf) Finish(ctx context.Context, ref media.Ref, size int64) (media.Photo, error) {
	return s.Load().Finish(ctx, ref, size)
}
func (s *shelf) Drop(ctx context.Context, ref media.Ref, size int64) error {
	return s.Load().Drop(ctx, ref, size)
}
func (s *shelf) DropOlder(ctx context.Context, since time.Time) error {
	return s.Load().DropOlder(ctx, since)
}

// confirming is the hub's database in which noting that an original arrived fails once.
type confirming struct {
	*sqlitelog.DB
	at *step
}

func (c confirming) Confirm(ctx context.Context, ref media.Ref, at time.Time) error {
	return c.at.does("confirm", func() error { return c.DB.Confirm(ctx, ref, at) })
}

// pieces returns the nth photograph, which travels in two pieces.
func pieces(picture []byte, n int) []byte {
	whole := slices.Clone(picture[:2])
	for i := range 5 {
		comment := make([]byte, 2+0xfff0)
		comment[0], comment[1] = 0xff, 0xfe
		binary.BigEndian.PutUint16(comment[2:], 0xfff0)
		binary.BigEndian.PutUint32(comment[4:], uint32(n*8+i))
		whole = append(whole, comment...)
	}
	return append(whole, picture[2:]...)
}

// Whatever the hub does to its disk for an original on its way fails, in whichever way, or is
// the last that it does before it is killed: what it had acknowledged is there, and the tablet
// that asks what is missing brings the rest.
func TestEveryStepOfAnOriginalFails(t *testing.T) {
	journaltest.Long(t)
	on := &shelf{t: t, path: filepath.Join(t.TempDir(), "photos")}
	on.open()
	at := &step{name: "confirm"}
	r := openWith(t, func(cfg *hub.Config) {
		cfg.Arrivals, cfg.Pieces, cfg.Named = on, on, confirming{cfg.Log.(*sqlitelog.DB), at}
	})
	tab := r.joined("t1aaaaaa")
	const most = 300
	picture, thumb := mediatest.JPEG(mediatest.Corners(80, 60), 85, nil), []byte("a thumbnail")
	for n := range most {
		tab.add(tab.entry(&journal.Snapshot{}, journal.Photo{Ref: media.RefOf(pieces(picture, n)), Thumb: media.RefOf(thumb), Role: "bore masked"}))
	}
	named := tab.segment(0, most)
	named.Thumbs[media.RefOf(thumb)] = thumb
	r.send(tab.device, r.encode(named))
	r.countersigned(tab, most)

	n := 0
	// bring brings an original as a tablet does, and returns the pieces that were acknowledged.
	bring := func(whole []byte) (kept []int, err error) {
		ref := media.RefOf(whole)
		q := segment.PhotoAsk{Ref: ref[:], Size: int64(len(whole))}
		var reply segment.PhotoReply
		if err := r.ask(tab.device, segment.Offer, q, &reply); err != nil || reply.Here {
			return nil, err
		}
		for _, i := range reply.Missing {
			piece := q
			piece.Index, piece.Data = i, whole[i*media.ChunkSize:min(len(whole), (i+1)*media.ChunkSize)]
			if err := r.ask(tab.device, segment.Chunk, piece, nil); err != nil {
				return kept, err
			}
			kept = append(kept, i)
		}
		err = r.ask(tab.device, segment.Confirm, q, &reply)
		if err == nil && !reply.Here {
			err = errors.New("it is not here")
		}
		return kept, err
	}
	try := func(name string, fired func() bool) bool {
		t.Helper()
		if n == most {
			t.Fatal("there are more steps than photographs")
		}
		whole := pieces(picture, n)
		n++
		kept, err := bring(whole)
		failed := fired()
		switch { // one that cannot be linked is renamed, so nobody need hear of it
		case err == nil:
			must(t, on.Load().Verify(t.Context(), media.RefOf(whole)))
		case !failed:
			t.Errorf("%s: nothing failed, and the tablet hears %v", name, err)
		}
		on.due.Store(0)
		at.due.Store(false)
		if on.dead.Load() {
			on.open()
		}
		missing, err := on.Missing(t.Context(), media.RefOf(whole), int64(len(whole)))
		must(t, err)
		for _, i := range kept {
			if slices.Contains(missing, i) {
				t.Errorf("%s: piece %d was acknowledged and is not here", name, i)
			}
		}
		if _, err := bring(whole); err != nil {
			t.Errorf("%s: brought again: %v", name, err)
		}
		if err := on.Load().Verify(t.Context(), media.RefOf(whole)); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		lacking, err := r.db.Lacking(t.Context(), media.Ref{}, most)
		must(t, err)
		if slices.Contains(lacking, media.RefOf(whole)) {
			t.Errorf("%s: nothing is noted of its arrival", name)
		}
		return failed
	}
	for _, killed := range []bool{false, true} { // before it took hold, and after it did and was the last
		on.stored, on.dies = killed, killed
		for nth := int64(1); ; nth++ {
			on.due.Store(nth)
			if !try(fmt.Sprintf("call %d, killed %v", nth, killed), func() bool { return on.due.Load() == 0 }) {
				t.Logf("killed %v: %d calls", killed, nth-1)
				break
			}
			if t.Failed() {
				return
			}
		}
	}
	on.dies = false
	for _, at.kept = range []bool{false, true} {
		at.due.Store(true)
		try(fmt.Sprintf("noting that it arrived, kept %v", at.kept), func() bool { return !at.due.Load() })
	}
}
