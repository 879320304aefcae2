package uplink_test

import (
	"context"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"fettlebook/media"
	"fettlebook/sync/segment"
	"fettlebook/sync/uplink"
)

// Whoever looks at a tablet hears within three seconds that the hub went away or
// came back: it says so, or it only is silent.
func TestAway(t *testing.T) {
	for name, fails := range map[string]func(context.Context) error{
		"the line is closed": func(context.Context) error { return uplink.ErrNoNetwork },
		"the line is silent": func(ctx context.Context) error { <-ctx.Done(); return ctx.Err() },
	} {
		t.Run(name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				r := open(t)
				var gone atomic.Bool
				r.alive = func(ctx context.Context) error {
					if gone.Load() {
						return fails(ctx)
					}
					return nil
				}
				r.run()
				r.rounds()
				if r.up.Status().Away {
					t.Fatal("the hub is away from the beginning")
				}
				for _, away := range []bool{true, false, true} {
					changed, at := r.up.Changed(), time.Now()
					gone.Store(away)
					<-changed
					if s := r.up.Status(); s.Away != away || time.Since(at) > 3*time.Second {
						t.Errorf("away %v after %s, want %v", s.Away, time.Since(at), away)
					}
				}
			})
		})
	}
}

// While originals go up a tablet says how many of how many, and how much of them
// the hub has already.
func TestLaneTells(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := open(t)
		r.snap(2*media.ChunkSize + 5)
		r.snap(100)
		const all = 2*media.ChunkSize + 105
		var told []uplink.Lane
		r.cut = func(what segment.What) error {
			if what == segment.Chunk {
				told = append(told, r.up.Status().Lane)
			}
			return nil
		}
		r.run()
		r.rounds()
		r.settled()
		if len(told) == 0 || told[0] != (uplink.Lane{Of: 2, Total: all}) {
			t.Errorf("before the first piece: %+v", told)
		}
		for i, l := range told[1:] {
			if l.Sent <= told[i].Sent || l.Sent >= all || l.Of != 2 || l.Total != all {
				t.Errorf("after piece %d: %+v", i+1, l)
			}
		}
		if s := r.up.Status(); s.Lane != (uplink.Lane{}) || s.PhotosWaiting != 0 {
			t.Errorf("when all are there: %+v", s)
		}
	})
}
