package shoptest_test

import (
	"slices"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/route"
	"fettlebook/journal/sqlitelog"
	"fettlebook/sync/shoptest"
)

// said lists what the register says of a kind.
func said[P journal.Payload](shop *shoptest.Shop) (list []P) {
	for _, p := range shop.Register() {
		if p, ok := p.(P); ok {
			list = append(list, p)
		}
	}
	return list
}

// noted waits until the register says of the hub and of every tablet from where
// on it cites, and how its clock stands, and tablets hold that. The hub then
// writes hardly anything by itself.
func noted(t *testing.T, shop *shoptest.Shop, at ...*shoptest.Tablet) {
	t.Helper()
	cites, compared := make(map[journal.DeviceID]bool), make(map[journal.DeviceID]bool)
	shoptest.WaitUntil(t, "the hub to have said all that it says by itself", func() bool {
		for _, n := range said[*journal.LogNote](shop) {
			cites[n.Device] = true
		}
		for _, c := range said[*journal.ClockReading](shop) {
			compared[c.Device] = true
		}
		return len(cites) == len(shop.Tablets)+1 && len(compared) == len(shop.Tablets)
	})
	informed(t, shop, at...)
}

// informed waits until tablets hold the register as it is.
func informed(t *testing.T, shop *shoptest.Shop, at ...*shoptest.Tablet) {
	t.Helper()
	for _, tablet := range at {
		shoptest.WaitUntil(t, "the register at "+string(tablet.Device()), func() bool {
			return slices.EqualFunc(shoptest.Log(t, tablet.Bench.DB, shop.HubDevice()), shoptest.Log(t, shop.Hub.DB, shop.HubDevice()), slices.Equal)
		})
	}
}

// cited is how much of a log the last entry of a tablet's says that its writer
// had seen.
func cited(t *testing.T, by *shoptest.Tablet, of journal.DeviceID) int64 {
	t.Helper()
	log := shoptest.Log(t, by.Bench.DB, by.Device())
	e, err := journal.Decode(log[len(log)-1])
	if err != nil {
		t.Fatal(err)
	}
	return e.After.Of(of).Size
}

// A hub that was brought back from a backup, and a tablet that was too, go on
// together and know nothing of what both had before. Another tablet holds that,
// and what it wrote since rests on it. The register says so in the end, and by
// that all machines agree on what counts.
func TestARestoredHubHearsOfAFork(t *testing.T) {
	for _, c := range []struct {
		name         string
		first, again int // entries that the torn tablet wrote before and after
	}{{"less than before", 5, 2}, {"as much", 3, 3}, {"more", 2, 6}} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			shop := shoptest.Open(t)
			torn, two := shop.Tablet("bench 1"), shop.Tablet("bench 2")
			begin(t, shop, "LF")
			openLine(t, torn, "io", "LF")
			bleed := two.Write(bleedLine(t, "mk", "LF"))
			noted(t, shop, torn, two)
			torn.Disconnect()
			restoreTorn := torn.Copy()
			torn.Connect()
			shop.Settle()
			restoreHub := shop.CopyHub()
			shop.Settle()

			torn.Append(c.first)
			shop.Settle()
			openLine(t, two, "mk", "LF")
			if n := cited(t, two, torn.Device()); n != int64(2+c.first) {
				t.Fatalf("bench 2 cites %d entries of the log that is lost", n)
			}
			shop.Settle()
			lost := shoptest.Log(t, two.Bench.DB, torn.Device())
			torn.Disconnect()
			two.Disconnect()
			restoreHub()
			restoreTorn()
			torn.Append(c.again)
			torn.Connect()
			shop.SettleLog(torn)
			kept := shoptest.Log(t, shop.Hub.DB, torn.Device())

			two.Connect()
			shoptest.WaitUntil(t, "the fork in the register", func() bool { return len(said[*journal.LogClosing](shop)) > 0 })
			if f := forks(shop); len(f) != 1 || f[0].Device != torn.Device() {
				t.Errorf("the register names %d forks", len(f))
			}
			if got := said[*journal.LogClosing](shop); len(got) != 1 || got[0].Device != torn.Device() || got[0].Counts != 2 {
				t.Errorf("closed %+v, want after the second entry", *got[0])
			}
			closed(t, torn)
			anew := shop.Tablet("bench 1 anew")
			shop.SettleLog(two)
			informed(t, shop, two, anew)
			shoptest.WaitUntil(t, "the torn log at the new tablet", func() bool { return len(shoptest.Log(t, anew.Bench.DB, torn.Device())) == len(kept) })
			after := anew.Write(bleedLine(t, "io", "LF"))
			shop.SettleLog(anew)
			noted(t, shop, two, anew)

			now := shoptest.Log(t, shop.Hub.DB, torn.Device())
			if !slices.EqualFunc(now, kept, slices.Equal) {
				t.Error("the hub no longer holds what it countersigned")
			}
			if now := shoptest.Log(t, two.Bench.DB, torn.Device()); !slices.EqualFunc(now, lost, slices.Equal) {
				t.Error("bench 2 no longer holds what the hub countersigned before")
			}
			if len(quarantined(t, shop, torn.Device())) == 0 {
				t.Error("the hub does not keep what it countersigned before")
			}
			agree(t, map[string]*sqlitelog.DB{"the hub": shop.Hub.DB, "bench 2": two.Bench.DB, "bench 1 anew": anew.Bench.DB}, shop, torn.Device(), 2)
			for name, db := range map[string]*sqlitelog.DB{"the hub": shop.Hub.DB, "bench 2": two.Bench.DB, "bench 1 anew": anew.Bench.DB} {
				v := bled(t, db, "LF")
				if v.State != route.Met || !slices.Contains(v.Entries, after.ID) || slices.Contains(v.Entries, bleed.ID) {
					t.Errorf("at %s it stands %s by %v: %s", name, v.State, v.Entries, v.Why)
				}
			}
		})
	}
}

