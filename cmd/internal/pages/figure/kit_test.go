package figure_test

import (
	"testing"

	"fettlebook/journal"
)

// A kit past its date is said where it is fitted.
func TestKitPastItsDate(t *testing.T) {
	b := newBench(t)
	for kit, last := range map[journal.KitID]journal.Date{"ks-7": "2026-03-01", "ks-8": "2031-03-31"} {
		b.write(journal.Of("kit", string(kit)), &journal.Kit{Kit: kit, Contents: []journal.Item{{What: "dust boot", Count: 1}}, UseBy: last})
	}
	says(t, b.supposed(at("LF", "caliper"), &journal.Rebuild{Kits: []journal.KitID{"ks-8", "ks-7"}}), "broken! kit ks-7 was to be used by 1 March 2026, 1 day ago: take a fresh one", "kit ks-8 is to be used by 31 March 2031")
	silent(t, b.supposed(at("LF", ""), &journal.Washers{Joint: "banjo bolt", Count: 2, Material: "copper"}), "kit")
}
