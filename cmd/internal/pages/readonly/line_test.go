package readonly_test

import (
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"fettlebook/cmd/internal/pages/live"
	"fettlebook/cmd/internal/pages/readonly"
	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/words"
)

// The hub's time stands beside the device's, in the zone of the device, and
// with its day if that is another.
func TestReceived(t *testing.T) {
	shop := &live.Snapshot{Shop: &record.Shop{Founded: &record.Line{Device: "hub0c1n2"}}}
	zone := time.FixedZone("", 3600)
	written := journal.Stamp(time.Date(2026, 3, 5, 11, 31, 0, 0, zone))
	for _, c := range []struct {
		device   journal.DeviceID
		received time.Time
		want     string
	}{
		{"t3fz8c1n", time.Date(2026, 3, 5, 16, 40, 0, 0, time.UTC), "hub 17:40"},
		{"t3fz8c1n", time.Date(2026, 3, 6, 7, 2, 0, 0, time.UTC), "hub 6 March 08:02"},
		{"t3fz8c1n", time.Date(2026, 3, 5, 23, 30, 0, 0, time.UTC), "hub 6 March 00:30"},
		{"t3fz8c1n", time.Time{}, "not at the hub yet"},
		{"hub0c1n2", time.Time{}, "at the hub"},
	} {
		l := &record.Line{Device: c.device, Subject: "job/4f7kk2m9/corner/RF/part/caliper", Kind: journal.NoteMade, Payload: &journal.Remark{},
			Clocks: record.Clocks{Device: written, Received: journal.Stamp(c.received)}, Flags: []record.Flag{record.AfterHandover, record.ClockAhead}}
		got := readonly.NewLine(l, shop)
		if got.Hub != c.want || got.Time != "11:31" || got.Place != "RF caliper" {
			t.Errorf("%v: got %q, %q, %q, want %q", c.received, got.Hub, got.Time, got.Place, c.want)
		}
		if !got.After || len(got.Flags) != 1 || !strings.HasPrefix(got.Flags[0], "The device’s clock was more than ten minutes ahead") {
			t.Errorf("flags: %v, after handover: %t", got.Flags, got.After)
		}
	}
}

func TestFilterOf(t *testing.T) {
	for query, want := range map[string]readonly.Filter{
		"":                                 {},
		"corner=LF&what=photos&stage=cure": {Corner: "LF", What: "photos", Stage: "cure"},
		"corner=XX&what=everything&all=1":  {Whole: true},
		"corner=%3Cscript%3E":              {},
	} {
		if got := readonly.FilterOf(httptest.NewRequest("GET", "/record/x?"+query, nil)); got != want {
			t.Errorf("%q: got %+v, want %+v", query, got, want)
		}
	}
}

func TestPaths(t *testing.T) {
	for got, want := range map[string]string{
		readonly.VehiclePath("plate/A/B?C#D"):                                                 "/vehicle/plate/A%2FB%3FC%23D",
		readonly.WritePath(journal.ContactMade, "job/4f7kk2m9", "about", "wheel nuts & pads"): "/write/contact.made/job/4f7kk2m9?about=wheel+nuts+%26+pads",
		readonly.WritePath(journal.PowderReceived, journal.Of("lot", "new")):                  "/write/powder.received/lot/new",
		words.Capital("élan"):           "Élan",
		words.Capital("tw-1 is in use"): "tw-1 is in use",
	} {
		if got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}