// works has the hub say under which initials somebody works.
func works(t *testing.T, shop *shoptest.Shop, initials ...string) {
	t.Helper()
	for _, i := range initials {
		if _, err := shop.Hub.Hub.Append(t.Context(), journal.Draft{Subject: "person/jr", By: "hub", Data: &journal.Person{Person: "jr", Initials: i}}); err != nil {
			t.Fatal(err)
		}
	}
}

// A hub that was brought back from a backup, and writes nothing before a tablet
// that holds more is heard, gets all back: its own log too, and nothing twice.
func TestARestoredHubGetsAllBack(t *testing.T) {
	shop := shoptest.Open(t)
	one, two := shop.Tablet("bench 1"), shop.Tablet("bench 2")
	informed(t, shop, one, two) // or they would cite nothing
	one.Append(3)
	two.Append(2)
	noted(t, shop, one, two)
	restore := shop.CopyHub()
	whole(t, shop)
	works(t, shop, "JR", "JJ")
	one.Append(4)
	two.Append(5)
	shop.Settle()
	informed(t, shop, one, two)
	want := shoptest.Log(t, shop.Hub.DB, shop.HubDevice())
	one.Disconnect()
	two.Disconnect()
	restore()
	two.Append(1)
	one.Connect()
	two.Connect()
	shop.Settle()
	if got := shoptest.Log(t, shop.Hub.DB, shop.HubDevice()); !slices.EqualFunc(got, want, slices.Equal) {
		t.Errorf("the register has %d entries, want the %d from before", len(got), len(want))
	}
	works(t, shop, "RJ")
	informed(t, shop, one, two)
	for _, tablet := range shop.Tablets {
		if q := quarantined(t, shop, tablet.Device()); len(q) > 0 {
			t.Errorf("in quarantine: %q", q)
		}
	}
	if f := forks(shop); len(f) > 0 {
		t.Errorf("the register names forks: %+v", f[0])
	}
}

