package shoptest_test

import (
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/proof"
	"fettlebook/journal/sqlitelog"
	"fettlebook/sync/shoptest"
)

func successionAt(t *testing.T, db *sqlitelog.DB) proof.Succession {
	t.Helper()
	keys, err := db.Succession(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	return keys
}

// heldBy is with which of the hub's keys the newest word on a tablet's log is
// given, the founding ones being 0, and up to where it holds.
func heldBy(t *testing.T, db *sqlitelog.DB, tablet *shoptest.Tablet) (keys int, size int64) {
	t.Helper()
	c, err := db.LastCountersigned(t.Context(), tablet.Device())
	if err != nil {
		t.Fatal(err)
	}
	if c.Size == 0 {
		return -1, 0
	}
	key, err := db.Key(t.Context(), tablet.Device())
	if err != nil {
		t.Fatal(err)
	}
	s := successionAt(t, db)
	_, _, by, err := s.Open(c.Note, tablet.Device(), key)
	if err != nil {
		t.Errorf("the hub’s word of %d: %v", c.Size, err)
	}
	for i, r := range s.Reigns {
		if r.Log == by.Log {
			keys = i
		}
	}
	return keys, c.Size
}

// robbed is a shop with two tablets that wrote so many entries, whose hub was copied,
// keys and all, before the second tablet went away.
func robbed(t *testing.T, ones, twos int) (shop *shoptest.Shop, one, two *shoptest.Tablet, thief func() (change, back func())) {
	t.Helper()
	shop = shoptest.Open(t)
	one, two = shop.Tablet("bench 1"), shop.Tablet("bench 2")
	informed(t, shop, one, two) // so that their first entries cite it
	one.Append(ones)
	two.Append(twos)
	shop.Settle()
	noted(t, shop, one, two)
	thief = shop.StealHub()
	informed(t, shop, one, two)
	two.Disconnect()
	return shop, one, two, thief
}

// The hub goes on with new keys: tablets that are there follow, those that are
// away follow when they are back, and one that joins later begins with both. A
// hub with the old keys, stolen before, is nobody's to a tablet that knows.
func TestTheHubsKeysAreChanged(t *testing.T) {
	shop, one, two, thief := robbed(t, 3, 3)
	two.Append(2)

	shop.ChangeHubKeys(journal.KeysStolen)
	informed(t, shop, one)
	one.Append(2)
	shop.SettleLog(one)
	if keys, size := heldBy(t, one.Bench.DB, one); keys != 1 || size != 5 {
		t.Errorf("bench 1’s %d entries are countersigned with keys %d", size, keys)
	}
	two.Connect()
	shop.Settle()
	if keys, size := heldBy(t, two.Bench.DB, two); keys != 1 || size != 5 {
		t.Errorf("bench 2’s %d entries are countersigned with keys %d", size, keys)
	}
	three := shop.Tablet("bench 3")
	three.Append(1)
	shop.Settle()
	informed(t, shop, one, two, three)
	for _, tablet := range shop.Tablets {
		if keys := successionAt(t, tablet.Bench.DB); len(keys.Reigns) != 2 {
			t.Errorf("%s knows %d pairs of keys", tablet.Device(), len(keys.Reigns))
		}
	}
	before := shoptest.Log(t, shop.Hub.DB, shop.HubDevice())

	// The thief's hub stands where the hub stood.
	change, back := thief()
	one.Append(1)
	away := func() {
		t.Helper()
		for _, tablet := range shop.Tablets {
			shoptest.WaitUntil(t, string(tablet.Device())+" to find no hub", func() bool { return tablet.Bench.Uplink.Status().Away })
		}
	}
	away()
	change()
	away()
	if n := len(shoptest.Log(t, shop.Hub.DB, one.Device())); n != 3 {
		t.Errorf("the thief’s hub holds %d entries of bench 1, want the 3 that it stole", n)
	}
	back()
	shop.Settle()
	if keys, size := heldBy(t, one.Bench.DB, one); keys != 1 || size != 6 {
		t.Errorf("bench 1’s %d entries are countersigned with keys %d", size, keys)
	}
	if len(forks(shop)) != 0 || len(shoptest.Log(t, shop.Hub.DB, shop.HubDevice())) < len(before) {
		t.Error("the thief left something at the shop’s hub")
	}
}

// A tablet that was away meets the thief's hub first. It cannot know, and takes
// its word; once it meets the shop's own, that word is taken back and given
// anew, and nothing is lost.
func TestAThiefsHubAndATabletThatWasAway(t *testing.T) {
	shop, one, two, thief := robbed(t, 1, 2)
	shop.ChangeHubKeys(journal.KeysStolen)
	shop.SettleLog(one)
	informed(t, shop, one)

	_, back := thief()
	two.Append(2)
	two.Connect()
	shoptest.WaitUntil(t, "the thief’s word", func() bool { _, n := heldBy(t, two.Bench.DB, two); return n == 4 })
	if keys, _ := heldBy(t, two.Bench.DB, two); keys != 0 {
		t.Errorf("it is given with keys %d", keys)
	}
	back()
	shoptest.WaitUntil(t, "bench 2 to follow", func() bool { s := successionAt(t, two.Bench.DB); return len(s.Reigns) == 2 })
	shoptest.WaitUntil(t, "the shop’s word", func() bool { keys, n := heldBy(t, two.Bench.DB, two); return keys == 1 && n == 4 })
	shop.Settle()
	if n := len(shoptest.Log(t, shop.Hub.DB, two.Device())); n != 4 {
		t.Errorf("the hub holds %d entries of bench 2", n)
	}
	if list, err := two.Bench.DB.Quarantines(t.Context()); err != nil || len(list) == 0 {
		t.Errorf("nothing is kept of the thief’s word (%v)", err)
	}
}

// A tablet that was brought back from a copy from before the change follows
// it, as it takes its own entries back. A hub that lost its journal gets the
// change back with the rest.
func TestCopiesFromBeforeAChangeOfKeys(t *testing.T) {
	shop := shoptest.Open(t)
	one := shop.Tablet("bench 1")
	informed(t, shop, one)
	one.Append(2)
	shop.Settle()
	noted(t, shop, one)
	restore := one.Copy()
	one.Connect()
	shop.ChangeHubKeys(journal.KeysLost)
	one.Append(1)
	shop.Settle()
	informed(t, shop, one)
	restore()
	one.Connect()
	shoptest.WaitUntil(t, "bench 1 to follow again", func() bool { s := successionAt(t, one.Bench.DB); return len(s.Reigns) == 2 })
	informed(t, shop, one)

	shop.DropBoth()
	whole(t, shop)
	informed(t, shop, one)
	if s := successionAt(t, shop.Hub.DB); len(s.Reigns) != 2 {
		t.Errorf("the hub that was rebuilt knows %d pairs of keys", len(s.Reigns))
	}
	works(t, shop, "JR")
	informed(t, shop, one)
}

// A hub that had to go on without its old keys takes nothing of a tablet until
// somebody agreed there: one at which nobody did finds no hub, and an insider
// who comes in all the same brings nothing.
func TestEachTabletAgreesToKeysThatNobodySigned(t *testing.T) {
	shop := shoptest.Open(t)
	one, two := shop.Tablet("bench 1"), shop.Tablet("bench 2")
	informed(t, shop, one, two) // so that their first entries cite it
	one.Append(2)
	two.Append(2)
	shop.Settle()
	noted(t, shop, one, two)
	keys := shop.FoundHubKeys()
	one.Append(1)
	two.Append(1)
	for _, tablet := range shop.Tablets {
		shoptest.WaitUntil(t, string(tablet.Device())+" to find no hub", func() bool { return tablet.Bench.Uplink.Status().Away })
	}
	two.Disconnect()
	one.Agree(keys)
	shop.SettleLog(one)
	informed(t, shop, one)
	if keys, size := heldBy(t, one.Bench.DB, one); keys != 1 || size != 4 {
		t.Errorf("bench 1’s %d entries are countersigned with keys %d", size, keys)
	}

	// The insider knows the hub's certificate, and nobody agreed; nor does the word of bench 1
	// do for bench 2.
	two.Bench.ID.Pin = keys.Certificate
	two.Connect()
	shoptest.WaitUntil(t, "bench 2 to be refused", func() bool {
		return strings.Contains(two.Bench.Uplink.Status().Problem, "nobody agreed at this tablet")
	})
	if n := len(shoptest.Log(t, shop.Hub.DB, two.Device())); n != 2 {
		t.Errorf("the hub holds %d entries of bench 2, want those from before", n)
	}
	if s := successionAt(t, two.Bench.DB); len(s.Reigns) != 1 {
		t.Error("bench 2 goes by keys to which nobody agreed there")
	}
	two.Agree(keys)
	shop.SettleLog(two)
	informed(t, shop, one, two)
	three := shop.Tablet("bench 3") // by an invitation of the new hub
	three.Append(1)
	shop.Settle()
}
