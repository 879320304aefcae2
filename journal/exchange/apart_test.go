package exchange_test

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/exchange"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/shop"
	"fettlebook/journal/trade/unit"

	"github.com/cloudevents/sdk-go/v2/event"
)

// Nothing of another job is in any file of a job, whatever both shared.
func TestNothingOfOtherVehicles(t *testing.T) {
	h := newHistory(t, 1000)
	shared := 0
	check := func(what string, s *exchange.Source) {
		mine := func(id string) bool {
			for _, st := range s.Jobs {
				if string(st.Job.ID) == id {
					return true
				}
			}
			return false
		}
		for _, f := range exchange.Forms() {
			var out bytes.Buffer
			left, err := exchange.Write(t.Context(), &out, f, s)
			if err != nil {
				t.Fatal(err)
			}
			shared += left.Shared
			for _, id := range h.view.Names("job") {
				other := h.view.Job(journal.JobID(id))
				if mine(id) || other.Stated == nil {
					continue
				}
				names := []string{"job/" + id}
				if s.Jobs[0].Job.Vehicle != nil && other.Vehicle != nil && s.Jobs[0].Job.Vehicle.Key != other.Vehicle.Key {
					names = append(names, other.Stated.Vehicle.VIN, other.Stated.Vehicle.Plate)
				}
				if other.Customer != nil && (s.Jobs[0].Job.Customer == nil || other.Customer.Card != s.Jobs[0].Job.Customer.Card) {
					names = append(names, string(other.Customer.Card))
				}
				for _, name := range names {
					if name != "" && bytes.Contains(out.Bytes(), []byte(name)) {
						t.Fatalf("%s as %s tells of %s", what, f, name)
					}
				}
			}
		}
	}
	jobs := h.view.Names("job")
	for _, id := range jobs[:8] {
		check("job "+id, h.job(journal.JobID(id)))
	}
	if shared == 0 {
		t.Error("nothing is shown: no entry was left out")
	}
}

// A vehicle that came back has the events of all its jobs, those of a run that
// both took part in once.
func TestVehicleThatCameBack(t *testing.T) {
	h := newHub(t)
	first, second, other := h.open("4f7kk2m9", "FB 204"), h.open("9w3c0x1t", "FB 204"), h.open("2b5n8r0a", "FB 301")
	rack := journal.Rack{}
	for _, job := range []journal.Subject{first, second, other} {
		rack.Parts = append(rack.Parts, job+"/corner/LF/part/caliper")
	}
	start := h.write("run/bake-1", &journal.BakeStart{Rack: rack, Set: q[unit.Temperature](t, "200 °C")})
	view := h.view()
	is, jobs := view.Vehicle(view.Job("4f7kk2m9").Vehicle.Key)
	if is == nil || len(jobs) != 2 || view.Err() != nil {
		t.Fatalf("%v, %d jobs, %v", is, len(jobs), view.Err())
	}
	s := &exchange.Source{Shop: journaltest.Shop, Jobs: jobs, Log: h}
	doc := decoded(t, written(t, exchange.EPCIS, s))
	if n := len(events(doc)); n != 3 {
		t.Errorf("%d events", n)
	}
	if e := find(t, doc, name(h, start)); len(e["childEPCs"].([]any)) != 2 || len(e["bizTransactionList"].([]any)) != 2 {
		t.Errorf("%v", e)
	}
	for _, f := range exchange.Forms() {
		if raw := string(written(t, f, s)); strings.Contains(raw, "301") || strings.Contains(raw, "2b5n8r0a") {
			t.Errorf("%s tells of the other vehicle", f)
		}
	}
}

