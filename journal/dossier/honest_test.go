package dossier_test

import (
	"bytes"
	"fmt"
	"os"
	"slices"
	"testing"

	"fettlebook/journal/dossier"
	"fettlebook/journal/evidence"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/record"
)

// Every honest dossier verifies, whatever happened on the way: slips, runs of
// several jobs, tablets that sent late, clocks that are off, jobs that are not
// sealed yet, late entries after the seal.
func TestHonest(t *testing.T) {
	sealed, open, later, built := 0, 0, 0, 0
	shops, least, late := []int{900}, 7, 0 // nobody is late so soon; TestWhatHappened has that
	if os.Getenv("FETTLEBOOK_DOSSIERS") == "all" {
		shops, least, late = []int{3600, 900, 700}, 100, 5
	}
	for _, n := range shops {
		t.Run(fmt.Sprint(n), func(t *testing.T) {
			o := newOffice(t, n)
			jobs := o.jobs()
			if os.Getenv("FETTLEBOOK_DOSSIERS") != "all" {
				jobs = journaltest.Rows(t, 2, jobs)
			}
			for _, j := range jobs {
				built++
				packed := o.build(dossier.OfJob(j.ID), originals())
				if built%5 == 0 && !bytes.Equal(packed, o.build(dossier.OfJob(j.ID), originals())) {
					t.Errorf("job %s: built twice, the bytes differ", j.ID)
				}
				if j.State != record.Sealed {
					open++
					o.verify(packed, nil, evidence.NoReceipt, evidence.NotSealed, evidence.PhotoAbsent)
					continue
				}
				sealed++
				f := o.verify(packed, o.receipt(j), evidence.PhotoAbsent)
				if slices.ContainsFunc(f.Answer(evidence.Later).Findings, func(f evidence.Finding) bool { return f.Code == evidence.AddedLater }) {
					later++
				}
			}
		})
	}
	t.Logf("%d dossiers: %d sealed, %d of them with late entries, %d open", built, sealed, later, open)
	if built < least || sealed < least/2 || open < least/10 || later < late {
		t.Errorf("of %d dossiers %d are sealed, %d have late entries and %d are open", built, sealed, later, open)
	}
}
