package shoptest_test

import (
	"bytes"
	"errors"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/proof"
	"fettlebook/sync/shoptest"

	cosign "github.com/transparency-dev/formats/note"
	"golang.org/x/mod/sumdb/note"
)

// closed waits until a tablet's log takes no more entries and returns why.
func closed(t *testing.T, tablet *shoptest.Tablet) string {
	t.Helper()
	var reason string
	shoptest.WaitUntil(t, "the log of "+string(tablet.Device())+" to be closed", func() bool {
		var err error
		reason, err = tablet.Bench.DB.Closed(t.Context(), tablet.Device())
		return err == nil && reason != ""
	})
	drafts, err := shoptest.Drafts(1, 0, 99)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := tablet.Bench.DB.Append(t.Context(), drafts[0]); !errors.Is(err, journal.ErrClosed) {
		t.Fatalf("a closed log answers %v, want %v", err, journal.ErrClosed)
	}
	return reason
}

// forks lists the devices that the register calls forked, with their two
// checkpoints.
func forks(shop *shoptest.Shop) []*journal.ForkFound {
	var list []*journal.ForkFound
	for _, p := range shop.Register() {
		if f, ok := p.(*journal.ForkFound); ok {
			list = append(list, f)
		}
	}
	return list
}

func TestARolledBackTabletTakesItsEntriesBack(t *testing.T) {
	shop := shoptest.Open(t)
	tablet := shop.Tablet("bench 1")
	tablet.Append(10)
	shop.Settle()
	tablet.Disconnect()
	restore := tablet.Copy()
	tablet.Connect()
	tablet.Append(5)
	shop.Settle()
	want := shoptest.Log(t, tablet.Bench.DB, tablet.Device())
	restore()
	tablet.Connect()
	if why := closed(t, tablet); !strings.Contains(why, "restored from an older copy") {
		t.Errorf("closed because %q", why)
	}
	shoptest.WaitUntil(t, "the lost entries to come back", func() bool {
		return len(shoptest.Log(t, tablet.Bench.DB, tablet.Device())) == len(want)
	})
	shop.Settle()
	if f := forks(shop); len(f) > 0 {
		t.Errorf("the register says %+v, but nothing was forked", f[0])
	}
}

func TestATabletThatWroteOnAfterARollback(t *testing.T) {
	for _, c := range []struct {
		name  string
		wrote int // after the rollback; it had lost 5
	}{{"less than was lost", 2}, {"as much", 5}, {"more", 9}} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			shop := shoptest.Open(t)
			tablet, other := shop.Tablet("bench 1"), shop.Tablet("bench 2")
			tablet.Append(10)
			shop.Settle()
			tablet.Disconnect()
			restore := tablet.Copy()
			tablet.Connect()
			tablet.Append(5)
			shop.Settle()
			held := shoptest.Log(t, shop.Hub.DB, tablet.Device())
			tablet.Disconnect()
			restore()
			tablet.Append(c.wrote)
			tablet.Connect()

			closed(t, tablet)
			shoptest.WaitUntil(t, "the fork in the register", func() bool { return len(forks(shop)) == 1 })
			f := forks(shop)[0]
			key, err := shop.Hub.DB.Key(t.Context(), tablet.Device())
			if err != nil {
				t.Fatal(err)
			}
			verifier, err := proof.Verifier(key)
			if err != nil {
				t.Fatal(err)
			}
			for _, signed := range []string{f.Held, f.Shown} {
				if _, err := proof.Open([]byte(signed), verifier); err != nil {
					t.Errorf("checkpoint in the register: %v\n%s", err, signed)
				}
			}
			if why, err := shop.Hub.DB.Closed(t.Context(), tablet.Device()); err != nil || why == "" {
				t.Errorf("closed at the hub: %q, %v", why, err)
			}
			// Both histories are kept: the first as the log, the second aside.
			now := shoptest.Log(t, shop.Hub.DB, tablet.Device())
			if len(now) != len(held) || !bytes.Equal(now[len(now)-1], held[len(held)-1]) {
				t.Error("the hub no longer holds the history it had")
			}
			if q := quarantined(t, shop, tablet.Device()); len(q) == 0 {
				t.Error("the other history is not in quarantine")
			}
			// The shop goes on, and nothing is written twice.
			other.Append(3)
			shop.SettleLog(other)
			shop.DropHubDatabase()
			other.Append(1)
			shop.SettleLog(other)
			if n := len(forks(shop)); n != 1 {
				t.Errorf("the register names %d forks, want 1", n)
			}
			// The tablet joins anew, and that log works.
			again := shop.Tablet("bench 1 again")
			again.Append(2)
			shop.SettleLog(again)
		})
	}
}

func TestCountersignatures(t *testing.T) {
	shop := shoptest.Open(t)
	tablet := shop.Tablet("bench 1")
	tablet.Append(12)
	shop.Settle()
	c, err := tablet.Bench.DB.LastCountersigned(t.Context(), tablet.Device())
	if err != nil {
		t.Fatal(err)
	}
	// Checked with the module that follows C2SP tlog-cosignature v1, not with ours.
	hub, err := cosign.NewVerifierForCosignatureV1(tablet.Bench.ID.CosignKey)
	if err != nil {
		t.Fatal(err)
	}
	n, err := note.Open(c.Note, note.VerifierList(hub))
	if err != nil {
		t.Fatalf("the countersignature does not verify: %v\n%s", err, c.Note)
	}
	at, err := cosign.CoSigV1Timestamp(n.Sigs[0])
	if err != nil {
		t.Fatal(err)
	}
	if !at.Equal(c.At) {
		t.Errorf("signed at %v, kept as %v", at, c.At)
	}
	for e, err := range tablet.Bench.DB.Entries(t.Context(), tablet.Device(), 0) {
		if err != nil {
			t.Fatal(err)
		}
		if e.Received.IsZero() {
			t.Errorf("entry %d has no time of receipt", e.Index)
		}
	}
	// New entries cite the hub's log.
	drafts, err := shoptest.Drafts(1, 0, 5)
	if err != nil {
		t.Fatal(err)
	}
	if e := tablet.Write(drafts[0]); e.Seen.Size == 0 {
		t.Error("a new entry cites nothing of the hub’s log")
	}
}

func quarantined(t *testing.T, shop *shoptest.Shop, device journal.DeviceID) []string {
	t.Helper()
	list, err := shop.Hub.DB.Quarantines(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	var reasons []string
	for _, q := range list {
		if q.Device == device {
			reasons = append(reasons, q.Reason)
		}
	}
	return reasons
}