// A remark on a run that another vehicle's part took part in may be about that
// vehicle. It is in no file, and what was measured of the run is.
func TestRemarksOnSharedRuns(t *testing.T) {
	h := newHub(t)
	job, other := h.open("4f7kk2m9", "FB 204"), h.open("9w3c0x1t", "FB 301")
	part := journal.Subject(job + "/corner/LF/part/caliper")
	rack := journal.Rack{Parts: []journal.Subject{part, other + "/corner/LF/part/caliper"}}
	h.write("run/bake-1", &journal.BakeStart{Rack: rack, Set: q[unit.Temperature](t, "200 °C"), Load: q[unit.Mass](t, "12 kg")})
	said := h.write("run/bake-1", &journal.Cure{Metal: q[unit.Temperature](t, "196 °C"), Held: q[unit.Duration](t, "21 min"), By: journal.ByInfrared, Evidence: journal.Evidence{Note: "the one of FB 301 has a run in the film"}})
	slip := h.write("run/bake-1", &journal.Cure{Metal: q[unit.Temperature](t, "197 °C"), Held: q[unit.Duration](t, "22 min"), By: journal.ByInfrared})
	h.write("run/bake-1", &journal.Remark{Evidence: journal.Evidence{Note: "FB 301 hung to the left"}})
	h.write("run/bake-1", &journal.Correction{Of: slip.ID, Reason: "that was FB 301"})
	s := h.source("4f7kk2m9")
	for _, f := range exchange.Forms() {
		if raw := string(written(t, f, s)); strings.Contains(raw, "301") || strings.Contains(raw, "9w3c0x1t") {
			t.Errorf("%s tells of the other vehicle: %s", f, raw)
		}
	}
	doc := decoded(t, written(t, exchange.EPCIS, s))
	e := find(t, doc, name(h, said))
	if fmt.Sprint(e["childEPCs"]) != "[urn:fettlebook:"+string(journaltest.Shop)+":"+string(part)+"]" || e["type"] != "AggregationEvent" || e["sensorElementList"] == nil {
		t.Errorf("%v", e)
	}
	var out bytes.Buffer
	if left, err := s.Events(t.Context(), &out); err != nil || left.Shared != 4 || !strings.Contains(out.String(), "197 °C") {
		t.Errorf("%+v %v %s", left, err, out.String())
	}
}

// The events are the entries, byte for byte, in the order of replay, and
// CloudEvents by its own SDK; their hashes are the ids in EPCIS.
func TestEventsAreTheEntries(t *testing.T) {
	h := newHistory(t, 1000)
	for _, id := range h.view.Names("job")[:4] {
		s := h.job(journal.JobID(id))
		var out bytes.Buffer
		left, err := s.Events(t.Context(), &out)
		if err != nil {
			t.Fatal(err)
		}
		lines := bytes.Split(bytes.TrimSuffix(out.Bytes(), []byte("\n")), []byte("\n"))
		var want []journal.Position
		for _, l := range s.Jobs[0].Job.Timeline() {
			want = append(want, l.Position())
		}
		logged, err := h.db.Pick(t.Context(), want)
		if err != nil {
			t.Fatal(err)
		}
		raw := make(map[journal.Position][]byte)
		for _, e := range logged {
			raw[e.Position] = e.Bytes
		}
		if len(lines) != len(want)-left.Shared || left.Unreadable > 0 {
			t.Fatalf("job %s: %d lines of %d entries, %+v", id, len(lines), len(want), left)
		}
		doc := events(decoded(t, written(t, exchange.EPCIS, s)))
		for i, at := range want {
			if doc[i]["eventID"] != named(raw[at]) {
				t.Errorf("job %s: event %d is %v", id, i+1, doc[i]["eventID"])
			}
			if len(lines) == 0 || !bytes.Equal(lines[0], raw[at]) {
				left.Shared--
				continue
			}
			line := lines[0]
			lines = lines[1:]
			var ce event.Event
			if err := ce.UnmarshalJSON(line); err != nil {
				t.Fatal(err)
			}
			if err := ce.Validate(); err != nil {
				t.Error(err)
			}
		}
		if len(lines) > 0 || left.Shared != 0 {
			t.Errorf("job %s: %d lines are no entries, or not in their order", id, len(lines))
		}
	}
}

// Who writes line ends into an entry with a tablet's keys adds no line.
func TestAnEntryIsOneLine(t *testing.T) {
	h := newHub(t)
	job := h.open("4f7kk2m9", "FB 204")
	h.write(job, &journal.Remark{Evidence: journal.Evidence{Note: "one"}})
	last := &h.log[len(h.log)-1]
	last.Bytes = bytes.Replace(last.Bytes, []byte(`"data":`), []byte("\"data\":\n"), 1)
	var out bytes.Buffer
	left, err := h.source("4f7kk2m9").Events(t.Context(), &out)
	if err != nil || left.Unreadable != 1 || strings.Count(out.String(), "\n") != 1 {
		t.Errorf("%+v %v %s", left, err, out.String())
	}
}

