package record_test

import (
	"fmt"
	"math/rand/v2"
	"os"
	"strings"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/proof"
	"fettlebook/journal/record"
	"fettlebook/media"

	"github.com/go-json-experiment/json"
	"pgregory.net/rapid"
)

// everything writes down all that a shop says, so that two can be compared.
func everything(t rapid.TB, s *record.Shop) string {
	var b strings.Builder
	put := func(value any) {
		raw, err := json.Marshal(value)
		if err != nil {
			t.Fatal(err)
		}
		b.Write(raw)
		b.WriteByte('\n')
	}
	all := record.Options{Receipts: true, Clocks: true}
	for _, v := range s.Vehicles {
		put(v.View(all))
		if err := v.WriteText(&b, all); err != nil {
			t.Fatal(err)
		}
	}
	for _, j := range s.Jobs {
		put(j.View(all))
		for _, l := range j.Timeline() {
			put(l.ID)
		}
	}
	for _, r := range s.Runs {
		put([]any{r.ID, r.What, r.Parts, r.Lots, r.Lines})
	}
	for _, c := range s.Castings {
		put([]any{c.Mark, c.Notes})
		for _, p := range c.Parts {
			put(p.Subject)
		}
	}
	for _, d := range s.Devices {
		put([]any{d.ID, d.Lines, d.Stated, d.Forked, d.Revoked})
	}
	for _, c := range s.Cards {
		put([]any{c.ID, c.Lines})
	}
	put(s.Loose)
	return b.String()
}

// shuffled adds entries to a book in an order of chance: some twice, some
// first without their time of receipt or with a later one, and with folds in
// between.
func shuffled(logs []journal.Logged, r *rand.Rand) *record.Shop {
	var arrivals []journal.Logged
	for _, l := range logs {
		arrivals = append(arrivals, l)
		for r.IntN(3) == 0 {
			again := l
			if r.IntN(2) == 0 {
				again.Received = time.Time{}
			} else if !l.Received.IsZero() {
				again.Received = l.Received.Add(time.Hour)
			}
			arrivals = append(arrivals, again)
		}
	}
	r.Shuffle(len(arrivals), func(i, j int) { arrivals[i], arrivals[j] = arrivals[j], arrivals[i] })
	book := record.NewBook(officeHub)
	for _, l := range arrivals {
		book.Add(l)
		if r.IntN(len(arrivals)) < 2 {
			book.Shop()
		}
	}
	return book.Shop()
}

// A real day's logs, two thousand times in another order.
func TestAnyOrderOfADay(t *testing.T) {
	var all []journal.Logged
	logs := day(t)
	for _, log := range logs {
		all = append(all, log...)
	}
	want := everything(t, fold(logs...))
	orders := uint64(500)
	if os.Getenv("FETTLEBOOK_HISTORIES") == "all" {
		orders = 2000
	}
	for seed := range orders {
		if got := everything(t, shuffled(all, rand.New(rand.NewPCG(seed, 1)))); got != want {
			t.Fatalf("order %d gives another record:\n%s", seed, firstDifference(got, want))
		}
	}
}

// Any entries at all, in any order: forks, circles, corrections of what is not
// here, two openings, plates that wander.
func TestAnyOrderOfAnything(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		logs := rapid.SliceOfN(rapid.Custom(anything), 0, 40).Draw(t, "entries")
		want := everything(t, fold(logs))
		for seed := range uint64(20) {
			if got := everything(t, shuffled(logs, rand.New(rand.NewPCG(seed, 2)))); got != want {
				t.Fatalf("another order gives another record:\n%s", firstDifference(got, want))
			}
		}
	})
}

func firstDifference(got, want string) string {
	a, b := strings.Split(got, "\n"), strings.Split(want, "\n")
	for i := range min(len(a), len(b)) {
		if a[i] != b[i] {
			return "got  " + a[i] + "\nwant " + b[i]
		}
	}
	return fmt.Sprintf("got %d lines, want %d", len(a), len(b))
}

// nothingYet is the first entry of the log of device c: bytes that are none.
var nothingYet = []byte("{}")

var rootOfC = func() (half [16]byte) {
	root := proof.Leaf(nothingYet)
	return [16]byte(root[:16])
}()

