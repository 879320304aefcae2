package uplink_test

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"fettlebook/journal"
	"fettlebook/sync/segment"
	"fettlebook/sync/uplink"
)

func same(t *testing.T, what string, got, want [][]byte) {
	t.Helper()
	if !slices.EqualFunc(got, want, bytes.Equal) {
		t.Errorf("%s: %d entries, want %d and the same", what, len(got), len(want))
	}
}

// settled checks that hub and tablet hold the same, and know it.
func (r *rig) settled() {
	r.t.Helper()
	own := log(r.t, r.db, mine)
	same(r.t, "the own log at the hub", log(r.t, r.hub, mine), own)
	for _, d := range []journal.DeviceID{hubLog, other} {
		same(r.t, "the log of "+string(d)+" here", log(r.t, r.db, d), log(r.t, r.hub, d))
	}
	c, err := r.db.LastCountersigned(r.t.Context(), mine)
	must(r.t, err)
	if c.Size != int64(len(own)) {
		r.t.Errorf("countersigned up to %d of %d here", c.Size, len(own))
	}
	st, n := r.up.Status(), int64(len(own))
	if !st.CaughtUp || st.Problem != "" || st.Here != n || st.AtHub != n || st.Countersigned != n {
		r.t.Errorf("status after all is done: %+v, want %d everywhere", st, n)
	}
}

func TestRounds(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		r := open(t)
		r.elsewhere(7)
		r.write(r.db, 30)
		r.run()
		r.rounds()
		r.settled()
		r.write(r.db, 1) // a write wakes the loop, and so does news
		synctest.Wait()
		same(t, "sent at once", log(t, r.hub, mine), log(t, r.db, mine))
		r.register(&journal.Device{Device: "t3cccccc", Name: "bench 3", LogKey: r.keys[other].Verifier(), ConnectKey: "U", Invitation: journal.EntryID{1}})
		r.look()
		synctest.Wait()
		same(t, "fetched at once", log(t, r.db, hubLog), log(t, r.hub, hubLog))
		r.rounds()
		r.settled()
		sent := len(r.sent)
		r.rounds()
		if len(r.sent) != sent {
			t.Errorf("sent again without a reason: %d segments", len(r.sent)-sent)
		}
	})
}

// However often it hears of news, a tablet looks so many times a second and no more.
func TestRoundsArePaced(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		r := open(t)
		r.run()
		began := time.Now()
		for range 100 {
			r.look()
		}
		synctest.Wait()
		if took := time.Since(began); took < 4*time.Second || took > 6*time.Second {
			t.Errorf("a hundred rounds took %v, want five seconds", took)
		}
	})
}

// Wherever the line is cut, nothing is lost, the status says that it is, and
// the rest follows when it is back.
func TestCutLines(t *testing.T) {
	revoked := fmt.Errorf("%w: %w", uplink.ErrNotLetIn, uplink.ErrNoNetwork)
	for _, v := range []struct {
		at    segment.What
		err   error
		after int // this many got through
	}{
		{segment.Greet, uplink.ErrNoNetwork, 0}, {segment.Range, uplink.ErrNoNetwork, 0}, {segment.Range, uplink.ErrNoNetwork, 1},
		{segment.Cards, uplink.ErrNoNetwork, 0}, {segment.Send, uplink.ErrNoNetwork, 0}, {segment.Greet, revoked, 0},
	} {
		t.Run(fmt.Sprintf("%s after %d", v.at, v.after), func(t *testing.T) {
			t.Parallel()
			synctest.Test(t, func(t *testing.T) {
				r := open(t)
				r.elsewhere(3)
				r.write(r.db, 5)
				through := 0
				r.cut = func(what segment.What) error {
					if what != v.at {
						return nil
					}
					if through++; through > v.after {
						return fmt.Errorf("at %s: %w", what, v.err)
					}
					return nil
				}
				r.run()
				synctest.Wait()
				st := r.up.Status()
				want := uplink.ErrNoNetwork
				if errors.Is(v.err, uplink.ErrNotLetIn) {
					want = uplink.ErrNotLetIn
				}
				if st.CaughtUp || st.Problem != want.Error() {
					t.Errorf("status while cut: %+v, want the problem %q", st, want)
				}
				r.mu.Lock()
				r.cut = nil
				r.mu.Unlock()
				r.rounds()
				r.settled()
			})
		})
	}
}

