package shop_test

import (
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/parts"
	"fettlebook/journal/record"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
)

// A probe on a part of one job stands for a part of another on the same rack, as
// long as nobody knows them to be of two metals: whatever becomes known of the
// one part changes what is said of the other, as in the fold of everything.
func TestAProbeOnAPartOfAnotherJob(t *testing.T) {
	b := newBench(t)
	mine, its := journal.About("j0b00001", "LF", "caliper"), journal.About("j0b00002", "LF", "caliper")
	rack := journal.Rack{Parts: []journal.Subject{mine, its}}
	b.write("hub", "lot/pw-1", &journal.PowderLot{Lot: "pw-1", Chemistry: journal.Epoxy, Colour: "black", Schedule: []journal.BakePoint{{Metal: quantity[unitTemperature]("180 °C"), Hold: quantity[unitDuration]("10 min")}}})
	for _, part := range rack.Parts {
		b.write("bench-1", journal.About(part.Job(), "", ""), &journal.Job{Vehicle: journal.Vehicle{Plate: string(part.Job())}, Corners: []journal.Corner{"LF"}})
	}
	b.write("bench-1", mine, &journal.Tagging{Tag: "A1", Metal: journal.Iron})
	b.write("bench-1", "run/coat-1", &journal.Coating{Rack: rack, Lot: "pw-1", Coat: 1})
	start := journal.BakeStart{Rack: rack, Set: quantity[unitTemperature]("190 °C"), Probes: []journal.Probe{{Channel: "1", Place: "ear", On: its}}}
	begun := b.write("bench-1", "run/bake-1", &start)
	b.write("bench-1", "run/bake-1", &journal.ProbeTrace{Unit: journal.UnitCelsius, Seconds: "0 60 120 180 240 300 360 420 480 540 600 660", Channels: []journal.Channel{{Channel: "1", Readings: "185 185 185 185 185 185 185 185 185 185 185 185"}}})
	b.send("hub")
	b.send("bench-1")
	s, idx := open(t, b.logs, t.TempDir())
	defer idx.Close()
	says := func(what string, proven bool) {
		t.Helper()
		if err := s.Follow(t.Context()); err != nil {
			t.Fatal(err)
		}
		v := s.View(t.Context())
		whole := record.NewBook(by)
		for _, e := range b.logs.all() {
			whole.Add(e)
		}
		want := whole.Shop()
		sameParts(t, want, v)
		alike(t, want, v)
		if got := v.Parts().At(0, parts.Schedule); got.Known() != proven {
			t.Errorf("%s: the schedule fraction is %q", what, got)
		}
	}
	instead := func(of journal.EntryID, p journal.Payload) *journal.Correction {
		t.Helper()
		raw, err := json.Marshal(p)
		if err != nil {
			t.Fatal(err)
		}
		return &journal.Correction{Of: of, Reason: "looked again", Data: jsontext.Value(raw)}
	}
	says("no probe stands for it", false)
	start.StandIns = []journal.StandIn{{Part: mine, Probe: "1", Is: journal.Alike}}
	b.write("bench-1", "run/bake-1", instead(begun, &start))
	b.send("bench-1")
	says("the other part has no tag", true)
	light := b.write("bench-2", its, &journal.Tagging{Tag: "B1", Metal: journal.Aluminium})
	b.send("bench-2")
	says("it is of another metal", false)
	b.write("bench-2", its, instead(light, &journal.Tagging{Tag: "B1", Metal: journal.Iron}))
	b.send("bench-2")
	says("it is of the same metal", true)
	b.write("bench-2", its, &journal.Tagging{Tag: "B1", Metal: journal.Aluminium})
	b.send("bench-2")
	says("it is of another metal after all", false)
	b.write("bench-1", mine, &journal.Tagging{Tag: "A1", Metal: journal.Aluminium})
	b.send("bench-1")
	says("so is this one", true)
}
