package shoptest_test

import (
	"bytes"
	"crypto/rand"
	"slices"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/proof"
	"fettlebook/journal/record"
	"fettlebook/journal/route"
	"fettlebook/journal/sqlitelog"
	"fettlebook/media"
	"fettlebook/sync/shoptest"

	"github.com/nats-io/nats.go"
)

// insider is somebody with the keys of one enrolled tablet and a program of
// his own: whatever he writes is signed, and nothing else holds him.
type insider struct {
	t       *testing.T
	shop    *shoptest.Shop
	tablet  *shoptest.Tablet
	conn    *nats.Conn
	clock   *journal.Clock
	boot    journal.BootID
	entries [][]byte
}

func newInsider(t *testing.T, shop *shoptest.Shop) *insider {
	t.Helper()
	boot, err := journal.NewBootID(rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	tablet := shop.Joined("bench 2")
	return &insider{t: t, shop: shop, tablet: tablet, conn: dial(t, tablet), boot: boot,
		clock: journal.NewClock(time.Now, rand.Reader)}
}

// entry makes an entry as this tablet would write it, but for what change does.
func (i *insider) entry(d journal.Draft, change func(*journal.Entry)) *journal.Entry {
	i.t.Helper()
	id, err := i.clock.Next()
	if err != nil {
		i.t.Fatal(err)
	}
	data, err := journal.MarshalPayload(d.Data)
	if err != nil {
		i.t.Fatal(err)
	}
	e := &journal.Entry{SpecVersion: "1.0", ID: id, Source: journal.Source{Shop: i.shop.ID(), Device: i.tablet.Device()},
		Type: journal.Type{Kind: d.Data.Kind(), Version: d.Data.Kind().Version()}, Subject: d.Subject, Time: journal.Stamp(time.Now()), DataContentType: "application/json",
		By: d.By, Boot: i.boot, Data: data}
	if change != nil {
		change(e)
	}
	return e
}

// show signs entries as the next of the tablet's log and publishes them. It
// returns when the hub has countersigned them, as received, and another tablet
// holds them: a log cannot leave one out.
func (i *insider) show(witness *shoptest.Tablet, entries ...*journal.Entry) {
	i.t.Helper()
	i.showWith(witness, nil, entries...)
}

// showWith is show for entries with thumbnails.
func (i *insider) showWith(witness *shoptest.Tablet, thumbs [][]byte, entries ...*journal.Entry) {
	i.t.Helper()
	first := len(i.entries)
	for _, e := range entries {
		raw, err := e.Encode()
		if err != nil {
			i.t.Fatal(err)
		}
		i.entries = append(i.entries, raw)
	}
	shown := i.signed(first)
	for _, thumb := range thumbs {
		shown.Thumbs[media.RefOf(thumb)] = thumb
	}
	raw, err := codec(i.t).Encode(shown)
	if err != nil {
		i.t.Fatal(err)
	}
	if no := send(i.t, i.conn, i.tablet, raw); no != "" {
		i.t.Fatal(no)
	}
	shoptest.WaitUntil(i.t, "the countersignature over what the insider wrote", func() bool {
		c, err := witness.Bench.DB.LastCountersigned(i.t.Context(), i.tablet.Device())
		return err == nil && c.Size == int64(len(i.entries))
	})
	for name, db := range map[string]*sqlitelog.DB{"hub": i.shop.Hub.DB, "tablet": witness.Bench.DB} {
		if got := shoptest.Log(i.t, db, i.tablet.Device()); !slices.EqualFunc(got, i.entries, bytes.Equal) {
			i.t.Errorf("the %s holds other bytes than the insider signed", name)
		}
	}
	if q := quarantined(i.t, i.shop, i.tablet.Device()); len(q) > 0 {
		i.t.Errorf("what a signature covers went to quarantine: %q", q)
	}
}

// signed signs what the insider wrote, from an entry on.
func (i *insider) signed(first int) journal.Segment {
	i.t.Helper()
	key, err := proof.ParseKey(i.tablet.Bench.ID.Log)
	if err != nil {
		i.t.Fatal(err)
	}
	tree := new(proof.Tree)
	for _, raw := range i.entries {
		tree.Append(raw)
	}
	checkpoint, err := proof.Sign(key.Signer(), tree.Size(), tree.Root())
	if err != nil {
		i.t.Fatal(err)
	}
	return journal.Segment{Device: i.tablet.Device(), First: int64(first), Entries: slices.Clone(i.entries[first:]), Checkpoint: checkpoint, Thumbs: map[media.Ref][]byte{}}
}

// everywhere folds what the hub and a tablet hold.
func everywhere(t *testing.T, shop *shoptest.Shop, tablet *shoptest.Tablet) map[string]*record.Shop {
	t.Helper()
	folded := map[string]*record.Shop{}
	for name, db := range map[string]*sqlitelog.DB{"hub": shop.Hub.DB, "tablet": tablet.Bench.DB} {
		s, err := record.Fold(journal.Authority{Shop: shop.ID(), Hub: shop.HubDevice()}, db.All(t.Context()))
		if err != nil {
			t.Fatal(err)
		}
		folded[name] = s
	}
	return folded
}

const anyJob = journal.JobID("4f7kk2m9")

func opening() journal.Draft {
	return journal.Draft{Subject: journal.Of("job", string(anyJob)), By: "io",
		Data: &journal.Job{Vehicle: journal.Vehicle{Plate: "TEST 1"}, Route: card.Usual, Edition: 1}}
}

// publishUsual has the hub publish the card that comes with the program.
func publishUsual(t *testing.T, shop *shoptest.Shop) string {
	t.Helper()
	text, err := card.Supplied(card.Usual)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := shop.Hub.Hub.Append(t.Context(), edition(1, text)); err != nil {
		t.Fatal(err)
	}
	return text
}

func edition(n int, text string) journal.Draft {
	return journal.Draft{Subject: journal.Of("route", string(card.Usual)), By: "hub",
		Data: &journal.RouteCard{Route: card.Usual, Edition: n, Text: text}}
}

// newest is the edition that the next job is pinned to: of those that count
// the one with the highest number.
func newest(s *record.Shop) (found *journal.RouteCard) {
	for _, r := range s.Routes {
		for _, l := range r.Lines {
			if c, ok := l.Effect().(*journal.RouteCard); ok && r.ID == card.Usual && (found == nil || c.Edition > found.Edition) {
				found = c
			}
		}
	}
	return found
}

// The hub alone withdraws photographs: thumbnail and original stay where a
// tablet says otherwise.
func TestATabletWithdrawsNoPhotograph(t *testing.T) {
	shop := shoptest.Open(t)
	honest, in := shop.Tablet("bench 1"), newInsider(t, shop)
	thumb := bytes.Repeat([]byte("thumbnail "), 20)
	original := []byte("original bytes")
	shot := journal.Photo{Ref: media.RefOf(original), Thumb: media.RefOf(thumb), Role: "bore masked"}
	honest.Write(journal.Draft{Subject: journal.Of("job", string(anyJob)), By: "io", Thumbs: [][]byte{thumb},
		Data: &journal.Snapshot{Evidence: journal.Evidence{Photos: []journal.Photo{shot}}}})
	shop.SettleLog(honest)
	in.show(honest, in.entry(journal.Draft{Subject: journal.Of("job", string(anyJob)), By: "io",
		Data: &journal.Withdrawal{Photo: shot.Ref, Reason: "never happened"}}, nil))
	for name, db := range map[string]*sqlitelog.DB{"hub": shop.Hub.DB, "tablet that took it": honest.Bench.DB} {
		if got, err := db.Thumb(t.Context(), shot.Thumb); err != nil || !bytes.Equal(got, thumb) {
			t.Errorf("at the %s the thumbnail is gone: %v", name, err)
		}
		if gone, err := db.Withdrawals(t.Context()); err != nil || len(gone) > 0 {
			t.Errorf("at the %s originals are to be erased: %v, %v", name, gone, err)
		}
	}
	for name, s := range everywhere(t, shop, honest) {
		for l := range s.All() {
			for _, p := range l.Photos {
				if !p.Withdrawn.IsZero() {
					t.Errorf("the record at the %s says that the photograph was withdrawn", name)
				}
			}
		}
	}
}

// The hub alone erases a customer's card.
func TestATabletErasesNoCard(t *testing.T) {
	shop := shoptest.Open(t)
	honest, in := shop.Tablet("bench 1"), newInsider(t, shop)
	c, err := journal.NewCard("c7m2q4xw", journal.Details{Name: "A. Customer"}, rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	to, err := c.Commitment()
	if err != nil {
		t.Fatal(err)
	}
	of := journal.Of("card", string(c.Card))
	e := honest.Write(journal.Draft{Subject: of, By: "io", Data: &journal.CardWriting{Card: c.Card, Commitment: to}})
	c.Written = e.ID
	if err := honest.Bench.DB.SaveCard(t.Context(), journal.CardState{Card: c, Changed: e.ID}); err != nil {
		t.Fatal(err)
	}
	at := map[string]*sqlitelog.DB{"hub": shop.Hub.DB, "tablet": honest.Bench.DB}
	shoptest.WaitUntil(t, "the card at the hub", func() bool { _, err := shop.Hub.DB.Card(t.Context(), c.Card); return err == nil })
	in.show(honest, in.entry(journal.Draft{Subject: of, By: "io", Data: &journal.CardErasing{Card: c.Card, Reason: "never came"}}, nil))
	for name, db := range at {
		if got, err := db.Card(t.Context(), c.Card); err != nil || got.Details.Name != "A. Customer" {
			t.Errorf("at the %s the card is %q: %v", name, got.Details.Name, err)
		}
	}
}

// A card without holds, and one that cannot be read, are not editions unless
// the hub published them.
func TestATabletPublishesNoRouteCard(t *testing.T) {
	for name, text := range map[string]string{
		"without holds": "name: caliper\nedition: 10\ntitle: Caliper\nstages:\n  - name: received\n    title: At the counter\n    level: vehicle\n    wants: [vehicle.received]\n",
		"unreadable":    "stages: [",
	} {
		t.Run(name, func(t *testing.T) {
			if _, err := card.Parse(text); (err == nil) != (name == "without holds") {
				t.Fatalf("the card in the test: %v", err)
			}
			shop := shoptest.Open(t)
			honest, in := shop.Tablet("bench 1"), newInsider(t, shop)
			text1 := publishUsual(t, shop)
			shop.Settle()
			in.show(honest, in.entry(edition(10, text), nil), in.entry(edition(1, text), func(e *journal.Entry) {
				e.ID = before(e.ID) // sorts before the hub's own first edition
			}))
			honest.Write(opening())
			shop.SettleLog(honest)
			for at, s := range everywhere(t, shop, honest) {
				if n := newest(s); n == nil || n.Edition != 1 || n.Text != text1 {
					t.Errorf("at the %s the next job is pinned to %+v, want the hub’s edition 1", at, n)
				}
				pinned, err := route.Pinned(new(card.Shelf), s.Job(anyJob), s)
				if err != nil || pinned.Text() != text1 {
					t.Errorf("at the %s the job's card is not the hub’s: %v", at, err)
				}
			}
		})
	}
}

// before is an id of a day earlier.
func before(id journal.EntryID) journal.EntryID {
	ms := id.Millis() - (24 * time.Hour).Milliseconds()
	for i := range 6 {
		id[i] = byte(ms >> (40 - 8*i))
	}
	return id
}

// The hub alone says who is out and who showed two histories.
func TestATabletBrandsNobody(t *testing.T) {
	shop := shoptest.Open(t)
	honest, in := shop.Tablet("bench 1"), newInsider(t, shop)
	of := journal.Of("device", string(honest.Device()))
	in.show(honest,
		in.entry(journal.Draft{Subject: of, By: "hub", Data: &journal.Revocation{Device: honest.Device(), Reason: "lost"}}, nil),
		in.entry(journal.Draft{Subject: of, By: "hub", Data: &journal.ForkFound{Device: honest.Device(), Held: "one", Shown: "another"}}, nil))
	honest.Write(opening())
	shop.SettleLog(honest)
	for at, s := range everywhere(t, shop, honest) {
		for _, d := range s.Devices {
			if d.ID == honest.Device() && (d.Revoked || d.Forked) {
				t.Errorf("at the %s the honest tablet is branded: revoked %v, forked %v", at, d.Revoked, d.Forked)
			}
		}
		for l := range s.All() {
			if l.Device == honest.Device() && (l.Has(record.RevokedDevice) || l.Has(record.ForkedDevice)) {
				t.Errorf("at the %s an entry of the honest tablet bears %q", at, l.Flags)
			}
		}
	}
}

// The hub alone seals.
func TestATabletSealsNothing(t *testing.T) {
	shop := shoptest.Open(t)
	honest, in := shop.Tablet("bench 1"), newInsider(t, shop)
	honest.Write(opening())
	shop.SettleLog(honest)
	in.show(honest, in.entry(journal.Draft{Subject: journal.Of("job", string(anyJob)), By: "hub",
		Data: &journal.Seal{Root: journal.Digest{1}, Entries: 1}}, nil))
	for at, s := range everywhere(t, shop, honest) {
		if j := s.Job(anyJob); j.Sealed != nil || j.State == record.Sealed {
			t.Errorf("at the %s the job is off the board: %s", at, j.State)
		}
	}
}

// What names another device as its writer counts for nothing, also where the
// bytes are right in all else; and what the hub's own name stands on does not
// become the hub's.
func TestATabletWritesInNobodysName(t *testing.T) {
	shop := shoptest.Open(t)
	honest, in := shop.Tablet("bench 1"), newInsider(t, shop)
	publishUsual(t, shop)
	honest.Write(opening())
	shop.SettleLog(honest)
	as := func(d journal.DeviceID) func(*journal.Entry) {
		return func(e *journal.Entry) { e.Source.Device = d }
	}
	in.show(honest,
		in.entry(journal.Draft{Subject: journal.Of("job", string(anyJob)), By: "io",
			Data: &journal.Arrival{Agreed: true, Found: []string{"scratched"}}}, as(honest.Device())),
		in.entry(journal.Draft{Subject: journal.Of("job", string(anyJob)), By: "hub",
			Data: &journal.Seal{Root: journal.Digest{1}, Entries: 1}}, as(shop.HubDevice())))
	for at, s := range everywhere(t, shop, honest) {
		strays := 0
		for l := range s.All() {
			if !l.Has(record.WrongLog) {
				continue
			}
			strays++
			if l.Effect() != nil {
				t.Errorf("at the %s %s in another's name has an effect", at, l.Kind)
			}
		}
		if strays != 2 {
			t.Errorf("at the %s %d entries are shown as of another log, want 2", at, strays)
		}
		if s.Job(anyJob).Sealed != nil {
			t.Errorf("at the %s the job is sealed in the hub’s name", at)
		}
	}
}

// An id that does not rise over the one before it in its log counts for
// nothing: an opening of 1996 would come before the true one.
func TestIDsOfALogRise(t *testing.T) {
	shop := shoptest.Open(t)
	honest, in := shop.Tablet("bench 1"), newInsider(t, shop)
	honest.Write(opening())
	shop.SettleLog(honest)
	other := opening()
	other.Data = &journal.Job{Vehicle: journal.Vehicle{Plate: "TEST 2"}}
	in.show(honest,
		in.entry(journal.Draft{Subject: journal.Of("job", "9b2ccv0p"), By: "io", Data: &journal.Job{Vehicle: journal.Vehicle{Plate: "TEST 3"}}}, nil),
		in.entry(other, func(e *journal.Entry) {
			ms := time.Date(1996, 5, 4, 3, 2, 1, 0, time.UTC).UnixMilli()
			for i := range 6 {
				e.ID[i] = byte(ms >> (40 - 8*i))
			}
		}))
	for at, s := range everywhere(t, shop, honest) {
		j := s.Job(anyJob)
		if j.Opened == nil || j.Opened.Device != honest.Device() || j.Stated.Vehicle.Plate != "TEST 1" {
			t.Errorf("at the %s the job is the one of 1996: %+v", at, j.Stated)
		}
		if s.Job("9b2ccv0p") == nil {
			t.Errorf("at the %s what rises counts no more either", at)
		}
	}
}
