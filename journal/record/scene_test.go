package record_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/record"
	"fettlebook/journal/trade/unit"
	"fettlebook/journal/trade/vin"
)

// tablet writes the log of one device.
type tablet struct {
	tb    testing.TB
	write *journaltest.Author
	watch *journaltest.Watch
	log   []journal.Logged
}

// newTablet returns a tablet that opens at eight in the morning.
func newTablet(tb testing.TB, name journal.DeviceID) *tablet {
	w := journaltest.NewWatch(journaltest.Morning())
	return &tablet{tb: tb, write: journaltest.NewAuthor(name, w, string(name)), watch: w}
}

// at sets the tablet's clock to a time of that day, such as "14:18".
func (t *tablet) at(clock string) *tablet {
	t.tb.Helper()
	of, err := time.Parse("15:04", clock)
	if err != nil {
		t.tb.Fatal(err)
	}
	day := journaltest.Morning()
	t.watch.Set(time.Date(day.Year(), day.Month(), day.Day(), of.Hour(), of.Minute(), 0, 0, day.Location()))
	return t
}

// says writes an entry.
func (t *tablet) says(about journal.Subject, by journal.PersonID, data journal.Payload) journal.EntryID {
	t.tb.Helper()
	e, err := t.write.Write(journal.Draft{Subject: about, By: by, Data: data})
	if err != nil {
		t.tb.Fatal(err)
	}
	return t.append(e)
}

// newer writes an entry of a kind that does not exist.
func (t *tablet) newer(about journal.Subject, data string) journal.EntryID {
	t.tb.Helper()
	e, err := t.write.Write(journal.Draft{Subject: about, By: "io", Data: note("a stand-in")})
	if err != nil {
		t.tb.Fatal(err)
	}
	e.Type = journal.Type{Kind: "hub.polished", Version: 1}
	e.Data = []byte(data)
	return t.append(e)
}

func (t *tablet) append(e *journal.Entry) journal.EntryID {
	t.tb.Helper()
	raw, err := e.Encode()
	if err != nil {
		t.tb.Fatal(err)
	}
	t.log = append(t.log, journal.Logged{Position: journal.Position{Device: e.Source.Device, Index: int64(len(t.log))}, Bytes: raw})
	t.watch.Advance(time.Second)
	return e.ID
}

// officeHub is whose word counts in the shop of the tests.
var officeHub = journal.Authority{Shop: journaltest.Shop, Hub: "office"}

// fold folds logs.
func fold(logs ...[]journal.Logged) *record.Shop {
	book := record.NewBook(officeHub)
	for _, log := range logs {
		for _, l := range log {
			book.Add(l)
		}
	}
	return book.Shop()
}

// only returns the one line with an id.
func only(tb testing.TB, s *record.Shop, id journal.EntryID) *record.Line {
	tb.Helper()
	lines := s.Line(id)
	if len(lines) != 1 {
		tb.Fatalf("%d lines have the id %s, want 1", len(lines), id)
	}
	return lines[0]
}

func note(text string) *journal.Remark {
	return &journal.Remark{Evidence: journal.Evidence{Note: text}}
}

// q reads a quantity of the test.
func q[Q interface{ unit.Of[D] }, D unit.Dimension](text string) Q {
	quantity, err := unit.Parse[Q](text)
	if err != nil {
		panic(err)
	}
	return quantity
}

func torque(text, joint string) *journal.Torque {
	return &journal.Torque{Joint: joint, Torque: q[unit.Torque](text), Tool: "tw-1"}
}

// correct strikes an entry; data may be nil.
func correct(of journal.EntryID, reason string, data journal.Payload) *journal.Correction {
	c := &journal.Correction{Of: of, Reason: reason}
	if data != nil {
		raw, err := journal.MarshalPayload(data)
		if err != nil {
			panic(err)
		}
		c.Data = raw
	}
	return c
}

// invented returns a VIN of no maker with a check digit that fits.
func invented(number int) string {
	return vin.WithCheckDigit(vin.VIN(fmt.Sprintf("00FETT%s0T%07d", "LE", number))).String()
}

func opening(number, plate string) *journal.Job {
	return &journal.Job{Vehicle: journal.Vehicle{VIN: number, Plate: plate}}
}

const (
	jobOne = journal.JobID("4f7kk2m9")
	jobTwo = journal.JobID("9w3c0x1t")
)

func one(corner journal.Corner, part journal.PartID) journal.Subject {
	return journal.About(jobOne, corner, part)
}