// What the hub said it has, and has not when it is greeted again, is sent again.
func TestLostBehindTheAnswer(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		r := open(t)
		r.write(r.db, 5)
		r.deaf = func(n int) bool { return n == 1 }
		r.run()
		r.rounds()
		r.settled()
		if len(r.sent) != 2 || r.sent[0].First != r.sent[1].First {
			t.Errorf("sent %d segments, want the same entries twice", len(r.sent))
		}
	})
}

// A tablet that was restored from an older copy closes its log before it
// could write on, and takes back what the hub has of it.
func TestHubHasMoreOfTheOwnLog(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		r := open(t)
		r.write(r.db, 6)
		must(t, r.db.Close())
		old, err := os.ReadFile(r.path)
		must(t, err)
		r.db = r.openLog(mine, r.path)
		r.write(r.db, 4)
		r.run()
		r.rounds()
		r.settled()
		r.stop()
		must(t, r.db.Close())
		must(t, os.WriteFile(r.path, old, 0o600))
		r.db = r.openLog(mine, r.path)
		if n := len(log(t, r.db, mine)); n != 6 {
			t.Fatalf("%d entries in the older copy, want 6", n)
		}
		sent := len(r.sent)
		r.run()
		r.rounds()
		same(t, "taken back", log(t, r.db, mine), log(t, r.hub, mine))
		if _, err := r.db.Append(t.Context(), journal.Draft{Subject: "job/4f7kk2m9", By: "io", Data: &journal.Arrival{Agreed: true}}); !errors.Is(err, journal.ErrClosed) {
			t.Errorf("written on after a rollback: %v", err)
		}
		if len(r.sent) != sent {
			t.Error("a rolled back log was sent")
		}
	})
}

// Another root: the tablet closes its log and sends all of it, which is the
// proof that there are two histories.
func TestHubHasAnotherRoot(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		r := open(t)
		elsewhere := r.openLog(mine, t.TempDir()+"/copy.db") // a copy of this tablet that went on by itself
		r.write(elsewhere, 3)
		s, err := elsewhere.Segment(t.Context(), mine, 0, journal.MaxSegmentBytes)
		must(t, err)
		must(t, elsewhere.Close())
		_, err = r.hub.Receive(t.Context(), s)
		must(t, err)
		r.write(r.db, 5)
		before := log(t, r.db, mine)
		r.run()
		r.rounds()
		same(t, "the own history", log(t, r.db, mine), before)
		if reason, err := r.db.Closed(t.Context(), mine); err != nil || reason == "" {
			t.Errorf("the log is open: %v", err)
		}
		if len(r.sent) == 0 || r.sent[0].First != 0 || r.sent[0].End() != 5 {
			t.Errorf("sent %+v, want the whole log", r.sent)
		}
		if reason, err := r.hub.Closed(t.Context(), mine); err != nil || reason == "" {
			t.Errorf("the hub had no proof of the fork: %v", err)
		}
	})
}

// A log that the hub closed is closed here, with the hub's reason; nothing of
// it is sent, and everything else goes on.
func TestHubClosedTheLog(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		r := open(t)
		r.elsewhere(3)
		r.write(r.db, 2)
		r.twist[segment.Greet] = func(reply any) any {
			w := reply.(segment.Welcome)
			w.Closed = "it showed two histories"
			return w
		}
		r.run()
		r.rounds()
		if reason, err := r.db.Closed(t.Context(), mine); err != nil || reason != "it showed two histories" {
			t.Errorf("closed here with %q, %v", reason, err)
		}
		if len(r.sent) > 0 {
			t.Errorf("sent %d segments", len(r.sent))
		}
		if p := r.up.Status().Problem; !strings.Contains(p, "it showed two histories") {
			t.Errorf("the problem is %q", p)
		}
		same(t, "another's log", log(t, r.db, other), log(t, r.hub, other))
	})
}

