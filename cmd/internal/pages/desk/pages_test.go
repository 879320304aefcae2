package desk_test

import (
	"net/http"
	"net/http/httptest"
	"net/url"
	"slices"
	"strings"
	"testing"
	"time"

	"fettlebook/cmd/internal/pages/readonly/readonlytest"
	"fettlebook/journal"
	"fettlebook/journal/record"
)

// In an empty shop every page says what to do first.
func TestEmptyShop(t *testing.T) {
	t.Parallel()
	o := newOffice(t)
	o.get("/").well(http.StatusOK).says("Invite a tablet", "No tablet has joined yet.")
	o.get("/vehicles").well(http.StatusOK).says("No vehicle has been here yet.")
	o.get("/shelf").well(http.StatusOK).says("Take in the first lot", "/write/powder.received/lot/new", "/write/tool.registered/tool/new")
	o.get("/people").well(http.StatusOK).says("Invite the first one above", "/write/person.added/person/new")
	o.get("/people?first=yes").well(http.StatusOK).says("The shop is set up.")
	o.get("/uncounted").well(http.StatusOK).says("Every entry that is here counts.")
	o.get("/routes").well(http.StatusOK).says("caliper", "1 edition published")
	o.get("/due").well(http.StatusOK).says("No follow-up is open.")
	o.get("/import").well(http.StatusOK).says("No bake has been started yet.")
	o.get("/search").well(http.StatusOK)
	o.get("/who").well(http.StatusOK).says(">IO<")
	o.get("/signin").well(http.StatusOK)
	o.join("t3fz8c1n", "bench 1")
	o.get("/").well(http.StatusOK).says("Start the first one here or at a tablet").hides("Invite a tablet")
}

// Of a shop with whole jobs every page that a page leads to is well made, and
// leads to no page that is missing.
func TestWholeJob(t *testing.T) {
	t.Parallel()
	o := newOffice(t)
	o.join("t3fz8c1n", "bench 1")
	o.Play(story)
	seen, queue := map[string]bool{}, []string{"/", "/job/" + string(o.Job("job")) + "?all=1", "/shelf/tool/ov-1"}
	for len(queue) > 0 {
		path := queue[0]
		queue = queue[1:]
		if seen[path] {
			continue
		}
		seen[path] = true
		a := o.get(path)
		if strings.HasPrefix(path, "/thumb/") || strings.HasPrefix(path, "/photo/") || strings.HasPrefix(path, "/assets/") || strings.HasPrefix(path, "/receipt/") || strings.HasPrefix(path, "/look/") {
			if a.status != http.StatusOK {
				t.Errorf("%s: status %d", path, a.status)
			}
			continue
		}
		a.well(http.StatusOK)
		for _, link := range linked(a.body) {
			// The other pages that write are package write's, labels and their reading package tags'.
			if link != "/scan" && !strings.HasPrefix(link, "/labels/") && !strings.HasPrefix(link, "/write/") && !strings.HasPrefix(link, "/investigate?") && !strings.HasPrefix(link, "/correct/") && !strings.HasPrefix(link, "/stage/") && !strings.HasPrefix(link, "/run/") {
				queue = append(queue, link)
			}
		}
	}
	if len(seen) < 200 {
		t.Errorf("only %d pages were found", len(seen))
	}
}

// linked lists where a page leads, but for the one link that each page has of
// its own, and for filters on filters.
func linked(body string) []string {
	return slices.DeleteFunc(readonlytest.Links(body), func(path string) bool {
		return strings.HasPrefix(path, "/who?back=") || strings.Contains(path, "&")
	})
}