// A withdrawn photograph is named by its hash and said to be withdrawn, with
// nothing of it; entries that count for nothing are no events and counted.
func TestWithdrawnPhotograph(t *testing.T) {
	h := newHub(t)
	job := h.open("4f7kk2m9", "FB 204")
	photo := journaltest.Picture("as it came in")
	h.write(job, &journal.Arrival{Found: []string{"dust"}, Agreed: true, Evidence: journal.Evidence{Photos: []journal.Photo{photo}}})
	h.write(job, &journal.Withdrawal{Photo: photo.Ref, Reason: "shows a face"})
	raw := string(written(t, exchange.EPCIS, h.source("4f7kk2m9")))
	if !strings.Contains(raw, `"withdrawn": true`) || strings.Contains(raw, "thumb") {
		t.Errorf("%s", raw)
	}
}

// What is asked for is what there is; nothing is written when nobody waits.
func TestStops(t *testing.T) {
	h := newHub(t)
	h.open("4f7kk2m9", "FB 204")
	s := h.source("4f7kk2m9")
	var out bytes.Buffer
	if _, err := exchange.Write(t.Context(), &out, "xml", s); err == nil || out.Len() > 0 {
		t.Errorf("%v %s", err, out.String())
	}
	h.log = h.log[:len(h.log)-1]
	if _, err := exchange.Write(t.Context(), &out, exchange.EPCIS, s); !errors.Is(err, shop.ErrGone) || out.Len() > 0 {
		t.Errorf("an entry is gone: %v", err)
	}
}

// People stand by their initials, unless names are asked for.
func TestPeopleByInitials(t *testing.T) {
	h := newHub(t)
	job := h.open("4f7kk2m9", "FB 204")
	h.write(job, &journal.Remark{Evidence: journal.Evidence{Note: "dust boot torn"}})
	s := h.source("4f7kk2m9")
	if raw := string(written(t, exchange.EPCIS, s)); !strings.Contains(raw, `"fettlebook:by": "JR"`) || strings.Contains(raw, `"jr"`) {
		t.Errorf("%s", raw)
	}
	s.Name = func(id journal.PersonID) string { return "J. Rake" }
	if raw := string(written(t, exchange.EPCIS, s)); !strings.Contains(raw, `"fettlebook:by": "J. Rake"`) {
		t.Errorf("%s", raw)
	}
}

// A recording says when it began and ended, by the recorder's clock, the peak
// of each channel, and its file by its hash.
func TestRecording(t *testing.T) {
	h := newHub(t)
	part := journal.Subject(h.open("4f7kk2m9", "FB 204") + "/corner/LF/part/caliper")
	h.write("run/bake-1", &journal.BakeStart{Rack: journal.Rack{Parts: []journal.Subject{part}}, Set: q[unit.Temperature](t, "390 °F"), Probes: []journal.Probe{{Channel: "thin", Place: "pin bore", On: part}}})
	d := &journal.ProbeTrace{Unit: journal.UnitFahrenheit, Seconds: "30 60 90.5", Channels: []journal.Channel{{Channel: "thin", Readings: "70 380.5 -"}, {Channel: "air", Readings: "- - -"}}, File: journal.Digest{7}}
	if err := d.Begun.UnmarshalText([]byte("2026-03-02T09:00:00+01:00")); err != nil {
		t.Fatal(err)
	}
	e := h.write("run/bake-1", d)
	got := fmt.Sprint(find(t, decoded(t, written(t, exchange.EPCIS, h.source("4f7kk2m9"))), name(h, e))["sensorElementList"])
	for _, want := range []string{"startTime:2026-03-02T09:00:30+01:00", "endTime:2026-03-02T09:01:30.5+01:00", "rawData:ni:///sha-256;BwAAA", "maxValue:380.5", "uom:FAH", "channel thin"} {
		if !strings.Contains(got, want) {
			t.Errorf("no %s in %s", want, got)
		}
	}
	if strings.Contains(got, "channel air") {
		t.Errorf("a channel without readings has a peak: %s", got)
	}
}
