package shop_test

import (
	"context"
	"testing"

	"fettlebook/journal"
)

// A reading of a clock that does not count hides none that does: neither one
// that a tablet wrote, nor one that was struck out.
func TestReadingThatDoesNotCount(t *testing.T) {
	w := newWriters(t)
	write := func(on journal.DeviceID, about journal.Subject, data journal.Payload) journal.EntryID {
		return w.write(on, about, "io", data)
	}
	counts := write("hub", "device/bench-1", &journal.ClockReading{Device: "bench-1", OffsetMs: -7000})
	struck := write("hub", "device/bench-1", &journal.ClockReading{Device: "bench-1", OffsetMs: 1000})
	write("hub", "device/bench-1", &journal.Correction{Of: struck, Reason: "another tablet's"})
	for range 3 {
		write("bench-2", "device/bench-1", &journal.ClockReading{Device: "bench-1", OffsetMs: 9000})
	}
	written := write("bench-1", "job/j0b00001", &journal.Remark{Evidence: journal.Evidence{Note: "a remark"}})
	s, idx := open(t, w.logs, t.TempDir())
	defer idx.Close()
	if err := s.Follow(context.Background()); err != nil {
		t.Fatal(err)
	}
	v := s.View(context.Background())
	for _, l := range v.Line(written) {
		if o := l.Clocks.Offset; o == nil || o.Compared != counts {
			t.Errorf("the clock was last compared as %+v, want by %s", o, counts)
		}
	}
	for _, m := range v.Words("remark", 5) {
		if o := m.Line.Clocks.Offset; o == nil || o.Compared != counts {
			t.Errorf("by its words, the clock was last compared as %+v, want by %s", o, counts)
		}
	}
	if v.Err() != nil {
		t.Fatal(v.Err())
	}
}
