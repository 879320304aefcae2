package shop_test

import (
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/record"
)

// A correction came before what it corrects, and is corrected in turn: what
// finally stands hangs a part of another job on the rack. Whoever looked at that
// job before all of it was here sees it afterwards, in whatever order it came.
func TestACorrectionComesFirst(t *testing.T) {
	const caliper = journal.Subject("job/j0b00001/corner/LF/part/caliper")
	w := newWriters(t)
	var arriving []func(*logs)
	write := func(on journal.DeviceID, d journal.Draft) *journal.Entry {
		e, raw := w.made(on, d)
		arriving = append(arriving, func(l *logs) { l.arrive(on, raw) })
		return e
	}
	data := func(p journal.Payload) []byte {
		raw, err := journal.MarshalPayload(p)
		if err != nil {
			t.Fatal(err)
		}
		return raw
	}
	write("bench-1", journal.Draft{Subject: "job/j0b00001/corner/LF/part/caliper", By: "mk", Data: &journal.Removal{}})
	coat := &journal.Coating{Lot: "pw-1", Coat: 1}
	coat.Parts = []journal.Subject{"job/j0b00002/corner/LF/part/caliper"}
	coated := write("bench-2", journal.Draft{Subject: "run/bake-2", By: "mk", Data: coat})
	first := &journal.Correction{Of: coated.ID, Reason: "a slip"}
	slip := write("hub", journal.Draft{Subject: "run/bake-2", By: "mk", Data: first})
	coat.Parts = []journal.Subject{caliper}
	first.Data = data(coat)
	write("bench-3", journal.Draft{Subject: "job/j0b00002", By: "mk", Data: &journal.Correction{Of: slip.ID, Reason: "another slip", Data: data(first)}})

	for _, order := range [][]int{{0, 1, 2, 3}, {0, 1, 3, 2}, {0, 2, 1, 3}, {0, 2, 3, 1}, {0, 3, 1, 2}, {0, 3, 2, 1}} {
		l := newLogs()
		s, idx := open(t, l, t.TempDir())
		defer idx.Close()
		var runs []*record.Run
		for _, i := range order {
			arriving[i](l)
			if err := s.Follow(t.Context()); err != nil {
				t.Fatal(err)
			}
			v := s.View(t.Context())
			runs = v.Job("j0b00001").Corners[0].Parts[0].Runs
			if v.Err() != nil {
				t.Fatal(v.Err())
			}
		}
		if len(runs) != 1 || runs[0].ID != "bake-2" {
			t.Errorf("arrived as %v, the caliper took part in %d runs, not in bake-2", order, len(runs))
		}
	}
}

// A correction stands on a thing of the register and names an entry of a job,
// with data that only a thing of the register has. Its line says that the
// replacement does not count, whichever of the two comes first.
func TestACorrectionStandsOnTheRegister(t *testing.T) {
	w := newWriters(t)
	write := func(on journal.DeviceID, d journal.Draft) *journal.Entry {
		e, _ := w.made(on, d)
		return e
	}
	tool := write("hub", journal.Draft{Subject: "tool/tw-1", By: "io", Data: &journal.Tool{Tool: "tw-1", What: journal.TorqueWrench}})
	removed := write("bench-1", journal.Draft{Subject: "job/j0b00001/corner/LF/part/caliper", By: "mk", Data: &journal.Removal{}})
	slip := write("bench-2", journal.Draft{Subject: "tool/tw-1", By: "mk", Data: &journal.Correction{Of: removed.ID, Reason: "a slip", Data: tool.Data}})
	for name, order := range map[string][]*journal.Entry{"after it": {tool, removed, slip}, "before it": {tool, slip, removed}} {
		t.Run(name, func(t *testing.T) {
			l := newLogs()
			s, idx := open(t, l, t.TempDir())
			defer idx.Close()
			for _, e := range order {
				raw, err := e.Encode()
				if err != nil {
					t.Fatal(err)
				}
				l.arrive(e.Source.Device, raw)
				if err := s.Follow(t.Context()); err != nil {
					t.Fatal(err)
				}
				wholly(t, l, s.View(t.Context()))
			}
			if lines := s.View(t.Context()).Line(slip.ID); len(lines) != 1 || !lines[0].Has(record.BadReplacement) {
				t.Errorf("the correction does not say that its replacement does not count: %+v", lines)
			}
		})
	}
}
