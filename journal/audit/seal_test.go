package audit_test

import (
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/audit"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/proof"
)

// Whoever has a tablet's keys can write its log anew, sign it, and drop what
// the hub countersigned. The seal, in the hub's log, still knows.
func TestASealedEntryChanged(t *testing.T) {
	job := journal.About(journaltest.JobOne, "", "")
	says := func(note string) *journal.Remark { return &journal.Remark{Evidence: journal.Evidence{Note: note}} }
	for _, test := range []struct {
		name    string
		notes   []string // of the tablet's log as it is audited
		finding audit.Severity
	}{
		{"as sealed", []string{"one", "two", "three"}, ""},
		{"with more since", []string{"one", "two", "three", "four"}, ""},
		{"one changed", []string{"one", "2", "three"}, audit.Damage},
		{"two changed places", []string{"two", "one", "three"}, audit.Damage},
		{"the last is not here", []string{"one", "two"}, audit.Remark},
	} {
		t.Run(test.name, func(t *testing.T) {
			sealed := newPaper(t)
			var entries [][]byte
			var at []journal.Position
			for _, n := range []string{"one", "two", "three"} {
				sealed.tablet().draft(t, job, says(n))
				rows := sealed.tablet().rows
				entries = append(entries, rows[len(rows)-1].Bytes)
				at = append(at, journal.Position{Device: bench, Index: int64(len(rows) - 1)})
			}
			seal := &journal.Seal{Root: journal.Digest(proof.Seal(entries)), Entries: 3, Covers: journal.Stretches(at)}

			p := newPaper(t)
			for _, n := range test.notes {
				p.tablet().draft(t, job, says(n))
			}
			p.hub().draft(t, job, seal)
			r := p.audit(t)
			var found []audit.Finding
			for _, f := range r.Findings {
				if f.Where.Part == audit.Seal {
					found = append(found, f)
				}
			}
			switch {
			case r.Checked.Seals != 1:
				t.Errorf("%d seals were checked", r.Checked.Seals)
			case test.finding == "" && len(r.Findings) > 0:
				t.Errorf("found %+v", r.Findings)
			case test.finding != "" && (len(found) != 1 || found[0].Severity != test.finding || found[0].Where.Log != office):
				t.Errorf("found %+v, want one %s at the seal", r.Findings, test.finding)
			}
		})
	}
}
