package desk_test

import (
	"bytes"
	"compress/gzip"
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"testing"

	"fettlebook/cmd/internal/pages/browsertest"
	"fettlebook/cmd/internal/pages/readonly"
	"fettlebook/journal"

	"github.com/chromedp/chromedp/kb"
)

// heaviest is how many bytes of a record may go over the line, beside style sheet, script
// and photographs.
const heaviest = 30 << 10

// The record of a day opens with its pictures, at any size and in both themes; what it
// says in words is folded and found all the same. Printed, it is what a customer keeps.
func TestARecordInABrowser(t *testing.T) {
	t.Parallel()
	o := playedOffice(t)
	site, job := browse(t, o), readonly.JobPath(o.Job("job"))
	o.get(job).well(http.StatusOK).says("Before and after", "How it was done", "What was measured", "Before the work", "After the work", "<del class=\"n\">220 N·m</del>", "schedule met", "Film, asked")
	p := house.Browser(t).Page(browsertest.Landscape)
	for _, l := range browsertest.Looks("record") {
		p.Resize(l.Size)
		p.Dark(l.Dark)
		p.Open(site + job)
		looks(t, p, l, "record")
	}
	p.Resize(browsertest.Landscape)
	p.Paper(true)
	file := filepath.Join(t.TempDir(), "record.pdf")
	p.Print(file)
	p.Paper(false)
	if n := sheets(t, file); n < 2 || n > 4 {
		t.Errorf("the record prints on %d pages; a customer keeps two to four", n)
	}

	p.Open(site + job)
	p.Until(`!document.querySelector("details.words").open`)
	p.Go(".side")
	p.Sees("What its entry says")
	before := p.URL()
	looks(t, p, browsertest.Look{Size: browsertest.Landscape, Dark: true}, "picture")
	p.Press("+")
	p.Until(`document.querySelector(".zoom.near .over").style.transform.includes("scale(1.5)")`)
	p.Press(kb.ArrowRight)
	if p.URL() != before {
		t.Error("an arrow turns the page while the picture is near")
	}
	p.Press("0")
	p.Until(`!document.querySelector(".zoom.near")`)
	p.Click(".zoom")
	p.Until(`document.querySelector(".zoom.near .over").style.transform.includes("scale(3)")`)
	p.Press(kb.Escape)
	p.Press(kb.ArrowRight)
	p.Until(fmt.Sprintf(`location.href !== %q && document.querySelector("[rel=prev]")`, before))
	if found := p.Complaints(); len(found) > 0 {
		t.Error(found)
	}

	p.NoScript()
	p.Open(before)
	p.Go("[rel=next]")
	p.Sees("What its entry says")
	p.Go(".zoom")
	if !regexp.MustCompile(`/photo/[0-9a-f]{64}$`).MatchString(p.URL()) {
		t.Errorf("without a script a tap on the photograph leads to %s", p.URL())
	}
}

// A place that nobody photographed takes a line of the record and no empty boxes.
func TestARecordWithoutPhotographs(t *testing.T) {
	t.Parallel()
	o := newOffice(t)
	const job = journal.JobID("4f7kk2m9")
	o.Write(journal.About(job, "", ""), "io", &journal.Job{Vehicle: journal.Vehicle{Plate: "TRL 4471"}, Corners: []journal.Corner{"LF", "RF"}, Route: "caliper", Edition: 1})
	o.Write(journal.About(job, "LF", "caliper"), "io", &journal.Removal{Condition: "rusty"})
	o.Write(journal.About(job, "RF", "caliper"), "io", &journal.Removal{Condition: "rusty"})
	const line = "nobody took a photograph, neither before the work nor after it."
	o.get(readonly.JobPath(job)).well(http.StatusOK).says("LF and RF: " + line).hides(`class="side blank"`)
	o.Write(journal.About(job, "LF", "caliper"), "io", &journal.Tagging{Tag: "T-1", Metal: "iron"}, "number and tag")
	o.get(readonly.JobPath(job)).well(http.StatusOK).says("RF: "+line, "After the work: nobody took a photograph here.")
}