// anything draws one entry of a small world, so that entries often meet.
func anything(t *rapid.T) journal.Logged {
	id := rapid.Custom(smallID)
	devices := rapid.SampledFrom([]journal.DeviceID{"a", "b"})
	jobs := rapid.SampledFrom([]journal.JobID{"j1", "j2", "j3"})
	part := func() journal.Subject {
		return journal.About(jobs.Draw(t, "job"), rapid.SampledFrom([]journal.Corner{"LF", "RR"}).Draw(t, "corner"), "caliper")
	}
	device := devices.Draw(t, "device")
	l := journal.Logged{Position: journal.Position{Device: devices.Draw(t, "log"), Index: rapid.Int64Range(0, 3).Draw(t, "index")}}
	if rapid.Bool().Draw(t, "received") {
		l.Received = time.UnixMilli(rapid.Int64Range(0, 30).Draw(t, "minute") * 60_000)
	}
	e := &journal.Entry{
		SpecVersion: "1.0", ID: id.Draw(t, "id"), Source: journal.Source{Shop: "s", Device: device}, Subject: part(),
		Time: journal.Stamp(journaltest.Morning()), DataContentType: "application/json", By: "io", Boot: "b",
	}
	job := journal.Of("job", string(jobs.Draw(t, "whole job")))
	photo := journal.Evidence{Photos: []journal.Photo{{Ref: media.Ref{1}, Thumb: media.Ref{2}}}}
	var data journal.Payload
	switch rapid.IntRange(0, 18).Draw(t, "kind") {
	case 0:
		number := rapid.SampledFrom([]string{"", "V1", "V2"}).Draw(t, "VIN")
		plate := rapid.SampledFrom([]string{"P1", "p-2", "P 2"}).Draw(t, "plate")
		e.Subject, data = job, &journal.Job{Vehicle: journal.Vehicle{VIN: number, Plate: plate}, Customer: &journal.Citation{Card: "c", Commitment: journal.Digest{1}}}
	case 1:
		e.Subject, data = job, &journal.Release{}
	case 2:
		e.Subject, data = job, &journal.Seal{Root: journal.Digest{1}, Entries: 1}
	case 3, 4, 5, 6:
		var instead journal.Payload
		switch rapid.IntRange(0, 3).Draw(t, "instead") {
		case 0:
			instead = note("instead")
		case 1:
			instead = &journal.Tagging{Tag: "t2", Mark: "m2", Metal: "iron"}
		case 2:
			instead = correct(id.Draw(t, "instead of"), "instead", nil)
		}
		data = correct(id.Draw(t, "of"), "reason", instead)
	case 7:
		data = &journal.Tagging{Tag: "t1", Mark: rapid.SampledFrom([]string{"m1", "M-1", "m2"}).Draw(t, "mark"), Metal: "iron"}
	case 8:
		e.Subject, data = "run/r1", &journal.Cooling{Rack: journal.Rack{Parts: []journal.Subject{part()}}}
	case 9:
		e.Subject, data = "device/a", &journal.ClockReading{Device: device, OffsetMs: rapid.Int64Range(-5000, 5000).Draw(t, "offset")}
	case 10:
		e.Subject, data = "device/a", &journal.Revocation{Device: device, Reason: "lost"}
	case 11:
		e.Subject, data = "card/c", &journal.CardErasing{Card: "c", Reason: "asked"}
	case 12:
		data = &journal.Withdrawal{Photo: media.Ref{1}, Reason: "asked", Evidence: photo}
	case 13:
		e.Type, e.Data = journal.Type{Kind: "hub.polished", Version: 1}, []byte(`{"x":1}`)
	case 14:
		l.Bytes = rapid.SampledFrom([][]byte{nil, {0xff}, nothingYet}).Draw(t, "no entry")
		if string(l.Bytes) == string(nothingYet) {
			l.Position = journal.Position{Device: "c"}
		}
		return l
	case 15:
		e.Subject, data = "device/a", &journal.LogClosing{Device: device, Counts: rapid.Int64Range(0, 2).Draw(t, "counts")}
	case 16:
		e.Subject, data = "device/a", &journal.LogNote{Device: device, From: rapid.Int64Range(0, 2).Draw(t, "from")}
	case 17:
		e.Subject, data = "shop/s", journaltest.Sample(journal.ShopFounded).Data
	default:
		data = note("a remark")
	}
	switch rapid.IntRange(0, 9).Draw(t, "after") {
	case 0:
		e.After = journal.After{{Device: devices.Draw(t, "cites"), Size: rapid.Int64Range(1, 3).Draw(t, "size"), Root: [16]byte{1}}}
	case 1, 2:
		e.After = journal.After{{Device: "c", Size: 1, Root: rootOfC}}
	}
	if data != nil {
		raw, err := journal.MarshalPayload(data)
		if err != nil {
			t.Fatal(err)
		}
		e.Type, e.Data = journal.Type{Kind: data.Kind(), Version: 1}, raw
	}
	raw, err := e.Encode()
	if err != nil {
		t.Fatal(err)
	}
	l.Bytes = raw
	return l
}

// smallID draws an id of few, so that many are drawn twice.
func smallID(t *rapid.T) journal.EntryID {
	minute := rapid.Int64Range(0, 40).Draw(t, "minute")
	id, err := journal.ParseEntryID(fmt.Sprintf("%08x-%04x-7000-8000-000000000000", minute*60_000>>16, minute*60_000&0xffff))
	if err != nil {
		t.Fatal(err)
	}
	return id
}