// A hub that was brought back from a backup writes on before a tablet that
// holds more of the hub's own log is heard. Then that log has two histories,
// and the hub goes on with its own. The register says so, and what was written
// by who had seen the other one counts. That tablet joins the shop anew.
func TestARestoredHubHasAnotherRegister(t *testing.T) {
	shop := shoptest.Open(t)
	one, two := shop.Tablet("bench 1"), shop.Tablet("bench 2")
	begin(t, shop, "LF")
	openLine(t, one, "io", "LF")
	two.Write(bleedLine(t, "mk", "LF"))
	shop.Settle() // what the register cites, too
	noted(t, shop, one, two)
	one.Disconnect()
	restore := shop.CopyHub()
	common := int64(len(shoptest.Log(t, shop.Hub.DB, shop.HubDevice())))
	whole(t, shop)
	works(t, shop, "JR", "JJ", "JX")
	informed(t, shop, two)
	two.Disconnect()
	lost := shoptest.Log(t, two.Bench.DB, shop.HubDevice())

	restore()
	whole(t, shop)
	works(t, shop, "RJ")
	one.Connect()
	informed(t, shop, one)
	openLine(t, two, "mk", "LF")
	if n := cited(t, two, shop.HubDevice()); n != common+3 {
		t.Fatalf("bench 2 cites %d entries of the register, want the %d that are lost", n, common+3)
	}
	two.Connect()
	shoptest.WaitUntil(t, "the other history in the register", func() bool { return len(said[*journal.LogParting](shop)) > 0 })
	if f := forks(shop); len(f) != 1 || f[0].Device != shop.HubDevice() {
		t.Errorf("the register names %d forks", len(f))
	}
	if got := said[*journal.LogParting](shop); len(got) != 1 || got[0].Device != shop.HubDevice() || got[0].Common != common {
		t.Errorf("they part %+v, want after entry %d", *got[0], common)
	}
	shoptest.WaitUntil(t, "bench 2 to say so", func() bool {
		return strings.Contains(two.Bench.Uplink.Status().Problem, "restored from an older copy")
	})
	if now := shoptest.Log(t, two.Bench.DB, shop.HubDevice()); !slices.EqualFunc(now, lost, slices.Equal) {
		t.Error("bench 2 no longer holds what the hub countersigned before")
	}
	works(t, shop, "RX") // it is not held up by what bench 2 holds
	anew := shop.Tablet("bench 2 anew")
	shop.SettleLog(two)
	two.Disconnect() // its register does not name the new one
	shop.SettleLog(one)
	informed(t, shop, one, anew)
	after := anew.Write(bleedLine(t, "mk", "LF"))
	shop.SettleLog(anew)
	noted(t, shop, one, anew)
	at := map[string]*sqlitelog.DB{"the hub": shop.Hub.DB, "bench 1": one.Bench.DB, "bench 2 anew": anew.Bench.DB}
	agree(t, at, shop, "", 0)
	for name, db := range at {
		if v := bled(t, db, "LF"); v.State != route.Met || !slices.Contains(v.Entries, after.ID) {
			t.Errorf("at %s it stands %s by %v: %s", name, v.State, v.Entries, v.Why)
		}
	}
	// It is said once, however often the hub starts.
	shop.DropHubDatabase()
	whole(t, shop)
	one.Append(1)
	shop.SettleLog(one)
	if n, m := len(forks(shop)), len(said[*journal.LogParting](shop)); n != 1 || m != 1 {
		t.Errorf("the register names %d forks and %d partings", n, m)
	}
}

// agree demands that machines have every entry in the same place, with the
// same past, but for those of a torn log that count nowhere.
func agree(t *testing.T, at map[string]*sqlitelog.DB, shop *shoptest.Shop, torn journal.DeviceID, counts int64) {
	t.Helper()
	want := make(map[journal.Position]string)
	for name, db := range at {
		s, err := record.Fold(journal.Authority{Shop: shop.ID(), Hub: shop.HubDevice()}, db.All(t.Context()))
		if err != nil {
			t.Fatal(err)
		}
		n := 0
		for l := range s.All() {
			if l.Device == torn && l.Index >= counts {
				if l.Counts() {
					t.Errorf("at %s entry %d of the torn log counts", name, l.Index)
				}
				continue
			}
			if !l.Counts() {
				t.Errorf("at %s entry %d of %s does not count: %v", name, l.Index, l.Device, l.Waits)
			}
			written, err := l.Standing().MarshalBinary()
			if err != nil {
				t.Fatal(err)
			}
			is := l.ID.String() + string(written)
			if had, ok := want[l.Position()]; ok && had != is {
				t.Errorf("at %s entry %d of %s stands elsewhere", name, l.Index, l.Device)
			}
			want[l.Position()], n = is, n+1
		}
		if len(want) != n {
			t.Errorf("%s has %d entries that count, another machine %d", name, n, len(want))
		}
	}
}