// What comes down and is wrong is not taken, is named, and holds up neither
// what is to be sent nor the logs that are right.
func TestWrongRanges(t *testing.T) {
	for name, v := range map[string]struct {
		twist func(t *testing.T, r *rig, reply segment.RangeReply, s journal.Segment) any
		says  string
	}{
		"a changed byte": {func(t *testing.T, r *rig, reply segment.RangeReply, s journal.Segment) any {
			s.Entries[0] = bytes.Replace(s.Entries[0], []byte("true"), []byte("null"), 1)
			reply.Segment, _ = r.codec.Encode(s)
			return reply
		}, "cannot be verified"},
		"an entry left out": {func(t *testing.T, r *rig, reply segment.RangeReply, s journal.Segment) any {
			s.Entries = s.Entries[1:]
			reply.Segment, _ = r.codec.Encode(s)
			return reply
		}, "cannot be verified"},
		"another log": {func(t *testing.T, r *rig, reply segment.RangeReply, s journal.Segment) any {
			s.Device = hubLog
			reply.Segment, _ = r.codec.Encode(s)
			return reply
		}, "asked for log"},
		"garbage": {func(t *testing.T, r *rig, reply segment.RangeReply, _ journal.Segment) any {
			reply.Segment = []byte("garbage")
			return reply
		}, "cannot be read"},
		"no answer":     {func(*testing.T, *rig, segment.RangeReply, journal.Segment) any { return []byte("garbage") }, "cannot be read"},
		"another reply": {func(*testing.T, *rig, segment.RangeReply, journal.Segment) any { return "hello" }, "cannot be read"},
		"a no": {func(*testing.T, *rig, segment.RangeReply, journal.Segment) any {
			return segment.Answer{Refused: "the hub is closed on Sundays"}
		}, "closed on Sundays"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			synctest.Test(t, func(t *testing.T) {
				r := open(t)
				r.elsewhere(3)
				r.write(r.db, 2)
				bad := true
				r.twist[segment.Range] = func(reply any) any {
					rr, ok := reply.(segment.RangeReply)
					if !ok || len(rr.Segment) == 0 || !bad {
						return reply
					}
					s, err := r.codec.Decode(rr.Segment)
					if err != nil || s.Device != other {
						return reply
					}
					return v.twist(t, r, rr, s)
				}
				r.run()
				r.rounds()
				st := r.up.Status()
				if st.CaughtUp || st.Problem == "" || !strings.Contains(st.Problem, v.says) {
					t.Errorf("status %+v, want a problem with %q", st, v.says)
				}
				if c, err := r.db.LastCountersigned(t.Context(), other); err == nil && c.Size > 0 {
					t.Error("a receipt was kept that does not verify, or of what is not here")
				}
				same(t, "the own log at the hub", log(t, r.hub, mine), log(t, r.db, mine))
				same(t, "the hub’s log here", log(t, r.db, hubLog), log(t, r.hub, hubLog))
				r.mu.Lock()
				bad = false
				r.mu.Unlock()
				r.rounds()
				r.settled()
			})
		})
	}
}

// Whoever is woken by what a round wrote looks in the middle of it: the hub is
// in reach then, and no page may say that it is not.
func TestInReachBeforeTheRoundEnds(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := open(t)
		r.cut = func(segment.What) error { return fmt.Errorf("%w: the line is cut", uplink.ErrNoNetwork) }
		r.write(r.db, 1)
		r.run()
		r.rounds()
		if st := r.up.Status(); st.Problem != uplink.ErrNoNetwork.Error() {
			t.Fatalf("status %+v, want that the hub cannot be reached", st)
		}
		kept := 0
		r.mu.Lock()
		r.saving = func() {
			kept++
			if st := r.up.Status(); st.Problem != "" || st.Connected.IsZero() {
				t.Errorf("while a receipt is kept: %+v", st)
			}
		}
		r.cut = nil
		r.mu.Unlock()
		r.rounds()
		r.settled()
		if kept == 0 {
			t.Error("no receipt was kept, so this test shows nothing")
		}
	})
}

