package route_test

import (
	"errors"
	"log/slog"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/card"
	"fettlebook/journal/index"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/proof"
	"fettlebook/journal/route"
	"fettlebook/journal/shop"
	"fettlebook/journal/sqlitelog"
	"fettlebook/journal/trade/unit"
)

// counter is the tablet on which vehicles are handed back.
const counter = journal.DeviceID("counter")

// floor is a shop with its register and a journal on the disk: the hub and two
// benches write jobs, and the tablet at the counter, which receives their
// entries, hands vehicles back.
type floor struct {
	tb   testing.TB
	keys map[journal.DeviceID]proof.Key
	pens *pens
	db   *sqlitelog.DB
	shop *shop.Shop
}

func newFloor(tb testing.TB) *floor {
	tb.Helper()
	f := &floor{tb: tb, keys: make(map[journal.DeviceID]proof.Key), pens: newPens()}
	for _, d := range []journal.DeviceID{office, bench1, bench2, counter} {
		key, err := proof.NewKey(journaltest.Rand("key of "+string(d)), proof.Origin(journaltest.Shop, d))
		if err != nil {
			tb.Fatal(err)
		}
		f.keys[d] = key
	}
	dir, now := tb.TempDir(), f.pens.watch.Now
	var err error
	f.db, err = sqlitelog.Open(tb.Context(), filepath.Join(dir, "journal.db"), sqlitelog.Options{
		Shop: journaltest.Shop, Own: counter, Key: f.keys[counter], Hub: office, HubKey: f.keys[office].Verifier(),
		Boot: "b1", Clock: journal.NewClock(now, journaltest.Rand("ids of the counter")), Now: now, Started: now(),
	})
	if err != nil {
		tb.Fatal(err)
	}
	tb.Cleanup(func() { f.db.Close() })
	idx, _, err := index.Open(tb.Context(), filepath.Join(dir, "index.db"), slog.New(slog.DiscardHandler))
	if err != nil {
		tb.Fatal(err)
	}
	tb.Cleanup(func() { idx.Close() })
	f.shop = shop.Open(journal.Authority{Shop: journaltest.Shop, Hub: office}, f.db, idx, slog.New(slog.DiscardHandler))
	f.register()
	return f
}

// register is what the shop wrote down before its first job.
func (f *floor) register() {
	s := &story{tb: f.tb, citing: true}
	for _, d := range []journal.DeviceID{bench1, bench2, counter} {
		invited := "invited " + string(d)
		s.add(
			plain(invited, office, journal.Of("shop", string(journaltest.Shop)), "io", journal.Invitation{Token: journal.Digest{1}, Expires: journal.Stamp(journaltest.Morning().AddDate(1, 0, 0)), Name: string(d)}),
			linked("enrolled "+string(d), office, journal.Of("device", string(d)), "io", func(ids map[string]journal.EntryID) journal.Payload {
				return &journal.Device{Device: d, Name: string(d), LogKey: f.keys[d].Verifier(), ConnectKey: connectKey, Invitation: ids[invited]}
			}),
		)
	}
	for _, name := range card.SuppliedNames() {
		text, err := card.Supplied(name)
		if err != nil {
			f.tb.Fatal(err)
		}
		s.add(plain("card "+string(name), office, journal.Of("route", string(name)), "io", journal.RouteCard{Route: name, Edition: 1, Text: text}))
	}
	s.register()
	s.figures()
	f.write(s)
}

// figures puts those joints on the register that the complete job does not have.
func (s *story) figures() {
	for _, j := range []struct{ id, joint, nominal, low, high string }{
		{"flare", "flare nut", "16 N.m", "14 N.m", "18 N.m"},
		{"mount", "mounting bolts", "90 N.m", "84 N.m", "96 N.m"},
		{"ball", "ball joint nut", "60 N.m", "55 N.m", "65 N.m"},
		{"bush", "bush bolts", "90 N.m", "80 N.m", "100 N.m"},
	} {
		s.add(spec(j.id, journal.TorqueSpec{Joint: j.joint, Nominal: q[unit.Torque](j.nominal), Low: q[unit.Torque](j.low), High: q[unit.Torque](j.high)}))
	}
}

// spec puts a joint's figure on the register.
func spec(id string, is journal.TorqueSpec) step {
	is.Spec, is.From, is.Page = journal.SpecID(id), journal.FromManual, "4-17"
	return plain("spec "+id, office, journal.Of("spec", id), "io", is)
}

// A public key of nobody: its private half was thrown away.
const connectKey = "UDQQQTGJBZOCDDZ6V2UHNRMTK2CCYYMLL55WPOUKOKLODYZJON6KRUXO"

// write has the devices write a story, and the counter receive their logs.
func (f *floor) write(s *story) written {
	f.tb.Helper()
	w := f.pens.write(f.tb, s.steps, s.citing)
	for _, d := range []journal.DeviceID{office, bench1, bench2} { // the hub's first: it has the keys of the others
		segment := journal.Segment{Device: d}
		for _, l := range w.log {
			if l.Position.Device == d {
				if len(segment.Entries) == 0 {
					segment.First = l.Position.Index
				}
				segment.Entries = append(segment.Entries, l.Bytes)
			}
		}
		if len(segment.Entries) == 0 {
			continue
		}
		tree := f.pens.trees[d]
		checkpoint, err := proof.Sign(f.keys[d].Signer(), tree.Size(), tree.Root())
		if err != nil {
			f.tb.Fatal(err)
		}
		segment.Checkpoint = checkpoint
		if _, err := f.db.Receive(f.tb.Context(), segment); err != nil {
			f.tb.Fatal(err)
		}
	}
	return w
}

// handedBack is what came of pressing release.
type handedBack struct {
	standing *shop.Standing
	refused  *route.Unreleasable // nil if it went through
}

// handBack writes a job and hands its vehicle back, as the program does.
func (f *floor) handBack(s *story) handedBack {
	f.tb.Helper()
	f.write(s)
	ctx := f.tb.Context()
	release := journal.Draft{Subject: s.on("", ""), By: "io", Data: &journal.Release{Odometer: q[unit.Distance]("84216 km"), Told: []string{"wheel nuts again after 50 to 100 km"}}}
	f.pens.watch.Advance(time.Minute)
	var h handedBack
	switch err := f.shop.MayAppend(ctx, release); {
	case errors.As(err, &h.refused):
	case err != nil:
		f.tb.Fatal(err)
	default:
		if _, err := f.db.Append(ctx, release); err != nil {
			f.tb.Fatal(err)
		}
		if err := f.shop.Follow(ctx); err != nil {
			f.tb.Fatal(err)
		}
	}
	v := f.shop.View(ctx)
	if h.standing = v.Standing(s.job); v.Err() != nil || h.standing == nil {
		f.tb.Fatalf("the job is not there: %v", v.Err())
	}
	return h
}

// named finds a thing of a story's job by how people call it: "LF caliper",
// "LF", "vehicle".
func (s *story) named(place string) journal.Subject {
	if place == "vehicle" {
		return s.on("", "")
	}
	corner, part, _ := strings.Cut(place, " ")
	return s.on(journal.Corner(corner), journal.PartID(part))
}

// of finds how a hold stands for a thing.
func (h handedBack) of(hold journal.HoldID, about journal.Subject) route.Verdict {
	for v := range route.Each(h.standing.Rows) {
		if v.Hold == hold && v.Subject == about {
			return v
		}
	}
	return route.Verdict{}
}
