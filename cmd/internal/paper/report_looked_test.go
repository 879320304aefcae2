package paper_test

import (
	"testing"

	"fettlebook/cmd/internal/paper"
	"fettlebook/journal"
)

// What was looked into because of a complaint stands in the report with its
// counts, then and now, and the rates before and since the card that came out of
// it. Of other cars it has counts and nothing else, and of investigations that
// are not to be told not a word.
func TestReportOnInvestigation(t *testing.T) {
	t.Parallel()
	o := playedOffice(t)
	job := o.Job("job")
	about := journal.About(job, "", "")
	claim := o.Write(about, "io", &journal.Claim{Says: "a bubble in the paint"})
	look := func(about journal.Subject, i journal.Investigation) journal.EntryID {
		i.LookedAt, i.Concluded, i.Sure = []string{"the parts table"}, "gas comes out of the casting", journal.Probable
		return o.Write(about, "io", &i, "somebody's car")
	}
	lot := journal.Of("lot", "so-118")
	over := look(lot, journal.Investigation{Matter: "pinholes over the lot", Found: "three had them", Defect: journal.Pinhole, Filter: []string{"powder_lot=so-118"}, Counted: []journal.Count{{Defects: 1, Parts: 9}, {With: "what=bracket", Defects: 1, Parts: 2}, {With: "moon=full", Parts: 1}},
		Decided: []journal.Outcome{{What: journal.MakerAsked, Says: "does the lot gas out?"}}})
	next := look(about, journal.Investigation{Matter: "the trial", Found: "none of six", Of: over, CameOf: "nothing showed"})
	look(lot, journal.Investigation{Matter: "the blue one", Found: "as on GVN 0316", Of: over})
	wrong := look(lot, journal.Investigation{Matter: "wheels", Found: "none", Defect: journal.Pinhole, Filter: []string{"wheel=4"}})

	w := o.report(paper.About{Jobs: []journal.JobID{job}, Claim: claim, Investigations: []journal.EntryID{over, next, wrong}})
	w.whole()
	w.says("What was looked into", "of those this report has counts and nothing else", "Pinholes over the lot", "three had them", "1 of 9", "what=bracket", "A question to the powder's maker: does the lot gas out?", "The trial", "nothing showed", "Goes on with", "Went on in", "Wheels", "Over the months")
	w.silent(string(o.Job("other")), string(o.Job("first")), "GVN 0316", "the blue one", "Wilma")
	plain := o.report(paper.About{Jobs: []journal.JobID{job}, Claim: claim})
	plain.silent("What was looked into", "over the lot")
}