// A receipt counts only if device and hub signed it over what is here.
func TestWrongReceipts(t *testing.T) {
	for name, wrong := range map[string]func([]byte) []byte{
		"of another device": func(c []byte) []byte {
			return bytes.ReplaceAll(c, []byte("/"+string(other)), []byte("/"+string(mine)))
		},
		"of another size":   func(c []byte) []byte { return bytes.Replace(c, []byte("\n3\n"), []byte("\n2\n"), 1) },
		"without the hub’s": func(c []byte) []byte { return c[:bytes.LastIndex(c, []byte("\u2014"))] },
		"garbage":           func([]byte) []byte { return []byte("received, honestly") },
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			synctest.Test(t, func(t *testing.T) {
				r := open(t)
				r.elsewhere(3)
				r.write(r.db, 2)
				spoiled := 0
				r.twist[segment.Range] = func(reply any) any {
					for i, c := range reply.(segment.RangeReply).Countersigned {
						if bytes.Contains(c, []byte("/"+string(other))) {
							reply.(segment.RangeReply).Countersigned[i] = wrong(c)
							spoiled++
						}
					}
					return reply
				}
				r.run()
				r.rounds()
				if st := r.up.Status(); st.CaughtUp || st.Problem == "" || spoiled == 0 {
					t.Errorf("status %+v after %d wrong receipts, want a problem", st, spoiled)
				}
				if c, err := r.db.LastCountersigned(t.Context(), other); err != nil || c.Size > 0 {
					t.Errorf("a receipt over %d entries was kept, %v", c.Size, err)
				}
				same(t, "the log itself", log(t, r.db, other), log(t, r.hub, other))
				r.mu.Lock()
				delete(r.twist, segment.Range)
				r.mu.Unlock()
				r.rounds()
				r.settled()
			})
		})
	}
}

// What the hub lost of others' logs goes back to it.
func TestGivesBack(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		r := open(t)
		r.elsewhere(40)
		r.run()
		r.rounds()
		want := log(t, r.hub, other)
		must(t, r.hub.Close())
		fresh := r.openLog(hubLog, t.TempDir()+"/hub.db") // it lost all it had
		r.mu.Lock()
		r.hub, r.began = fresh, 2
		r.mu.Unlock()
		r.rounds()
		same(t, "given back", log(t, r.hub, other), want)
		same(t, "the hub’s own log", log(t, r.hub, hubLog), log(t, r.db, hubLog))
		if r.asked[segment.Give] == 0 {
			t.Error("nothing was given")
		}
	})
}

// The skew is the tablet's clock minus the hub's.
func TestSkew(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		r := open(t)
		const ahead = int64(90e9)
		r.twist[segment.Greet] = func(reply any) any {
			w := reply.(segment.Welcome)
			w.Received, w.Answered = w.Received-ahead, w.Answered-ahead
			return w
		}
		r.run()
		synctest.Wait()
		if got := r.up.Status().Skew; got.Nanoseconds() != ahead {
			t.Errorf("skew %v, want a minute and a half", got)
		}
	})
}

// A clock that was set while the greeting was on its way is not taken for one
// that is off by half of that.
func TestSkewOfALongGreeting(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		r := open(t)
		r.twist[segment.Greet] = func(reply any) any {
			w := reply.(segment.Welcome)
			w.Answered -= int64(25 * time.Minute)
			return w
		}
		r.run()
		synctest.Wait()
		if got := r.up.Status(); got.Skew != 0 || got.Connected.IsZero() {
			t.Errorf("connected %v, skew %v; want a connection and no skew", got.Connected, got.Skew)
		}
	})
}

// Once greeted, a slow tablet makes ids by the hub's time; the time that it
// writes stays its own.
func TestIDsAreMadeByTheHubsTime(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		r := open(t)
		const slow = 11 * time.Minute
		r.twist[segment.Greet] = func(reply any) any {
			w := reply.(segment.Welcome)
			w.Received, w.Answered = w.Received+int64(slow), w.Answered+int64(slow)
			return w
		}
		r.run()
		synctest.Wait()
		e, err := r.db.Append(t.Context(), journal.Draft{Subject: "job/4f7kk2m9", By: "io", Data: &journal.Arrival{Agreed: true}})
		must(t, err)
		if got := e.ID.Time().Sub(time.Time(e.Time)).Round(time.Second); got != slow {
			t.Errorf("the id is %v ahead of the time, want %v", got, slow)
		}
		synctest.Wait() // what the append woke has been sent
	})
}
