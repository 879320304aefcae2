package paper_test

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"fettlebook/cmd/internal/pages/readonly/readonlytest"
	"fettlebook/cmd/internal/paper"
	"fettlebook/journal"
	"fettlebook/journal/evidence"
	"fettlebook/journal/proof"
	"fettlebook/media/mediatest"
)

// inPage is a picture within the page.
var inPage = regexp.MustCompile(`src="data:[^"]*"`)

const story = "../demo/story.jsonl"

// office is a shop whose papers are written.
type office struct {
	*readonlytest.Shop
	t testing.TB
}

func newOffice(t testing.TB) *office {
	t.Helper()
	return &office{readonlytest.New(t), t}
}

// playedOffice is one in which the demonstration's story was played.
func playedOffice(t testing.TB) *office {
	t.Helper()
	return &office{readonlytest.Played(t, story), t}
}

// asked is what the papers of the office show.
func (o *office) asked() paper.Asked {
	return paper.Asked{
		At: o.Now(), Photos: paper.Large{Originals: o.Photos, Thumbs: o.Log},
		Seal: func(id journal.JobID) *evidence.Receipt {
			seal := o.Live.View(o.t.Context()).Job(id).Sealed.Effect().(*journal.Seal)
			return &evidence.Receipt{Shop: "k7m2q4xw", Job: id, Seal: seal.Root, Entries: seal.Entries, Size: 218, At: o.Now().UTC().Truncate(time.Second)}
		},
	}
}

// seal seals a job as the hub does.
func (o *office) seal(id journal.JobID) {
	o.t.Helper()
	var at []journal.Position
	for _, l := range o.Live.View(o.t.Context()).Job(id).Timeline() {
		at = append(at, l.Position())
	}
	o.Write(journal.About(id, "", ""), "hub", &journal.Seal{Root: proof.Seal(o.bytes(at)), Entries: len(at), Covers: journal.Stretches(at)})
}

// bytes reads entries in the order of their places.
func (o *office) bytes(at []journal.Position) (list [][]byte) {
	o.t.Helper()
	for _, p := range at {
		for e, err := range o.Log.Entries(o.t.Context(), p.Device, p.Index) {
			if err != nil {
				o.t.Fatal(err)
			}
			list = append(list, bytes.Clone(e.Bytes))
			break
		}
	}
	return list
}

// force writes an entry that the program would refuse to make.
func (o *office) force(about journal.Subject, data journal.Payload) {
	o.t.Helper()
	e, err := o.Log.Append(o.t.Context(), journal.Draft{Subject: about, By: "io", Data: data})
	if err == nil {
		_, err = o.Live.Await(o.t.Context(), e.ID)
	}
	if err != nil {
		o.t.Fatal(err)
	}
}

func (o *office) receipt(id journal.JobID) (*paper.Document, error) {
	v := o.Live.View(o.t.Context())
	return paper.NewReceipt(o.t.Context(), v, v.Standing(id), o.asked())
}

// wrote writes the receipt of a job.
func (o *office) wrote(id journal.JobID) written {
	o.t.Helper()
	doc, err := o.receipt(id)
	if err != nil {
		o.t.Fatal(err)
	}
	return write(o.t, doc)
}

// written is a paper in both its forms.
type written struct {
	t    testing.TB
	doc  *paper.Document
	html string
	pdf  string // its file
	text string // as the PDF has it, on one line
}

func write(t testing.TB, doc *paper.Document) written {
	t.Helper()
	w := written{t: t, doc: doc, pdf: filepath.Join(t.TempDir(), "paper.pdf")}
	var html, pdf bytes.Buffer
	if err := doc.HTML(&html, paper.Screen{}); err != nil {
		t.Fatal(err)
	}
	if err := doc.PDF(&pdf); err != nil {
		t.Fatal(err)
	}
	w.html = html.String()
	if err := os.WriteFile(w.pdf, pdf.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	w.text = strings.Join(strings.Fields(outside(t, "pdftotext", "poppler-utils", "-raw", w.pdf, "-")), " ")
	return w
}

// outside runs a program of Debian's.
func outside(t testing.TB, name, pack string, args ...string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		mediatest.Missing(t, "%s is missing; install it (Debian: apt-get install %s)", name, pack)
	}
	var complaints bytes.Buffer
	cmd := exec.Command(path, args...)
	cmd.Stderr = &complaints
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%s: %v\n%s", name, err, complaints.String())
	}
	return string(out)
}

// shows demands that the page says each text, whatever the line breaks.
func (w written) shows(texts ...string) {
	w.t.Helper()
	page := strings.Join(strings.Fields(plain(w.html)), " ")
	for _, text := range texts {
		if !strings.Contains(page, text) {
			w.t.Errorf("the page does not say %q; it says\n%s", text, page)
		}
	}
}

// says demands that both forms say each text. In the PDF a cell of several lines is
// not in one piece.
func (w written) says(texts ...string) {
	w.t.Helper()
	w.shows(texts...)
	for _, text := range texts {
		if squashed(text) != "" && !strings.Contains(squashed(w.text), squashed(text)) {
			w.t.Errorf("the PDF does not say %q; it says\n%s", text, w.text)
		}
	}
}

func (w written) silent(texts ...string) {
	w.t.Helper()
	for _, text := range texts {
		if strings.Contains(plain(w.html), text) || strings.Contains(squashed(w.text), squashed(text)) {
			w.t.Errorf("it says %q", text)
		}
	}
}

// squashed leaves out spaces: a column breaks lines anywhere.
func squashed(text string) string { return strings.Join(strings.Fields(text), "") }

// plain is the text of a page.
func plain(html string) string {
	_, html, _ = strings.Cut(html, "<main>")
	var b strings.Builder
	for i, part := range strings.Split(html, "<") {
		if i > 0 {
			tag, rest, _ := strings.Cut(part, ">")
			if strings.HasPrefix(tag, "td") || strings.HasPrefix(tag, "p") || strings.HasPrefix(tag, "li") || strings.HasPrefix(tag, "d") || strings.HasPrefix(tag, "/b") || strings.HasPrefix(tag, "br") {
				b.WriteString(" ")
			}
			part = rest
		}
		b.WriteString(part)
	}
	return strings.NewReplacer("&#39;", "'", "&amp;", "&", "&#34;", `"`, "&lt;", "<", "&gt;", ">", "&#43;", "+").Replace(b.String())
}

// pages is how many pages the PDF has.
func (w written) pages() int {
	w.t.Helper()
	for line := range strings.Lines(outside(w.t, "pdfinfo", "poppler-utils", w.pdf)) {
		if n, ok := strings.CutPrefix(line, "Pages:"); ok {
			pages, err := strconv.Atoi(strings.TrimSpace(n))
			if err != nil {
				w.t.Fatal(err)
			}
			return pages
		}
	}
	w.t.Fatal("pdfinfo gives no number of pages")
	return 0
}

// whole demands that the page needs nothing beside it and is well made.
func (w written) whole() {
	w.t.Helper()
	for _, m := range readonlytest.Mistakes(inPage.ReplaceAllString(w.html, `src="/picture"`)) {
		if !strings.Contains(m, "style") { // it is in the page on purpose
			w.t.Error(m)
		}
	}
	for _, no := range []string{"<script", "http://", "https://", "url(", "@import", "src=\"/", "href="} {
		if strings.Contains(strings.ReplaceAll(w.html, `xmlns="http://www.w3.org/2000/svg"`, ""), no) {
			w.t.Errorf("the page has %q in it", no)
		}
	}
}