// A job of forty parts keeps to the weight of a page, and one without a photograph has
// its words open.
func TestARecordOfManyPartsAndOfNone(t *testing.T) {
	browsertest.OnlyEverywhere(t)
	t.Parallel()
	o := newOffice(t)
	many, none := journal.JobID("4f7kk2m9"), journal.JobID("9w3c0x1t")
	o.Write(journal.About(many, "", ""), "io", &journal.Job{Vehicle: journal.Vehicle{Plate: "TRL 4471"}, Route: "caliper", Edition: 1})
	for i := range 40 {
		part := journal.About(many, "NC", journal.PartID(fmt.Sprintf("caliper-%d", i+1)))
		o.Write(part, "io", &journal.Removal{Condition: "rusty"}, "as it came off")
		o.Write(part, "io", &journal.Tagging{Tag: fmt.Sprintf("T-%d", i+1), Metal: "iron"}, "number and tag")
	}
	o.Write(journal.About(none, "", ""), "io", &journal.Job{Vehicle: journal.Vehicle{Plate: "HX 12"}, Route: "caliper", Edition: 1})
	page := o.get(readonly.JobPath(many)).well(http.StatusOK).says("80 photographs", "68 more")
	if n := packed(t, page.body); n > heaviest {
		t.Errorf("the record of many parts has %d bytes over the line", n)
	}
	o.get(readonly.JobPath(none)).well(http.StatusOK).hides("Before and after", "How it was done", "What was measured").says(`class="words" id="words-` + string(none) + `" open`)
	site := browse(t, o)
	p := house.Browser(t).Page(browsertest.Landscape)
	for name, id := range map[string]journal.JobID{"many": many, "none": none} {
		for _, size := range []browsertest.Size{browsertest.Landscape, browsertest.Phone} {
			p.Resize(size)
			p.Open(site + readonly.JobPath(id))
			looks(t, p, browsertest.Look{Size: size}, name)
		}
	}
}

// looks holds a page against what every page keeps to, and keeps a picture of it if
// FETTLEBOOK_SHOTS names a folder.
func looks(t *testing.T, p *browsertest.Page, l browsertest.Look, name string) {
	t.Helper()
	seen(t, p, l, name)
	found := p.Complaints()
	if l.Size == browsertest.Upright {
		found = append(found, p.Axe(false)...)
	}
	for _, f := range found {
		t.Errorf("%s at %s, %s: %s", name, l.Size.Name, l.Theme(), f)
	}
}

// seen holds what is seen of a page against what every page keeps to: also of one that says
// that something is not there, of which the browser complains.
func seen(t *testing.T, p *browsertest.Page, l browsertest.Look, name string) {
	t.Helper()
	found := append(append(p.Overflow(), p.Targets(target)...), p.SmallText(text)...)
	if l.Size == browsertest.Phone {
		found = append(found, p.Sideways()...)
	}
	for _, f := range found {
		t.Errorf("%s at %s, %s: %s", name, l.Size.Name, l.Theme(), f)
	}
	if shots := os.Getenv("FETTLEBOOK_SHOTS"); shots != "" {
		p.Shot(filepath.Join(shots, fmt.Sprintf("%s-%s-%s.png", name, l.Size.Name, l.Theme())))
	}
}

// packed is how many bytes of a page go over the line.
func packed(t *testing.T, page string) int {
	t.Helper()
	var out bytes.Buffer
	w := gzip.NewWriter(&out)
	if _, err := w.Write([]byte(page)); err != nil {
		t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return out.Len()
}

// sheets counts the pages of a PDF by its page objects (ISO 32000-2, 7.7.3.3).
func sheets(t *testing.T, file string) int {
	t.Helper()
	raw, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	return len(regexp.MustCompile(`/Type\s*/Page[^s]`).FindAll(raw, -1))
}
