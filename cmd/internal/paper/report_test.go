package paper_test

import (
	"bytes"
	"strings"
	"testing"
	"time"

	"fettlebook/cmd/internal/paper"
	"fettlebook/journal"
	"fettlebook/journal/evidence"
)

func (o *office) report(about paper.About) written {
	o.t.Helper()
	asked := o.asked()
	asked.Photos = paper.Small{Thumbs: o.Log}
	asked.Beside = evidence.Asked{Photos: evidence.Originals}
	doc, err := paper.NewReport(o.t.Context(), o.Live.View(o.t.Context()), about, asked)
	if err != nil {
		o.t.Fatal(err)
	}
	return write(o.t, doc)
}

// The report on a job has all that its record holds, by numbers, and nothing of another
// vehicle.
func TestReport(t *testing.T) {
	t.Parallel()
	o := playedOffice(t)
	job := o.Job("job")
	w := o.report(paper.About{Jobs: []journal.JobID{job}})
	w.whole()
	w.says("What this report is about", "No complaint is the subject of this report.", "What the record says", "58 met and 1 waived", "waived by IO, because nobody photographed the empty bag",
		"Timeline of job", "Photographs", "Hold points", "Torque", "Bake bake-2", "Bake bake-3", "Film of the left rear caliper", "Corrections", "Waivers", "Clocks, side by side", "What is not proven",
		"That what somebody wrote is true.", "This job is not sealed yet.", "This is a record, not an approval.")
	lines := o.Live.View(t.Context()).Job(job).Timeline()
	photos := 0
	for _, l := range lines {
		photos += len(l.Photos)
		own := l.Of(func(s journal.Subject) bool { return s.Job() == job })
		if text := strings.Join(strings.Fields(own.Says()), " "); !strings.Contains(strings.ToLower(strings.Join(strings.Fields(plain(w.html)), " ")), strings.ToLower(text)) {
			t.Errorf("the report does not have the entry %q", text)
		}
	}
	if n := strings.Count(w.html, "<img"); n != photos {
		t.Errorf("%d of %d photographs are shown", n, photos)
	}
	if n := strings.Count(w.html, `<svg xmlns`); n != 6 {
		t.Errorf("%d charts, want two bakes and four films", n)
	}
	w.says("The photographs lie beside this report without the place where they were taken: of an original that tells it there is a copy that does not.")
	w.silent(string(o.Job("other")), string(o.Job("first")), "GVN 0316", "Wilma", "cured by", "What touched the parts")
	if n := w.pages(); n < 10 || !strings.Contains(w.text, "page 10 of") {
		t.Errorf("%d pages, numbered: %t", n, strings.Contains(w.text, "page 10 of"))
	}
	again := o.report(paper.About{Jobs: []journal.JobID{job}})
	var one, other bytes.Buffer
	if err := w.doc.PDF(&one); err != nil {
		t.Fatal(err)
	}
	if err := again.doc.PDF(&other); err != nil {
		t.Fatal(err)
	}
	if w.html != again.html {
		i := 0
		for w.html[i] == again.html[i] {
			i++
		}
		t.Errorf("the same record gives another report: %.200q, and then %.200q", w.html[i-20:], again.html[i-20:])
	}
	if !bytes.Equal(one.Bytes(), other.Bytes()) {
		t.Error("the same report gives other bytes")
	}
}

// A complaint stands on the first page, with what was decided about it; what was struck
// out stays, with what stands instead.
func TestReportOnClaim(t *testing.T) {
	t.Parallel()
	o := playedOffice(t)
	job := o.Job("job")
	o.seal(job)
	about := journal.About(job, "", "")
	claim := o.Write(about, "io", &journal.Claim{Says: "the left rear wheel squeals"})
	asked := paper.About{Jobs: []journal.JobID{job}, Claim: claim}
	o.report(asked).says("Nobody has decided about this complaint yet.")
	o.Write(about, "io", &journal.ClaimDecision{Of: claim, Decision: journal.ClaimRefused, Reason: "the pads were not changed here", Maker: "does this lot go soft at 300 °C?"})
	again := journal.About("5b2n9k4d", "", "")
	o.force(again, &journal.Job{Vehicle: journal.Vehicle{Plate: "TRL 4471"}, Corners: []journal.Corner{journal.LeftRear}, Route: "caliper", Edition: 1, Claim: claim})
	note := o.Write(about, "io", &journal.Remark{Evidence: journal.Evidence{Note: "the disc was skimmed"}})
	o.Write(about, "io", &journal.Correction{Of: note, Reason: "that was another car"})
	asked.Jobs = append(asked.Jobs, again.Job())
	w := o.report(asked)
	w.says("What is claimed", "Complaint: the left rear wheel squeals.", "What the record says to it", "Complaint settled: refused, because the pads were not changed here", "struck out by IO", "that was another car",
		"asked of the powder’s maker: “does this lot go soft at 300 °C?”", "Job 5b2n9k4d was opened to answer it: open.",
		"What touched the parts", "Powder lot so-118", "Bake bake-3", "Tool tw-2", "4 entries were added after the handover", o.asked().Seal(job).String())
	if !strings.Contains(w.html, "<del>The disc was skimmed") {
		t.Error("what was struck out has no line through it")
	}
}

// Jobs of one vehicle stand one after the other; what both share is told once a job, and
// entries keep their numbers.
func TestReportOnVehicle(t *testing.T) {
	t.Parallel()
	o := playedOffice(t)
	w := o.report(paper.About{Jobs: []journal.JobID{o.Job("first"), o.Job("other")}, Asked: "GVN 0316"})
	w.whole()
	w.says("asked for by GVN 0316", "Timeline of job "+string(o.Job("first")), "Timeline of job "+string(o.Job("other")))
	w.silent("TRL 4471", string(o.Job("job")))
}

// Nobody writes a report on nothing.
func TestReportOnNothing(t *testing.T) {
	t.Parallel()
	o := newOffice(t)
	for _, jobs := range [][]journal.JobID{nil, {"4f7kk2m9"}} {
		if _, err := paper.NewReport(t.Context(), o.Live.View(t.Context()), paper.About{Jobs: jobs}, paper.Asked{At: time.Now()}); err == nil {
			t.Errorf("a report on %v", jobs)
		}
	}
}
