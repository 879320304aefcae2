package dossier_test

import (
	"bytes"
	"context"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/dossier"
	"fettlebook/journal/evidence"
	"fettlebook/journal/record"
	"fettlebook/media"
)

// asking is a paper that asks of every photograph why it is not shown.
type asking struct{ told *dossier.Told }

// Write implements [dossier.Papers].
func (a *asking) Write(_ context.Context, of *dossier.Told, _ dossier.Add) error {
	a.told = of
	return nil
}

// A paper is told why it must not show a photograph: one that was withdrawn, one
// of a run that others share, and one whose entry is not here are not the same.
func TestUnshown(t *testing.T) {
	o := newOffice(t, 900)
	j := o.jobs(record.Sealed)[0]
	shared := 0
	for _, l := range j.Timeline() {
		if l.Subject.Run() != "" && shared < 3 {
			photo, thumbs := o.photograph()
			o.write(journal.Draft{Subject: l.Subject, By: "io", Data: &journal.Remark{Evidence: journal.Evidence{Note: "the rack", Photos: []journal.Photo{photo}}}, Thumbs: thumbs})
			shared++
		}
	}
	shown := pictured(j)
	o.write(journal.Draft{Subject: shown.Subject, By: "io", Data: &journal.Withdrawal{Photo: shown.Photos[0].Ref, Reason: "the customer asked"}})
	for _, choice := range []evidence.PhotoChoice{evidence.Originals, evidence.NoPhotos} {
		var asks asking
		b := o.builder()
		b.Papers = []dossier.Papers{&asks}
		var out bytes.Buffer
		d, err := b.Build(o.ctx, o.folded.View(o.ctx), dossier.OfJob(j.ID), dossier.Asked{Asked: evidence.Asked{Photos: choice}}, &out)
		o.must(err)
		seen := make(map[evidence.Missing]int)
		for _, p := range d.Photos {
			says := asks.told.Unshown(p.Ref)
			want := map[evidence.Missing]string{evidence.Withdrawn: "was withdrawn", evidence.OfOthers: "may show another customer’s car"}[p.Missing]
			if want == "" && choice == evidence.NoPhotos {
				want = "No photographs were asked for."
			}
			if !strings.Contains(says, want) || (says == "") != (want == "") {
				t.Errorf("asked for %s, of one that is %q: %q", choice, p.Missing, says)
			}
			seen[p.Missing]++
		}
		if seen[""] == 0 || seen[evidence.Withdrawn] == 0 || seen[evidence.OfOthers] == 0 {
			t.Errorf("asked for %s, of some nothing is shown: %v", choice, seen)
		}
		if says := asks.told.Unshown(media.Ref{1}); !strings.Contains(says, "is not in this dossier") {
			t.Errorf("of one that no entry here cites: %q", says)
		}
	}
}
