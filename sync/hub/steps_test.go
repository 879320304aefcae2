package hub_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"sync/atomic"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/sqlitelog"
	"fettlebook/sync/hub"
	"fettlebook/sync/segment"
)

var errStep = errors.New("this step failed")

// step is a step of the intake that is to fail once: before it took hold, or after.
type step struct {
	name string
	kept bool
	due  atomic.Bool
}

// does does a step, unless it is the one that fails now.
func (s *step) does(name string, do func() error) error {
	if name != s.name || !s.due.CompareAndSwap(true, false) {
		return do()
	}
	if !s.kept {
		return errStep
	}
	return errors.Join(do(), errStep)
}

// failing is the hub's database with a step that fails.
type failing struct {
	*sqlitelog.DB
	at *step
}

func (f failing) Receive(ctx context.Context, s journal.Segment) (head journal.Head, err error) {
	err = f.at.does("commit", func() error { head, err = f.DB.Receive(ctx, s); return err })
	return head, err
}

func (f failing) ReceiveAll(ctx context.Context, list []journal.Segment) (head journal.Head, err error) {
	err = f.at.does("commit together", func() error { head, err = f.DB.ReceiveAll(ctx, list); return err })
	return head, err
}

func (f failing) SaveCountersigned(ctx context.Context, c journal.Countersigned) error {
	return f.at.does("countersign", func() error { return f.DB.SaveCountersigned(ctx, c) })
}

// Whichever step of the intake fails, and whether it took hold or not: what is
// countersigned is in the database and in the stream, and what the device sends again is
// there once, also for a hub that has nothing but its stream.
func TestEveryStepOfTheIntakeFails(t *testing.T) {
	for _, name := range []string{"commit", "commit together", "stream", "countersign"} {
		for _, kept := range []bool{false, true} {
			t.Run(fmt.Sprintf("%s, kept %v", name, kept), func(t *testing.T) {
				at := &step{name: name, kept: kept}
				r := openWith(t, func(cfg *hub.Config) {
					f := failing{cfg.Log.(*sqlitelog.DB), at}
					cfg.Log, cfg.Receipts = f, f
				})
				way := func(publish func() error) error { return at.does("stream", publish) }
				tab := r.joined("t1aaaaaa")
				tab.write(2)
				r.send(tab.device, r.encode(tab.segment(0, 2)))
				r.countersigned(tab, 2)
				r.publishing.Store(&way)
				at.due.Store(true)
				for try := 0; at.due.Load(); try++ { // until two go together where they are to
					if try == 50 {
						t.Fatal("the step was not taken")
					}
					n := len(tab.log)
					tab.write(7)
					done := make(chan struct{})
					go func() { // it waits for what comes before it
						defer close(done)
						r.send(tab.device, r.encode(tab.segment(n+3, n+7)))
					}()
					r.send(tab.device, r.encode(tab.segment(n, n+3)))
					<-done
				}
				if n := r.size(tab); n > r.held(tab) {
					t.Errorf("%d entries are countersigned and %d in the database", n, r.held(tab))
				}
				r.publishing.Store(nil)
				for n := len(tab.log); r.size(tab) < int64(n); { // as a tablet does, from the hub's mark on
					r.send(tab.device, r.encode(tab.segment(min(int(r.held(tab)), n-1), n)))
				}
				r.countersigned(tab, len(tab.log))
				r.whole(tab)
				r.restart(database...) // what it knows now it has from the stream
				r.ready()
				r.whole(tab)
			})
		}
	}
}

// held is how many entries of a log lie in the database.
func (r *rig) held(tab *tablet) int64 {
	r.t.Helper()
	head, err := r.db.Head(r.t.Context(), tab.device)
	must(r.t, err)
	return head.Size
}

// whole fails unless the log is what the tablet wrote, each entry once.
func (r *rig) whole(tab *tablet) {
	r.t.Helper()
	i := 0
	for l, err := range r.db.Entries(r.t.Context(), tab.device, 0) {
		must(r.t, err)
		if i >= len(tab.log) || !bytes.Equal(l.Bytes, tab.log[i]) {
			r.t.Fatalf("entry %d is another", i)
		}
		i++
	}
	if i != len(tab.log) {
		r.t.Errorf("%d entries are here, want %d", i, len(tab.log))
	}
	if q := r.quarantined(tab.device); len(q) > 0 {
		r.t.Errorf("in quarantine: %q", q)
	}
}

// A bit that flips in the message store's files, or a tail that is cut off them, costs no
// entry: the database has all, and where that is lost as well the tablets bring again what
// the store does not give. Nothing that was changed is taken in.
func TestADamagedStream(t *testing.T) {
	ways := map[string]func(raw []byte) []byte{
		"a bit flips":            func(raw []byte) []byte { raw[len(raw)/2] ^= 4; return raw },
		"a bit flips at the end": func(raw []byte) []byte { raw[len(raw)-20] ^= 1; return raw },
		"the tail is cut":        func(raw []byte) []byte { return raw[:len(raw)*2/3] },
		"all of it is cut":       func([]byte) []byte { return nil },
	}
	for _, name := range journaltest.Rows(t, 4, slices.Sorted(maps.Keys(ways))) {
		damage := ways[name]
		t.Run(name, func(t *testing.T) {
			r := open(t)
			one, two := r.joined("t1aaaaaa"), r.joined("t2bbbbbb")
			for range 10 {
				r.send(one.device, r.encode(one.write(3)))
				r.send(two.device, r.encode(two.write(2)))
			}
			r.countersigned(one, 30)
			hurt := func() {
				files, err := filepath.Glob(filepath.Join(r.dir, "broker", "jetstream", "*", "streams", "*", "msgs", "*.blk"))
				must(t, err)
				if len(files) == 0 {
					t.Fatal("there is no message store")
				}
				for _, f := range files {
					raw, err := os.ReadFile(f)
					must(t, err)
					if len(raw) > 40 {
						must(t, os.WriteFile(f, damage(raw), 0o600))
					}
				}
			}
			r.stop()
			hurt()
			r.run()
			r.ready()
			r.whole(one)
			r.whole(two)
			r.send(one.device, r.encode(one.write(2)))
			r.countersigned(one, 32)

			r.restart(database...) // now the store alone is left, with what it was filled up with
			r.bringBack(one, two)
			r.whole(one)
			r.whole(two)
		})
	}
}

// bringBack has tablets bring what a hub lacks of its own log and of theirs.
func (r *rig) bringBack(tabs ...*tablet) {
	r.t.Helper()
	r.ready()
	for _, tab := range tabs {
		if n := r.held(tab); n < int64(len(tab.log)) {
			r.send(tab.device, r.encode(tab.segment(int(n), len(tab.log))))
		}
		r.countersigned(tab, len(tab.log))
	}
	var w segment.Welcome
	must(r.t, r.ask(tabs[0].device, segment.Greet, segment.Greeting{}, &w))
}