func TestWhatTheRecordShows(t *testing.T) {
	t.Parallel()
	o := playedOffice(t)
	job, other := string(o.Job("job")), string(o.Job("other"))
	o.get("/job/"+job).well(http.StatusOK).says("TRL 4471", "0FTLN4E19T2004471", "moss-green estate", "Wilma Tarn", "00 555 0147", "/forget/",
		"Powder lot so-118", "3 parts, 2 vehicles", "Bake bake-2", `<details id="fold-`, "/write/contact.made/job/"+job, "/write/claim.opened/job/"+job)
	o.get("/job/"+job+"?corner=LR").well(http.StatusOK).says(`aria-current="true">LR</a>`).hides("<b>RR caliper</b>", `<details id="fold-`)
	o.get("/job/" + job + "?what=photos").well(http.StatusOK).says(`<img class="thumb"`)
	o.get("/job/" + job + "?stage=nonsense&what=nonsense&corner=nonsense").well(http.StatusOK).says("No entry of this job matches")
	o.get("/job/"+other).well(http.StatusOK).says("GVN 0316", "two pinholes")
	o.get("/").well(http.StatusOK).says("GVN 0316", "Handed back recently", "stages done")
	o.get("/vehicles").well(http.StatusOK).says("1 to 2 of 2")
	o.get("/vehicles?q=moss").well(http.StatusOK).says("TRL 4471").hides("GVN 0316")
	o.get("/vehicles?q=nothing").well(http.StatusOK).says("No plate, VIN or description contains")
	o.get("/vehicle/vin/0FTLN4E19T2004471").well(http.StatusOK).says("TRL 4471")
	o.get("/shelf").well(http.StatusOK).says("so-118", "signal orange", "31 January 2027, in ", "never checked")
	o.get("/shelf/lot/so-118").well(http.StatusOK).says("TRL 4471", "GVN 0316", "RR caliper, RR bracket")
	o.get("/search?q=tarn").well(http.StatusOK).says("by customer", "Wilma Tarn", "TRL 4471")
	o.get("/search?q=k7+209").well(http.StatusOK).says("by cast mark")
	o.get("/search?q=ov").well(http.StatusOK).says("/shelf/tool/ov-1")
	o.get("/search?q=k7+208").well(http.StatusOK).says("One slip away", "by cast mark, K7-209, with a slip")
	o.get("/search?q=jr").well(http.StatusOK).says("<b>JR</b>", "/trace?q=person%2Fjr")
	o.get("/search?q=2026-03-24..2026-12-31").well(http.StatusOK).says("by day", "/job/"+job)
	o.get("/search?q=zzz").well(http.StatusOK).says("Nothing on this machine matches")
	o.get("/import").well(http.StatusOK).says("/write/probe.logged/run/bake-1")
}

// The receipt is shown as the page that the customer gets and as a PDF, once the vehicle
// was handed back; nothing may run on it or be fetched for it.
func TestReceipt(t *testing.T) {
	t.Parallel()
	o := playedOffice(t)
	job, other := string(o.Job("job")), string(o.Job("other"))
	o.get("/job/" + job).says(`href="/receipt/` + job + `">Receipt for the customer`)
	o.get("/job/" + other).hides("/receipt/")
	a := o.get("/receipt/" + job)
	if a.status != http.StatusOK || a.header.Get("Content-Security-Policy") != "default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'" {
		t.Errorf("status %d, policy %q", a.status, a.header.Get("Content-Security-Policy"))
	}
	a.says("What was done on your vehicle, and how we know", `href="/job/`+job+`"`, `href="/receipt/`+job+`/pdf"`).hides("<script", "Wilma")
	if a = o.get("/receipt/" + job + "/pdf"); a.status != http.StatusOK || a.header.Get("Content-Type") != "application/pdf" || !strings.HasPrefix(a.body, "%PDF-") {
		t.Errorf("the PDF: status %d, %s", a.status, a.header.Get("Content-Type"))
	}
	o.get("/receipt/" + other).well(http.StatusConflict).says("This vehicle was not handed back yet.")
	o.get("/receipt/" + other + "/pdf").well(http.StatusConflict).says("This vehicle was not handed back yet.")
	o.get("/receipt/zzzzzzzz").well(http.StatusNotFound).says("There is no job zzzzzzzz here.")
}

