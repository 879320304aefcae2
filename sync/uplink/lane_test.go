package uplink_test

import (
	"fmt"
	"slices"
	"testing"
	"testing/synctest"

	"fettlebook/journal"
	"fettlebook/media"
	"fettlebook/sync/segment"
	"fettlebook/sync/uplink"
)

// snap writes an entry with a photograph whose original has so many bytes.
func (r *rig) snap(size int) media.Ref {
	r.t.Helper()
	original, thumb := make([]byte, size), []byte(fmt.Sprint("a thumbnail of ", size))
	for i := range original {
		original[i] = byte(i >> 3)
	}
	shot := journal.Photo{Ref: media.RefOf(original), Thumb: media.RefOf(thumb), Role: "bore masked"}
	data := &journal.Snapshot{}
	journal.Attach(data, shot)
	_, err := r.db.Append(r.t.Context(), journal.Draft{Subject: "job/4f7kk2m9", By: "io", Data: data, Thumbs: [][]byte{thumb}})
	must(r.t, err)
	r.originals[shot.Ref] = original
	return shot.Ref
}

func (r *rig) waiting() int {
	r.t.Helper()
	refs, err := r.db.Unconfirmed(r.t.Context())
	must(r.t, err)
	if n := r.up.Status().PhotosWaiting; n != len(refs) {
		r.t.Errorf("the status says that %d originals wait, and %d do", n, len(refs))
	}
	return len(refs)
}

// An original goes up in pieces, after a cut only what is missing, and counts
// as there when the hub says so.
func TestLane(t *testing.T) {
	const pieces = 4
	for after := range pieces + 2 {
		t.Run(fmt.Sprintf("cut after %d", after), func(t *testing.T) {
			t.Parallel()
			synctest.Test(t, func(t *testing.T) {
				r := open(t)
				ref := r.snap((pieces-1)*media.ChunkSize + 5)
				sent := 0
				r.cut = func(what segment.What) error {
					if what == segment.Chunk || what == segment.Confirm {
						if sent++; sent == after+1 {
							return uplink.ErrNoNetwork
						}
					}
					return nil
				}
				r.run()
				r.rounds()
				r.settled()
				if n := r.waiting(); n != 0 {
					t.Errorf("%d originals wait", n)
				}
				if got := slices.Concat(r.pieces[0], r.pieces[1], r.pieces[2], r.pieces[3]); media.RefOf(got) != ref {
					t.Errorf("%d bytes arrived, other ones than the original's", len(got))
				}
				if r.asked[segment.Chunk] != pieces {
					t.Errorf("%d pieces travelled, want %d", r.asked[segment.Chunk], pieces)
				}
			})
		})
	}
}

// What the hub says wrongly of one original confirms nothing and holds up
// neither entries nor the next original.
func TestLaneAndAWrongHub(t *testing.T) {
	for name, v := range map[string]struct {
		what segment.What
		say  any
	}{
		"wants a piece that is none": {segment.Offer, segment.PhotoReply{Missing: []int{99}}},
		"wants a negative piece":     {segment.Offer, segment.PhotoReply{Missing: []int{-1}}},
		"never has it whole":         {segment.Confirm, segment.PhotoReply{}},
		"refuses it":                 {segment.Offer, segment.Answer{Refused: "no entry names it"}},
		"answers with garbage":       {segment.Offer, []byte("garbage")},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			synctest.Test(t, func(t *testing.T) {
				r := open(t)
				bad := r.snap(100)
				r.snap(200)
				honest := map[media.Ref]bool{}
				r.offered[v.what] = func(q segment.PhotoAsk) any {
					if media.Ref(q.Ref) == bad {
						return v.say
					}
					honest[media.Ref(q.Ref)] = true
					return segment.PhotoReply{Here: true}
				}
				if v.what == segment.Confirm {
					r.offered[segment.Offer] = func(segment.PhotoAsk) any { return segment.PhotoReply{} }
				}
				r.run()
				r.rounds()
				r.settled()
				refs, err := r.db.Unconfirmed(t.Context())
				must(t, err)
				if !slices.Equal(refs, []media.Ref{bad}) || len(honest) != 1 {
					t.Errorf("waiting: %v, want the one that the hub is wrong about", refs)
				}
			})
		})
	}
}

// An original is not offered before the hub has the entry that names it, however fast
// entries come: it would refuse it, and hear of it again only much later.
func TestLaneBehindTheEntries(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		r := open(t)
		r.snap(100)
		more, early := 3, 0
		r.cut = func(what segment.What) error {
			if what == segment.Send && more > 0 { // somebody takes the next one meanwhile
				more--
				r.snap(200 + more)
			}
			return nil
		}
		r.offered[segment.Offer] = func(q segment.PhotoAsk) any {
			named, err := r.hub.Names(t.Context(), media.Ref(q.Ref))
			must(t, err)
			if !named {
				early++
				return segment.Answer{Refused: "no entry names it"}
			}
			return segment.PhotoReply{Here: true}
		}
		r.run()
		synctest.Wait() // and no timer runs off
		if n := r.waiting(); n != 0 || early != 0 || more != 0 {
			t.Errorf("%d originals wait, %d were offered before their entries; %d were not taken", n, early, more)
		}
	})
}

// An original that is not here is no longer waited for when the hub has it.
func TestLaneWithoutTheOriginal(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		r := open(t)
		delete(r.originals, r.snap(100))
		here := false
		r.offered[segment.Offer] = func(segment.PhotoAsk) any { return segment.PhotoReply{Here: here} }
		r.run()
		r.rounds()
		if n := r.waiting(); n != 1 {
			t.Errorf("%d originals wait, want the one that is nowhere", n)
		}
		r.mu.Lock()
		here = true
		r.mu.Unlock()
		r.rounds()
		if n := r.waiting(); n != 0 {
			t.Errorf("%d originals wait, though the hub has it", n)
		}
	})
}
