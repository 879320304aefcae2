package shop_test

import (
	"testing"

	"fettlebook/journal"
)

// When the hub had an entry is known wherever the entry is shown: in the record
// of another job that it names, and in the register that it corrects.
func TestReceivedWhereverItIsShown(t *testing.T) {
	w := newWriters(t)
	write := func(about journal.Subject, data journal.Payload) journal.EntryID {
		return w.write("hub", about, "io", data)
	}
	part := journal.About("j0b00002", "LF", "caliper")
	write(journal.About("j0b00001", "LF", "caliper"), &journal.Blasting{Rack: journal.Rack{Parts: []journal.Subject{part}}, Media: "glass bead"})
	tool := write("tool/tw-1", &journal.Tool{Tool: "tw-1", What: journal.TorqueWrench, Low: quantity[unitTorque]("5 N.m"), High: quantity[unitTorque]("60 N.m")})
	slip := write(journal.About("j0b00001", "", ""), &journal.Correction{Of: tool, Reason: "slip"})
	s, idx := open(t, w.logs, t.TempDir())
	defer idx.Close()
	look := func(received bool) {
		t.Helper()
		if err := s.Follow(t.Context()); err != nil {
			t.Fatal(err)
		}
		v := s.View(t.Context())
		lines := append(v.Job("j0b00002").Timeline(), v.Shop.Line(slip)...)
		if len(lines) != 2 {
			t.Fatalf("%d lines", len(lines))
		}
		for _, l := range lines {
			if got := l.Clocks.Received != (journal.Stamp{}); got != received {
				t.Errorf("%s: received %v", l.Kind, got)
			}
		}
	}
	look(false)
	w.logs.countersign("hub", w.watch.Now())
	look(true)
}
