package figure_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"fettlebook/cmd/internal/pages/figure"
	"fettlebook/journal"
	"fettlebook/journal/route"
	"fettlebook/journal/trade/unit"
)

// What is said of a run stays short, however many parts are on the rack: of all of them, or
// of the first with how many more. A part that was treated otherwise is named by itself, and
// what is wrong stands first.
func TestARackIsSaidInShort(t *testing.T) {
	for _, n := range []int{1, 8, 40} {
		t.Run(fmt.Sprint(n), func(t *testing.T) {
			b := newBench(t)
			var parts []journal.Subject
			for i := range n {
				parts = append(parts, at([]journal.Corner{"LF", "RF", "LR", "RR"}[i%4], journal.PartID(fmt.Sprintf("caliper-%d", i+1))))
			}
			b.tagged("iron", parts...)
			odd := parts[n-1]
			rack := journal.Rack{Parts: parts}
			soak := journal.Soaking{Set: q[unit.Temperature]("220 °C"), Held: q[unit.Duration]("45 min")}
			if n > 1 {
				soak.Parts = parts[:n-1]
				b.write("run/soak-1", &soak)
			}
			coated := b.supposed("run/coat-1", &journal.Coating{Rack: rack, Lot: "so-118", Coat: 1})
			alone := slices.ContainsFunc(coated.Say, func(s figure.Sentence) bool {
				return strings.HasPrefix(s.Text, string(odd.Corner())+" "+string(odd.Part())+",") && strings.HasSuffix(s.Text, ": coated")
			})
			if n > 1 && !alone {
				t.Errorf("of %d parts the one that was not soaked is not told apart:\n%s", n, said(coated))
			}
			for name, data := range map[journal.Subject]journal.Payload{
				"run/blast-1": &journal.Blasting{Rack: rack, Media: "glass bead"},
				"run/soak-2":  &journal.Soaking{Rack: rack, Set: q[unit.Temperature]("220 °C"), Held: q[unit.Duration]("45 min")},
				"run/coat-2":  &journal.Coating{Rack: rack, Lot: "so-118", Coat: 2},
				"run/bake-1":  &journal.BakeStart{Rack: rack, Set: q[unit.Temperature]("200 °C"), Probes: []journal.Probe{{Channel: "1", Place: "ear", On: odd}}},
			} {
				f := b.supposed(name, data)
				for _, s := range f.Say {
					if len([]rune(s.Text)) > 600 {
						t.Errorf("%s of %d parts says in %d letters: %s", name, n, len([]rune(s.Text)), s.Text)
					}
				}
				if open := f.Unmet(); slices.ContainsFunc(f.Met(), func(s figure.Sentence) bool { return s.State != route.Met }) || len(open) > 1 && open[0].State == "" && open[1].State == route.Broken {
					t.Errorf("%s of %d parts opens with %+v", name, n, open)
				}
			}
		})
	}
}
