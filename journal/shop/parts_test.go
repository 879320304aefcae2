package shop_test

import (
	"context"
	"log/slog"
	"path/filepath"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/index"
	"fettlebook/journal/parts"
	"fettlebook/journal/shop"
)

// bench writes entries that reach a shop when it sends them.
type bench struct {
	*writers
	unsent map[journal.DeviceID][][]byte
}

func newBench(t *testing.T) *bench {
	return &bench{newWriters(t), make(map[journal.DeviceID][][]byte)}
}

func (b *bench) write(device journal.DeviceID, about journal.Subject, data journal.Payload) journal.EntryID {
	b.Helper()
	e, raw := b.made(device, journal.Draft{Subject: about, By: "mk", Data: data})
	b.unsent[device] = append(b.unsent[device], raw)
	return e.ID
}

func (b *bench) send(device journal.DeviceID) {
	for _, raw := range b.unsent[device] {
		b.logs.arrive(device, raw)
	}
	b.unsent[device] = nil
}

// What a job's row rests on outside the job changes the row whenever it comes.
func TestRowsFollowWhatTheyRestOn(t *testing.T) {
	b := newBench(t)
	earlier, later := journal.About("j0b00001", "LF", "caliper"), journal.About("j0b00002", "LF", "caliper")
	number := &journal.Tagging{Tag: "A1", Number: "S-7", Metal: journal.Iron}
	rack := func(p journal.Subject) journal.Rack { return journal.Rack{Parts: []journal.Subject{p}} }

	b.write("hub", "tool/cab-1", &journal.Tool{Tool: "cab-1", What: journal.BlastCabinet})
	b.write("hub", "tool/dry-1", &journal.Tool{Tool: "dry-1", What: journal.AirDryer})
	b.write("bench-2", "tool/cab-1", &journal.Service{Tool: "cab-1", Done: journal.MediaChanged, Media: "glass bead"})
	b.watch.Advance(2 * 24 * time.Hour)
	b.write("bench-1", journal.About("j0b00001", "", ""), &journal.Job{Vehicle: journal.Vehicle{Plate: "AB 1"}, Corners: []journal.Corner{"LF"}, Route: "caliper", Edition: 1})
	b.write("bench-1", earlier, number)
	b.write("bench-1", "run/blast-1", &journal.Blasting{Rack: rack(earlier), Media: "glass bead", Cabinet: "cab-1"})
	b.write("bench-1", "run/coat-1", &journal.Coating{Rack: rack(earlier), Lot: "pw-1", Coat: 1})
	b.write("bench-1", "run/bake-1", &journal.BakeStart{Rack: rack(earlier), Set: quantity[unitTemperature]("190 °C")})
	b.write("bench-1", journal.About("j0b00001", "", ""), &journal.Release{})
	b.send("hub")
	b.send("bench-1")

	s, idx := open(t, b.logs, t.TempDir())
	defer idx.Close()
	row := func(column parts.Name) string {
		t.Helper()
		if err := s.Follow(t.Context()); err != nil {
			t.Fatal(err)
		}
		v := s.View(t.Context())
		table := v.Parts().Where(parts.Filter{})
		if v.Err() != nil || table.Len() == 0 || table.Row(0).Subject() != earlier {
			t.Fatalf("%d rows: %v", table.Len(), v.Err())
		}
		return table.At(0, column).String()
	}
	becomes := func(column parts.Name, before, after string, what func()) {
		t.Helper()
		if got := row(column); got != before {
			t.Errorf("%s was %q before, want %q", column, got, before)
		}
		what()
		if got := row(column); got != after {
			t.Errorf("%s is %q after, want %q", column, got, after)
		}
	}
	becomes(parts.Chemistry, "", "epoxy", func() {
		b.write("hub", "lot/pw-1", &journal.PowderLot{Lot: "pw-1", Chemistry: journal.Epoxy, Colour: "black"})
		b.send("hub")
	})
	becomes(parts.MediaHours, "", "48", func() { b.send("bench-2") })
	becomes(parts.FilterDays, "", "", func() { // after the powder
		b.write("hub", "tool/dry-1", &journal.Service{Tool: "dry-1", Done: journal.DryerServiced})
		b.send("hub")
	})
	becomes(parts.Person, "mk", "MK", func() {
		b.write("hub", "person/mk", &journal.Person{Person: "mk", Initials: "MK", Duties: []journal.Duty{journal.BenchDuty}})
		b.send("hub")
	})
	becomes(parts.Defect(string(journal.Pinhole)), "no", "yes", func() {
		b.watch.Advance(100 * 24 * time.Hour)
		b.write("bench-2", journal.About("j0b00002", "", ""), &journal.Job{Vehicle: journal.Vehicle{Plate: "AB 1"}, Corners: []journal.Corner{"LF"}, Route: "caliper", Edition: 1})
		b.write("bench-2", later, number)
		b.write("bench-2", later, &journal.Defect{Looks: journal.Pinhole, Face: "back", Seen: journal.AfterHandover})
		b.send("bench-2")
	})
	becomes(parts.DaysFollowed, "100", "106", func() {
		b.watch.Advance(6 * 24 * time.Hour)
		b.write("bench-1", journal.About("j0b00001", "", ""), &journal.Contact{How: journal.ByTelephone, About: "the film", Reached: true, Answer: "a bubble"})
		b.send("bench-1")
	})
	bake := journal.EntryID{}
	becomes(parts.Oven, "", "ov-1", func() {
		bake = b.write("bench-1", "run/bake-1", &journal.BakeStart{Rack: rack(earlier), Oven: "ov-1", Set: quantity[unitTemperature]("190 °C")})
		e, err := journal.Decode(b.logs.held["bench-1"][4].Bytes)
		if err != nil {
			t.Fatal(err)
		}
		b.write("bench-1", "run/bake-1", &journal.Correction{Of: e.ID, Reason: "written anew"})
		b.send("bench-1")
	})
	becomes(parts.Bake, "bake-1", "", func() {
		b.write("bench-1", "run/bake-1", &journal.Correction{Of: bake, Reason: "another rack"})
		b.send("bench-1")
	})

	// However one looks, the table is the same.
	table := func(s *shop.Shop, err error) string {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		v := s.View(t.Context())
		text := tableSays(t, v.Parts())
		if v.Err() != nil {
			t.Fatal(v.Err())
		}
		return text
	}
	want := table(s, nil)
	quiet := slog.New(slog.DiscardHandler)
	for name, look := range map[string]func(context.Context, journal.Authority, shop.Log, *index.DB, *slog.Logger) (*shop.Shop, error){"once": shop.OpenOnce, "to read": shop.OpenToRead} {
		of := idx
		if name == "once" {
			fresh, _, err := index.Open(t.Context(), filepath.Join(t.TempDir(), "index.db"), quiet)
			if err != nil {
				t.Fatal(err)
			}
			defer fresh.Close()
			of = fresh
		}
		same(t, "the table as it is opened "+name, want, table(look(t.Context(), by, b.logs, of, quiet)))
	}
}
