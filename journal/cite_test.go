package journal_test

import (
	"slices"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
)

// What a sample's text holds of names that stand for things is cited.
func TestCites(t *testing.T) {
	for kind, want := range map[journal.Kind][]journal.Subject{
		journal.TorqueApplied:  {"tool/tw-1", "spec/"},
		journal.BakeStarted:    {"job/", "tool/"},
		journal.PowderApplied:  {"lot/pw-0412"},
		journal.BleedDone:      {"fluid/", "tool/tw-1"},
		journal.JobOpened:      {"card/", "route/", "entry/"},
		journal.SecondChecked:  {"entry/"},
		journal.DefectFound:    {"run/bake-17"},
		journal.EntryCorrected: {"entry/"},
		journal.PhotoWithdrawn: {"photo/"},
		journal.DeviceEnrolled: {"device/", "entry/"},
		journal.PersonAdded:    {"person/", "card/"},
		journal.ClaimDecided:   {"entry/"},
	} {
		got := journal.Cites(journaltest.Sample(kind).Data)
		for _, w := range want {
			if !slices.ContainsFunc(got, func(s journal.Subject) bool { return strings.HasPrefix(string(s), string(w)) }) {
				t.Errorf("%s cites %v and not %s", kind, got, w)
			}
		}
	}
	for _, d := range journaltest.Samples() {
		got := journal.Cites(d.Data)
		if len(slices.Compact(slices.Sorted(slices.Values(got)))) != len(got) {
			t.Errorf("%s cites a thing twice: %v", d.Data.Kind(), got)
		}
	}
}

// A wheel uses a wrench once for each nut; a check of a wrench is not a use.
func TestUses(t *testing.T) {
	uses := func(p journal.Payload) map[journal.Subject]int {
		m := make(map[journal.Subject]int)
		for _, u := range journal.Uses(p) {
			m[u.Of] = u.Times
		}
		return m
	}
	for _, c := range []struct {
		data journal.Payload
		of   journal.Subject
		want int
	}{
		{&journal.WheelFit{Nuts: 5, Tool: "tw-1"}, "tool/tw-1", 5},
		{&journal.Torque{Count: 2, Tool: "tw-1", Spec: "pin"}, "tool/tw-1", 2},
		{&journal.Torque{Count: 2, Tool: "tw-1", Spec: "pin"}, "spec/pin", 1},
		{&journal.Torque{Tool: "tw-1"}, "tool/tw-1", 1},
		{&journal.Retorque{Tool: "tw-1"}, "tool/tw-1", 1},
		{&journal.Bleed{Fluid: "f1", Tool: "tw-2"}, "tool/tw-2", 1},
		{&journal.Bleed{Fluid: "f1", Tool: "tw-2", Screws: 2}, "tool/tw-2", 2},
		{&journal.Bleed{Fluid: "f1", Screws: 2}, "fluid/f1", 1},
		{&journal.ColourApproval{Sample: "panel 3", Lot: "pw-1"}, "lot/pw-1", 0},
		{&journal.BakeStart{Oven: "oven", Probes: []journal.Probe{{Channel: "1", Tool: "tc-1"}}}, "tool/tc-1", 1},
		{&journal.ToolCheck{Tool: "tw-1"}, "tool/tw-1", 0},
		{&journal.FluidContainer{Fluid: "f1"}, "fluid/f1", 0},
	} {
		if got := uses(c.data)[c.of]; got != c.want {
			t.Errorf("%s uses %s %d times, not %d", c.data.Kind(), c.of, got, c.want)
		}
	}
}