func TestUnknownThings(t *testing.T) {
	t.Parallel()
	o := newOffice(t)
	for path, says := range map[string]string{
		"/vehicle/plate/NONE":                "No vehicle on this machine is known by that.",
		"/job/nothere1":                      "There is no job nothere1 here.",
		"/shelf/tool/none":                   "There is no tool none on the shelf",
		"/shelf/spoon/none":                  "There is no spoon none on the shelf",
		"/routes/none":                       "No edition of a route card none",
		"/routes/caliper?edition=9":          "No edition of a route card caliper",
		"/routes/none/edit":                  "There is no route card none to start from",
		"/forget/none":                       "There is no card of that name here.",
		"/people/revoke/none":                "No tablet of that name has joined this shop.",
		"/entry/none":                        "That is not an entry ID.",
		"/holds/none":                        "There is no job none on this machine.",
		"/record/none":                       "There is no job none on this machine.",
		"/thumb/none":                        "This is not a reference of a photograph",
		"/photo/" + strings.Repeat("0a", 32): "No entry on this machine names this photograph.",
	} {
		o.get(path).well(http.StatusNotFound).says(says)
	}
}

// What people typed is text, wherever it is shown.
func TestHostileText(t *testing.T) {
	t.Parallel()
	o := newOffice(t)
	const bad = `<script>alert(1)</script>"><img src=x onerror=y>`
	cited := o.Card(journal.Details{Name: bad, Phone: bad, Address: bad})
	job := journal.About("4f7kk2m9", "", "")
	o.Write(job, "io", &journal.Job{Vehicle: journal.Vehicle{Plate: bad, Looks: bad, VIN: "../../?x=" + bad}, Wish: bad, Customer: cited, Corners: []journal.Corner{"LF"}})
	note := o.Write(job, "io", &journal.Remark{Evidence: journal.Evidence{Note: bad}}, `"><script>`)
	o.Write(job, "io", &journal.Correction{Of: note, Reason: bad})
	o.Write(job, "io", &journal.Claim{Says: bad})
	o.Write(journal.Of("tool", "tw-1"), "io", &journal.Tool{Tool: "tw-1", What: "torque wrench", Serial: bad})
	o.join("t3fz8c1n", bad[:20])
	paths := []string{"/", "/vehicles", "/vehicles?q=" + url.QueryEscape(bad), "/job/4f7kk2m9", "/record/4f7kk2m9", "/holds/4f7kk2m9", "/entry/" + note.String(),
		"/search?q=" + url.QueryEscape(bad), "/shelf", "/shelf/tool/tw-1", "/people", "/forget/" + string(cited.Card), "/people/revoke/t3fz8c1n"}
	for _, l := range linked(o.get("/vehicles").body) {
		if strings.HasPrefix(l, "/vehicle/") {
			paths = append(paths, l)
		}
	}
	for _, path := range paths {
		o.get(path).well(http.StatusOK).hides("<script>alert", "<img src=x")
	}
}

