package journal_test

import (
	"slices"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
)

// hubsWord is what only the hub may say: people, devices, cards, joints'
// figures, tools, and what cannot be undone.
var hubsWord = []journal.Kind{
	"shop.founded", "device.invited", "device.enrolled", "device.revoked", "device.forked",
	"person.added", "person.retired", "route.published", "tool.registered", "spec.recorded",
	"clock.compared", "record.sealed", "card.erased", "photo.withdrawn", "logs.noted", "logs.closed", "logs.parted", "units.chosen",
	"writing.chosen", "keys.changed",
}

// Every kind counts in the hub's log, and in a tablet's unless it is the hub's
// word; in nobody's if it names another writer, another shop, or an id that
// falls. Where no hub is known, nobody has its word.
func TestWhoseWordCounts(t *testing.T) {
	const hub, tablet = journaltest.Office, journaltest.Bench
	of := journal.Authority{Shop: journaltest.Shop, Hub: hub}
	unless := func(hubs bool, v journal.Void) journal.Void {
		if hubs {
			return v
		}
		return ""
	}
	seen := 0
	for _, d := range journaltest.Samples() {
		kind := d.Data.Kind()
		hubs := slices.Contains(hubsWord, kind)
		if hubs {
			seen++
		}
		for _, c := range []struct {
			name       string
			by         journal.Authority
			source, in journal.DeviceID
			shop       journal.ShopID
			falls      bool
			want       journal.Void
		}{
			{"the hub’s", of, hub, hub, journaltest.Shop, false, ""},
			{"a tablet's", of, tablet, tablet, journaltest.Shop, false, unless(hubs, journal.NoAuthority)},
			{"a tablet's in the hub’s name", of, hub, tablet, journaltest.Shop, false, journal.WrongLog},
			{"a tablet's in another's name", of, "bench2", tablet, journaltest.Shop, false, journal.WrongLog},
			{"the hub’s in a tablet's name", of, tablet, hub, journaltest.Shop, false, journal.WrongLog},
			{"of another shop", of, hub, hub, "zzzzzzzz", false, journal.WrongLog},
			{"of any shop, where the shop is not known", journal.Authority{Hub: hub}, hub, hub, "zzzzzzzz", false, ""},
			{"the hub’s, falling", of, hub, hub, journaltest.Shop, true, journal.IDFalls},
			{"a tablet's, falling", of, tablet, tablet, journaltest.Shop, true, journal.IDFalls},
			{"a tablet's, where no hub is known", journal.Authority{}, tablet, tablet, journaltest.Shop, false, unless(hubs, journal.NoAuthority)},
			{"of a writer without a name, where no hub is known", journal.Authority{}, "", "", journaltest.Shop, false, unless(hubs, journal.NoAuthority)},
		} {
			e := &journal.Entry{Source: journal.Source{Shop: c.shop, Device: c.source}, Type: journal.Type{Kind: kind, Version: kind.Version()}}
			if kind.Writer() == journal.AboutItself {
				e.Subject = journal.Of("device", string(c.in))
			}
			if got := c.by.Voids(e, c.in, c.falls); got != c.want {
				t.Errorf("%s, %s: %q, want %q", kind, c.name, got, c.want)
			}
		}
	}
	if seen != len(hubsWord) {
		t.Errorf("%d kinds are the hub’s word, want %d", seen, len(hubsWord))
	}
	newer := &journal.Entry{Source: journal.Source{Shop: journaltest.Shop, Device: tablet}, Type: journal.Type{Kind: "hub.polished", Version: 1}}
	if got := of.Voids(newer, tablet, false); got != "" {
		t.Errorf("a kind that is not known is %q", got)
	}
}

// Ids fall until one is greater than all that came before.
func TestTop(t *testing.T) {
	at := func(minute int) journal.EntryID {
		watch := journaltest.NewWatch(journaltest.Morning().Add(time.Duration(minute) * time.Minute))
		id, err := journal.NewClock(watch.Now, journaltest.Rand("top")).Next()
		if err != nil {
			t.Fatal(err)
		}
		return id
	}
	var top journal.Top
	for i, c := range []struct {
		minute int
		falls  bool
	}{{5, false}, {1, true}, {2, true}, {5, true}, {6, false}, {6, true}, {7, false}} {
		if got := top.Falls(at(c.minute)); got != c.falls {
			t.Errorf("id %d, of minute %d: falls %v, want %v", i, c.minute, got, c.falls)
		}
	}
}

// What a device says of itself counts in its own log and about it alone: neither
// the hub nor another tablet says it for it.
func TestWhatADeviceSaysOfItself(t *testing.T) {
	const hub, tablet = journaltest.Office, journaltest.Bench
	of := journal.Authority{Shop: journaltest.Shop, Hub: hub}
	for name, c := range map[string]struct {
		in, about journal.DeviceID
		want      journal.Void
	}{
		"of itself":         {tablet, tablet, ""},
		"the hub of it":     {hub, tablet, journal.OfAnother},
		"it of another":     {tablet, "bench2", journal.OfAnother},
		"another of it":     {"bench2", tablet, journal.OfAnother},
		"the hub of itself": {hub, hub, ""},
	} {
		e := &journal.Entry{Source: journal.Source{Shop: journaltest.Shop, Device: c.in}, Type: journal.Type{Kind: journal.KeysAgreed, Version: 1}, Subject: journal.Of("device", string(c.about))}
		if got := of.Voids(e, c.in, false); got != c.want {
			t.Errorf("%s: %q, want %q", name, got, c.want)
		}
	}
}
