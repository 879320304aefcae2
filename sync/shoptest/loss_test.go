package shoptest_test

import (
	"errors"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/sync/hub"
	"fettlebook/sync/shoptest"
	"fettlebook/sync/uplink"
)

// clock is a wall clock that can be put forward.
type clock struct{ ahead atomic.Int64 }

func (c *clock) now() time.Time { return time.Now().Add(time.Duration(c.ahead.Load())) }

func (c *clock) forward(d time.Duration) { c.ahead.Add(int64(d)) }

// whole waits until the hub has all that it can get by itself.
func whole(t *testing.T, shop *shoptest.Shop) {
	t.Helper()
	shoptest.WaitUntil(t, "the hub to be whole", func() bool {
		select {
		case <-shop.Hub.Hub.Ready():
			return true
		default:
			return false
		}
	})
}

// named reports whether the register names a tablet.
func named(shop *shoptest.Shop, tablet *shoptest.Tablet) bool {
	for _, p := range shop.Register() {
		if d, ok := p.(*journal.Device); ok && d.Device == tablet.Device() {
			return true
		}
	}
	return false
}

// After the loss of stream and database, the tablet that brings the register
// back may hold an older one, without the tablet that joined last. That one is
// not locked out: it may be the only one that holds the entry that let it in.
func TestATabletBringsItsOwnEnrolmentBack(t *testing.T) {
	shop := shoptest.Open(t)
	older := shop.Tablet("bench 1")
	shop.Settle()
	older.Disconnect()
	newer := shop.Tablet("bench 2")
	newer.Append(3)
	shop.Settle()
	newer.Disconnect()

	shop.DropBoth()
	older.Connect()
	whole(t, shop)
	if named(shop, newer) {
		t.Fatal("the first tablet held the newer register: nothing is tested")
	}
	newer.Append(2)
	newer.Connect()
	shop.Settle()
	if !named(shop, newer) {
		t.Error("the register does not name the tablet that held the newer one")
	}
	if f := forks(shop); len(f) > 0 {
		t.Errorf("the register says %+v, but nothing was forked", f[0])
	}
	shop.Invite("bench 3") // and now it can be written to
}

// A hub that is restored from an older copy and has no stream goes on letting
// in whom it let in before, although its register does not name them all.
func TestAnOlderCopyDoesNotLockOut(t *testing.T) {
	shop := shoptest.Open(t)
	restore := shop.CopyHubDatabase()
	tablet := shop.Tablet("bench 1")
	tablet.Append(4)
	shop.Settle()
	restore("broker")
	tablet.Append(2)
	shop.Settle()
	if !named(shop, tablet) {
		t.Error("the register does not name the tablet that held the newer one")
	}
}

// Which tablet holds the newest register is not known before all were heard,
// and a restart of the hub does not change that.
func TestARestartDoesNotEndTheWait(t *testing.T) {
	shop := shoptest.Open(t)
	older, newer := shop.Tablet("bench 1"), shop.Tablet("bench 2")
	shop.Settle()
	older.Disconnect()
	lost := shop.Invite("bench 3")
	shop.Settle()
	newer.Disconnect()

	shop.DropBoth()
	older.Connect()
	whole(t, shop)
	shop.DropBrokerStore()
	whole(t, shop)
	if _, err := shop.Hub.Invite(t.Context(), "bench 4", time.Now().Add(time.Hour)); !errors.Is(err, hub.ErrRecovering) {
		t.Errorf("while a tablet may hold another entry in that place the hub answered %v, want %v", err, hub.ErrRecovering)
	}
	newer.Connect()
	shop.Settle()
	if f := forks(shop); len(f) > 0 {
		t.Errorf("the register says %+v, but nothing was forked", f[0])
	}
	shoptest.WaitUntil(t, "the lost invitation to be good again", func() bool {
		_, err := join(t, lost, applicant(t, shop.ID()))
		return err == nil
	})
}

// An enrolment that no machine holds any more cannot come back. The tablet says
// so, joins again under its own name and keys, and what it wrote in between
// reaches the shop.
func TestAnEnrolmentThatNobodyHolds(t *testing.T) {
	shop := shoptest.Open(t)
	one := shop.Tablet("bench 1")
	one.Append(4)
	shop.Settle()
	one.Disconnect()
	two := shop.Joined("bench 2")
	two.Append(5)

	shop.DropBoth()
	one.Connect()
	two.Connect()
	shoptest.WaitUntil(t, "the tablet to say that the hub does not know it", func() bool {
		return strings.Contains(two.Bench.Uplink.Status().Problem, uplink.ErrNotLetIn.Error())
	})
	if named(shop, two) {
		t.Fatal("the register names a tablet that nobody remembers")
	}
	if _, err := join(t, shop.Invite("bench 2"), two.Applicant("bench 2")); err != nil {
		t.Fatal(err)
	}
	shop.Settle()
	var no *uplink.NotJoined
	if _, err := join(t, shop.Invite("bench 2"), two.Applicant("bench 2")); !errors.As(err, &no) || !strings.Contains(no.Sentence, "already been let in") {
		t.Errorf("joining once more gives %v, want that there is no need", err)
	}
}

// A tablet that never comes back holds up the hub no longer than its patience.
func TestTheHubDoesNotWaitForEver(t *testing.T) {
	var now clock
	shop := shoptest.OpenWith(t, shoptest.Settings{Now: now.now})
	one := shop.Tablet("bench 1")
	shop.Settle()
	one.Disconnect()
	shop.Joined("bench 2")
	shop.DropBoth()
	one.Connect()
	whole(t, shop)
	expires := now.now().Add(time.Hour)
	if _, err := shop.Hub.Invite(t.Context(), "bench 3", expires); !errors.Is(err, hub.ErrRecovering) {
		t.Errorf("before its patience ended the hub answered %v, want %v", err, hub.ErrRecovering)
	}
	now.forward(hub.DefaultPatience)
	if _, err := shop.Hub.Invite(t.Context(), "bench 3", expires); err != nil {
		t.Errorf("after its patience ended: %v", err)
	}
}

// A stream that is older than the database, which was itself just made anew,
// is given what it lacks: the database can be lost again.
func TestAnOlderStreamIsFilledUp(t *testing.T) {
	shop := shoptest.Open(t)
	one, two := shop.Tablet("bench 1"), shop.Tablet("bench 2")
	one.Append(5)
	shop.Settle()
	restore := shop.CopyBrokerStore()
	one.Append(7)
	shop.Settle()
	one.Disconnect()
	two.Disconnect()
	want := shoptest.Log(t, one.Bench.DB, one.Device())

	shop.DropHubDatabase()
	whole(t, shop)
	restore()
	shop.DropHubDatabase()
	whole(t, shop)
	if got := shoptest.Log(t, shop.Hub.DB, one.Device()); len(got) != len(want) {
		t.Errorf("the stream brought %d entries back, want %d", len(got), len(want))
	}
}