// day is a day's work on two vehicles that share a bake, with all that can
// happen to a record, in the logs of the office and of two benches.
func day(tb testing.TB) [][]journal.Logged {
	office, bench, other := newTablet(tb, "office"), newTablet(tb, "bench-1"), newTablet(tb, "bench-2")
	card := journaltest.Sample(journal.CardWritten).Data.(*journal.CardWriting)
	office.at("07:30")
	office.says("shop/k7m2q4xw", "mo", journaltest.Sample(journal.ShopFounded).Data)
	office.says("person/io", "mo", &journal.Person{Person: "io", Initials: "IO"})
	office.says("person/mo", "mo", &journal.Person{Person: "mo", Initials: "MK"})
	office.says("lot/pw-0412", "mo", &journal.PowderLot{Lot: "pw-0412", Chemistry: "epoxy-polyester", Colour: "red"})
	office.says(journal.Of("card", string(card.Card)), "mo", card)
	office.says("device/bench-1", "mo", &journal.ClockReading{Device: "bench-1", OffsetMs: 3120, RoundTripMs: 45})
	office.at("08:02").says(one("", ""), "mo", &journal.Job{
		Vehicle:  journal.Vehicle{VIN: strings.ToLower(invented(17)), Plate: "ab-12 cde", Looks: "moss-green estate"},
		Odometer: q[unit.Distance]("84210 km"), Customer: &journal.Citation{Card: card.Card, Commitment: card.Commitment},
		Corners: []journal.Corner{"RF", "LF"}, Wish: "red calipers, quiet pads", Route: "calipers", Edition: 2,
	})
	office.at("08:10").says(journal.About(jobTwo, "", ""), "mo", &journal.Job{Vehicle: journal.Vehicle{Plate: "XY 77 ZZ", Looks: "grey van"}})

	bench.write.Seen = journal.Seen{Size: 12}
	bench.at("08:20").says(one("", ""), "io", &journal.Arrival{Found: []string{"scratch on the left door"}, Agreed: true, Evidence: journal.Evidence{Photos: []journal.Photo{journaltest.Picture("left side"), journaltest.Picture("odometer")}}})
	bench.at("09:10").says(one("LF", "caliper"), "io", &journal.Removal{Condition: "lower pin seized", Evidence: journal.Evidence{Photos: []journal.Photo{journaltest.Picture("as removed")}}})
	bench.says(one("LF", "caliper"), "io", &journal.Tagging{Tag: "LF-1", Mark: "K7 2291", Metal: "iron"})
	bench.says(one("RF", "caliper"), "io", &journal.Tagging{Tag: "RF-1", Mark: "K7 2305", Metal: "iron"})
	other.at("09:40").says(journal.About(jobTwo, "LR", "bracket"), "mo", &journal.Tagging{Tag: "B-3", Mark: "N0-88", Metal: "aluminium"})

	rack := journal.Rack{Parts: []journal.Subject{one("LF", "caliper"), one("RF", "caliper"), journal.About(jobTwo, "LR", "bracket")}}
	bench.at("11:00").says("run/bake-17", "io", &journal.Coating{Rack: rack, Lot: "pw-0412", Coat: 1})
	start := &journal.BakeStart{Rack: rack, Oven: "oven-1", Set: q[unit.Temperature]("200 °C"), Probes: []journal.Probe{{Channel: "1", Place: "by the pin bore", On: journal.About(jobTwo, "LR", "bracket")}}}
	bench.at("11:20").says("run/bake-17", "io", start)
	bench.at("12:05").says("run/bake-17", "io", &journal.Cure{Held: q[unit.Duration]("20 min"), By: "oven clock"})
	wrong := bench.at("12:10").says("run/bake-18", "io", &journal.BakeStart{Rack: journal.Rack{Parts: rack.Parts[1:]}, Set: q[unit.Temperature]("180 °C")})
	bench.says("run/bake-18", "io", correct(wrong, "wrong rack", &journal.BakeStart{Rack: journal.Rack{Parts: rack.Parts[2:]}, Set: q[unit.Temperature]("180 °C")}))

	slip := bench.at("14:18").says(one("LF", ""), "io", torque("80 lbf.ft", "banjo bolt"))
	bench.at("14:22").says(one("LF", ""), "io", correct(slip, "typed ft for in", torque("80 lbf.in", "banjo bolt")))
	fine := bench.at("14:30").says(one("LF", ""), "io", &journal.Bleed{Fluid: "bf-3", Drawn: q[unit.Volume]("250 mL"), Bubbles: "none"})
	doubt := other.at("14:35").says(one("LF", ""), "mo", correct(fine, "was the other corner", nil))
	other.at("14:40").says(one("LF", ""), "mo", correct(doubt, "no, it was this one", nil))
	bench.at("14:41").says(one("LF", ""), "mo", &journal.SecondCheck{Of: slip, Finds: "right"})
	bench.at("14:50").newer(one("RF", "caliper"), `{"wheel":"felt","note":"new work","next_to":"job/9w3c0x1t/corner/LR/part/bracket"}`)
	office.at("16:00").says(one("", ""), "mo", &journal.Release{Odometer: q[unit.Distance]("84212 km"), Told: []string{"come back after 50 km"}})
	office.at("16:01").says(one("", ""), "mo", &journal.Seal{Root: journal.Digest{1}, Entries: 17})
	office.at("16:30").says(journal.Of("card", string(card.Card)), "mo", &journal.CardErasing{Card: card.Card, Reason: "the customer asked"})
	office.says("job/4f7kk2m9", "mo", &journal.Withdrawal{Photo: journaltest.Picture("left side").Ref, Reason: "a face in the window"})
	office.says(one("", ""), "mo", &journal.Retorque{Distance: q[unit.Distance]("50 km"), Torque: q[unit.Torque]("110 N.m"), Tool: "tw-1"})
	for i := range bench.log {
		bench.log[i].Received = journaltest.Morning().Add(9 * time.Hour)
	}
	return [][]journal.Logged{office.log, bench.log, other.log}
}

// replaceKind turns an entry of a newer kind into a torque with bad data.
func replaceKind(raw []byte) []byte {
	return []byte(strings.Replace(string(raw), "hub.polished/1", "torque.applied/1", 1))
}
