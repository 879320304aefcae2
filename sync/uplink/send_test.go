package uplink_test

import (
	"bytes"
	"context"
	"fmt"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"fettlebook/journal"
	"fettlebook/media"
	"fettlebook/sync/segment"
	"fettlebook/sync/uplink"
)

// tardy is a line on which an answer takes a while. Like a hub it keeps segments in
// order that are under way at once.
type tardy struct {
	*rig
	takes time.Duration
	fails func(first int64) bool // nil: none does

	mu          sync.Mutex
	next        int64 // entry that is expected
	turned      chan struct{}
	under, most int
}

// Ask implements [uplink.Line].
func (l *tardy) Ask(ctx context.Context, what segment.What, data []byte) ([]byte, error) {
	if what != segment.Send {
		return l.rig.Ask(ctx, what, data)
	}
	var q segment.GiveAsk
	if err := l.codec.Unmarshal(data, &q); err != nil {
		return nil, err
	}
	s, err := l.codec.Decode(q.Segment)
	if err != nil {
		return nil, err
	}
	l.count(1)
	defer l.count(-1)
	<-time.After(l.takes)
	for {
		l.mu.Lock()
		mine, turned := s.First <= l.next, l.turned
		l.mu.Unlock()
		if mine {
			break
		}
		select {
		case <-turned:
		case <-ctx.Done():
			return nil, fmt.Errorf("%w: %w", uplink.ErrNoNetwork, ctx.Err())
		}
	}
	if l.fails != nil && l.fails(s.First) {
		return nil, fmt.Errorf("%w: cut", uplink.ErrNoNetwork)
	}
	answer, err := l.rig.Ask(ctx, what, data)
	l.mu.Lock()
	defer l.mu.Unlock()
	l.next = max(l.next, s.End())
	close(l.turned)
	l.turned = make(chan struct{})
	return answer, err
}

func (l *tardy) count(n int) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.under += n
	l.most = max(l.most, l.under)
}

// backlog writes entries that need so many segments.
func (r *rig) backlog(segments int) {
	r.t.Helper()
	for i := range segments {
		var d journal.Draft
		data := &journal.Snapshot{}
		for j := range journal.MaxPhotos {
			thumb := bytes.Repeat([]byte{byte(i), byte(j), 1}, journal.MaxThumbBytes/3)
			data.Photos = append(data.Photos, journal.Photo{Ref: media.RefOf(thumb[1:]), Thumb: media.RefOf(thumb), Role: "masked bores"})
			d.Thumbs = append(d.Thumbs, thumb)
		}
		d.Subject, d.By, d.Data = "job/4f7kk2m9", "io", data
		_, err := r.db.Append(r.t.Context(), d)
		must(r.t, err)
	}
}

// A quick line carries several segments at once, a slow one carries one, and a cut in the
// middle of them loses and doubles nothing.
func TestSegmentsUnderWay(t *testing.T) {
	for name, v := range map[string]struct {
		takes time.Duration
		cut   bool
		most  int
	}{
		"quick":         {20 * time.Millisecond, false, segment.UnderWay},
		"slow":          {1500 * time.Millisecond, false, 1},
		"quick and cut": {20 * time.Millisecond, true, segment.UnderWay},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			synctest.Test(t, func(t *testing.T) {
				r := open(t)
				r.backlog(9)
				line := &tardy{rig: r, takes: v.takes, turned: make(chan struct{})}
				if v.cut {
					cut := false
					line.fails = func(first int64) bool {
						was := cut
						cut = cut || first == 5
						return !was && cut
					}
				}
				r.line = line
				r.run()
				r.rounds()
				r.settled()
				if line.most != v.most {
					t.Errorf("%d segments were under way at once, want %d", line.most, v.most)
				}
				if n := len(r.sent); n != 9 {
					t.Errorf("the hub took %d segments, want 9", n)
				}
			})
		})
	}
}
