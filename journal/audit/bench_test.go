package audit_test

import (
	"testing"
	"time"

	"fettlebook/journal/proof"
)

// BenchmarkRun audits a log on SQLite in which every entry is signed, and
// compares with the mere verifying of those signatures.
func BenchmarkRun(b *testing.B) {
	c, notes := bigFolder(b, 2000)
	key, err := proof.Verifier(c.tabletKey.Verifier())
	if err != nil {
		b.Fatal(err)
	}
	var audited, verified time.Duration
	for b.Loop() {
		begin := time.Now()
		if r := c.audit(b); r.Damaged() || r.Checked.Checkpoints < len(notes) {
			b.Fatal(text(b, r))
		}
		audited += time.Since(begin)
		begin = time.Now()
		for _, signed := range notes {
			if _, err := proof.Open(signed, key); err != nil {
				b.Fatal(err)
			}
		}
		verified += time.Since(begin)
	}
	b.ReportMetric(float64(b.N*len(notes))/audited.Seconds(), "entries/s")
	b.ReportMetric(verified.Seconds()/audited.Seconds(), "of-verify-rate")
}
