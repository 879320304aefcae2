package desk_test

import (
	"net/http"
	"testing"

	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal/invented"
	"fettlebook/journal/parts"
)

// BenchmarkStudyAgain shows the pages of 40 000 coats a second time.
func BenchmarkStudyAgain(b *testing.B) {
	o := newOffice(b)
	table := invented.Make(invented.Setting{Seed: 1, Parts: 40000, Days: 10000, Cause: invented.OneLot, Mixed: true}).Table()
	o.desk.Parts = func(*live.Snapshot) *parts.Table { return table }
	for _, path := range []string{"/recurring", "/recurring/powder_lot", "/parts", "/parts?sort=casting", "/parts?where=metal%3Diron"} {
		b.Run(path[1:], func(b *testing.B) {
			for b.Loop() {
				if a := o.get(path); a.status != http.StatusOK {
					b.Fatalf("status %d", a.status)
				}
			}
		})
	}
}
