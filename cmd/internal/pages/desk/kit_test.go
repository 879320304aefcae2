package desk_test

import (
	"net/http"
	"testing"

	"fettlebook/journal"
)

// From a bad batch every job is found in which something out of its kit was
// fitted, and a slip that was put right leads to the right kit.
func TestKit(t *testing.T) {
	t.Parallel()
	o := newOffice(t)
	boots := []journal.Item{{What: "dust boot", Count: 1}}
	kit := func(id journal.KitID) {
		o.Write(journal.Of("kit", string(id)), "io", &journal.Kit{Kit: id, Contents: boots, Maker: "Hollow Pin", Number: "S-57", Batch: "2604", UseBy: "2026-03-01"})
	}
	kit("ks-7")
	kit("ks-8")
	rebuilt := func(job journal.JobID, plate string, kits ...journal.KitID) journal.EntryID {
		o.Write(journal.About(job, "", ""), "io", &journal.Job{Vehicle: journal.Vehicle{Plate: plate}})
		return o.Write(journal.About(job, "LF", "caliper"), "io", &journal.Rebuild{NewParts: boots, Kits: kits})
	}
	rebuilt("4f7kk2m9", "TRL 4471", "ks-7")
	slip := rebuilt("9w3c0x1t", "HX 12", "ks-7")
	rebuilt("b2k7m9xq", "HX 13", "ks-8", "ks-9")
	o.Write(journal.About("b2k7m9xq", "LF", ""), "io", &journal.Washers{Joint: "banjo bolt", Count: 2, Material: "copper", Kit: "ks-7"})
	o.get("/shelf/kit/ks-7").well(http.StatusOK).says("Hollow Pin, number S-57, batch 2604", "past since 1 March 2026", "3 uses · 2 parts · 3 jobs", "TRL 4471", "HX 12", "HX 13")
	o.Write(journal.About("9w3c0x1t", "LF", "caliper"), "io", &journal.Correction{Of: slip, Reason: "the other bag", Data: []byte(`{"new_parts":[{"what":"dust boot","count":1}],"kits":["ks-8"]}`)})
	o.get("/shelf/kit/ks-7").well(http.StatusOK).says("2 uses · 1 part · 2 jobs").hides("HX 12")
	o.get("/shelf/kit/ks-8").well(http.StatusOK).says("2 uses · 2 parts · 2 jobs", "HX 12")
	o.get("/shelf/kit/ks-9").well(http.StatusOK).says("not on the register yet")
	o.get("/shelf").well(http.StatusOK).says("Kits of parts", "A kit came in")
	o.get("/search?q=ks+7").well(http.StatusOK).says("Hollow Pin, S-57, 2604", "/shelf/kit/ks-7")
	// What is recalled is owed to each customer who has something of it.
	recall := o.Write(journal.Of("kit", "ks-7"), "io", &journal.Recall{Why: "boots crack", Remedy: "replace the boots"})
	o.get("/shelf/kit/ks-7").well(http.StatusOK).says("Recalled: boots crack", "/write/recall.made/kit/ks-7", "/write/investigation.made/kit/ks-7")
	o.get("/due").well(http.StatusOK).says("TRL 4471", "HX 13", "Recall of kit ks-7: boots crack; replace the boots", "of="+recall.String(), "about=recall").hides("HX 12")
	o.Write(journal.About("4f7kk2m9", "", ""), "io", &journal.Contact{How: "telephone", About: "Recall of kit ks-7", Reached: true, Answer: "comes on Thursday", Of: recall})
	o.get("/due").well(http.StatusOK).says("HX 13").hides("TRL 4471")
	o.Write(journal.Of("kit", "ks-7"), "io", &journal.Correction{Of: recall, Reason: "another batch"})
	o.get("/due").well(http.StatusOK).hides("HX 13")
	// The record says what makes it proof.
	o.get("/job/4f7kk2m9").well(http.StatusOK).says("out of kit ks-7", "/write/job.promised/job/4f7kk2m9", "/write/investigation.made/job/4f7kk2m9")
}
