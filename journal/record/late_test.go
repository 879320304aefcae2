package record_test

import (
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/order"
	"fettlebook/journal/record"

	"pgregory.net/rapid"
)

// In the late order of a log nothing stands before what its writer had seen or
// what ids decide, and every entry of the log comes after all that had not
// seen it.
func TestLateOrderIsAsTrue(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		tablets := []*tablet{newTablet(t, "lift"), newTablet(t, "office"), newTablet(t, "pit")}
		begun := newTablet(t, "hub")
		begun.says("shop/s", "mo", note("begun"))
		carries := rapid.Bool().Draw(r, "carry from the first entry on") // else ids decide at first
		if carries {
			for _, w := range tablets {
				w.saw(begun, 1)
			}
		}
		for range rapid.IntRange(5, 40).Draw(r, "entries") {
			w := rapid.SampledFrom(tablets).Draw(r, "writer")
			if from := rapid.SampledFrom(tablets).Draw(r, "seen"); from != w && len(from.log) > 0 && rapid.IntRange(0, 3).Draw(r, "carries") > 0 {
				saw := min(int64(len(from.log)), w.write.After.Of(from.write.Source.Device).Size+rapid.Int64Range(1, 3).Draw(r, "more"))
				w.saw(from, int(saw))
			}
			w.at(rapid.SampledFrom([]string{"08:00", "09:00", "12:00"}).Draw(r, "clock"))
			w.says(one("LF", ""), "io", note("a remark"))
		}
		book := record.NewBook(journal.Authority{})
		for _, w := range append(tablets, begun) {
			for _, l := range w.log {
				book.Add(l)
			}
		}
		usual := book.Shop()
		for _, w := range tablets {
			device := w.write.Source.Device
			shop := usual
			if late, differs := book.Late(device); differs {
				shop = late.Shop()
			}
			for a := range shop.All() {
				for b := range shop.All() {
					if a == b || a.Waits != nil || b.Waits != nil {
						continue
					}
					switch a.Relation(b) {
					case order.Before:
						if a.Compare(b) >= 0 {
							r.Fatalf("late %s: %s %d is before %s %d and stands behind it", device, a.Device, a.Index, b.Device, b.Index)
						}
					case order.Unknown:
						if carries && a.Device == device && b.Device != device && a.Compare(b) <= 0 {
							r.Fatalf("late %s: entry %d does not come after %s %d, which had not seen it", device, a.Index, b.Device, b.Index)
						}
					}
				}
			}
		}
	})
}

// Where all had seen all, and where ids decide, there is no other order.
func TestNoOtherOrderWhereAllIsKnown(t *testing.T) {
	book := record.NewBook(journal.Authority{})
	for _, log := range day(t) {
		for _, l := range log {
			book.Add(l)
		}
	}
	for _, d := range []journal.DeviceID{"office", "bench-1", "bench-2"} {
		if _, differs := book.Late(d); differs {
			t.Errorf("the log of %s may come later than ids say", d)
		}
	}
}
