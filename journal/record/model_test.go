package record_test

import (
	"testing"

	"fettlebook/journal"

	"pgregory.net/rapid"
)

// Which corrections act is worked out again by the plain rule: one acts when
// none that acts names it, and the last that acts holds. Each names an
// earlier entry here, so the rule needs no thought about circles.
func TestCorrectionsAgainstThePlainRule(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		bench := newTablet(t, "bench-1")
		ids := []journal.EntryID{bench.says(one("", ""), "io", note("the first"))}
		of := []int{-1}
		for range rapid.IntRange(0, 30).Draw(r, "entries") {
			n := rapid.IntRange(-1, len(ids)-1).Draw(r, "of")
			of = append(of, n)
			if n < 0 {
				ids = append(ids, bench.says(one("", ""), "io", note("one more")))
			} else {
				ids = append(ids, bench.says(one("", ""), "io", correct(ids[n], "so", nil)))
			}
		}
		var striker func(n int) int
		striker = func(n int) int {
			for by := len(of) - 1; by > n; by-- {
				if of[by] == n && striker(by) < 0 {
					return by
				}
			}
			return -1
		}
		shop := fold(bench.log)
		for n, id := range ids {
			l, want := only(t, shop, id), striker(n)
			if (l.Struck == nil) != (want < 0) || want >= 0 && l.Struck.At != ids[want] {
				r.Fatalf("entry %d of %v: got %+v, want the strike of %d", n, of, l.Struck, want)
			}
		}
	})
}