// A withdrawn photograph is not shown any more, and the record says so.
func TestWithdrawnPhotograph(t *testing.T) {
	t.Parallel()
	o := newOffice(t)
	job := journal.About("4f7kk2m9", "", "")
	o.Write(job, "io", &journal.Job{Vehicle: journal.Vehicle{Plate: "TRL 4471"}})
	id := o.Write(job, "io", &journal.Snapshot{}, "as it came in")
	photo := o.Live.View(o.t.Context()).Line(id)[0].Photos[0]
	thumb, original := "/thumb/"+photo.Thumb.Hex(), "/photo/"+photo.Ref.Hex()
	a := o.get(thumb)
	if a.status != http.StatusOK || a.header.Get("Content-Type") != "image/jpeg" || !strings.Contains(a.header.Get("Cache-Control"), "immutable") {
		t.Errorf("thumbnail: %d %v", a.status, a.header)
	}
	r := httptest.NewRequest(http.MethodGet, original, nil)
	r.Header.Set("Range", "bytes=0-1")
	if a := o.ask(o.inside, r); a.status != http.StatusPartialContent || a.body != "\xff\xd8" {
		t.Errorf("a range of the original: %d %q", a.status, a.body)
	}
	if a := o.get("/thumb/sha256:" + photo.Ref.Hex()); a.status != http.StatusNotFound {
		t.Errorf("an original as a thumbnail: %d", a.status)
	}
	o.Write(job, "io", &journal.Withdrawal{Photo: photo.Ref, Reason: "a face is in it"})
	o.get(thumb).well(http.StatusGone).says("was withdrawn")
	o.get(original).well(http.StatusGone)
	o.get("/entry/"+id.String()).well(http.StatusOK).says("this photograph was withdrawn", photo.Ref.String()).hides("<img")
	o.get("/job/4f7kk2m9").well(http.StatusOK).says("withdrawn: as it came in").hides("<img")
}

// A struck line stays readable, with what stands instead and who struck it.
func TestCorrection(t *testing.T) {
	t.Parallel()
	o := newOffice(t)
	job := journal.About("4f7kk2m9", "", "")
	o.Write(job, "io", &journal.Job{Vehicle: journal.Vehicle{Plate: "TRL 4471"}})
	id := o.Write(job, "io", &journal.Raising{Points: "sills", Stands: 12})
	o.Write(job, "io", &journal.Correction{Of: id, Reason: "slipped a digit", Data: []byte(`{"points":"sills","stands":2}`)})
	for _, path := range []string{"/job/4f7kk2m9", "/record/4f7kk2m9?what=corrections", "/entry/" + id.String()} {
		o.get(path).well(http.StatusOK).says("<del>Raised on <span class=\"n\">12</span> stands at sills</del>", "<ins>Raised on <span class=\"n\">2</span> stands at sills</ins>",
			"corrected 07:37 by IO: slipped a digit")
	}
	o.get("/entry/"+id.String()).says("Said about it since", "/correct/"+id.String(), "/write/second.checked/job/4f7kk2m9?of="+id.String(), "nobody can set this one", `{&#34;points&#34;:&#34;sills&#34;,&#34;stands&#34;:12}`)
}

// What comes after handover is marked; a casting and a customer come again.
func TestSecondVisit(t *testing.T) {
	t.Parallel()
	o := playedOffice(t)
	o.Wait(200 * 24 * time.Hour)
	cited := o.Live.View(o.t.Context()).Job(o.Job("job")).Customer
	again := journal.About("9q2mm4rt", "", "")
	o.Write(again, "io", &journal.Job{Vehicle: journal.Vehicle{Plate: "trl-4471", VIN: "0FTLN4E19T2004471"}, Customer: cited, Corners: []journal.Corner{"LR"}})
	o.Write(journal.About("9q2mm4rt", "LR", "caliper"), "io", &journal.Tagging{Tag: "LR-1", Mark: "K7-204", Metal: "iron"})
	claim := o.Write(journal.About(o.Job("job"), "", ""), "io", &journal.Claim{Says: "pinholes at the bracket"})
	a := o.get("/vehicle/vin/0FTLN4E19T2004471").well(http.StatusOK)
	a.says("LR caliper in job "+string(o.Job("job"))+", LR caliper in job 9q2mm4rt", `<details id="job-`, "pinholes at the bracket", "/write/claim.decided/job/"+string(o.Job("job"))+"?of="+claim.String())
	if n := strings.Count(a.body, "Wilma Tarn"); n != 1 {
		t.Errorf("the customer stands there %d times", n)
	}
	o.get("/job/"+string(o.Job("job"))+"?all=1").well(http.StatusOK).says("after handover", `class="tl after"`)
	if got := o.Live.View(o.t.Context()).Job("9q2mm4rt").State; got != record.Open {
		t.Errorf("the second job is %s", got)
	}
}
