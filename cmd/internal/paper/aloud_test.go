package paper_test

import (
	"os"
	"regexp"
	"strings"
	"testing"

	"fettlebook/cmd/internal/pages/readonly/readonlytest"
	"fettlebook/cmd/internal/paper"
	"fettlebook/journal"
)

var (
	styles   = regexp.MustCompile(`(?s)<style>.*?</style>|<svg.*?</svg>| style="width: [^"]*"`)
	pictures = regexp.MustCompile(`<img [^>]*alt="([^"]*)"[^>]*><figcaption>(.*?)</figcaption>`)
	drawings = regexp.MustCompile(`(?s)<svg([^>]*)>\s*<title[^>]*>([^<]+)</title>`)
	tags     = regexp.MustCompile(`<[^>]*>`)
	heads    = regexp.MustCompile(`<th [^>]*>`)
)

// Who cannot see a paper can have it read: the page says its language, its headings come
// in order, every column and every row of a table has a head that says which it is, every
// picture has words that are in its caption, and every drawing has a title. The file for
// print says its title, its language and its headings; the library writes no tags.
func TestReadAloud(t *testing.T) {
	t.Parallel()
	o := playedOffice(t)
	job := o.Job("job")
	o.seal(job)
	for name, w := range map[string]written{"receipt": o.wrote(job), "report": o.report(paper.About{Jobs: []journal.JobID{job}})} {
		page := inPage.ReplaceAllString(w.html, `src="/picture"`)
		for _, m := range readonlytest.Mistakes(styles.ReplaceAllString(page, "")) {
			t.Errorf("%s: %s", name, m)
		}
		if !strings.HasPrefix(page, "<!doctype html>\n<html lang=\"en\">") || strings.Count(page, "<h1>") != 1 || !strings.Contains(page, "<title>"+w.doc.Title+"</title>") {
			t.Errorf("%s: begins %.300q", name, page)
		}
		shown := pictures.FindAllStringSubmatch(page, -1)
		if n := strings.Count(page, "<img "); n == 0 || len(shown) != n {
			t.Errorf("%s: %d of %d pictures have a caption", name, len(shown), n)
		}
		for _, m := range shown {
			if m[1] == "" || !strings.Contains(tags.ReplaceAllString(m[2], ""), m[1]) {
				t.Errorf("%s: a picture has the words %q and the caption %q", name, m[1], m[2])
			}
		}
		if n := strings.Count(page, "<svg"); n == 0 || n != len(drawings.FindAllString(page, -1)) {
			t.Errorf("%s: %d drawings, with a title %d", name, n, len(drawings.FindAllString(page, -1)))
		}
		columns, rows := 0, 0
		for _, h := range heads.FindAllString(page, -1) {
			switch {
			case strings.Contains(h, `scope="col"`):
				columns++
			case strings.Contains(h, `scope="row"`):
				rows++
			default:
				t.Errorf("%s: %s", name, h)
			}
		}
		if strings.Count(page, "><span></span></td>") != strings.Count(page, ` class="none"><span></span></td>`) {
			t.Errorf("%s: an empty cell stands under its head where the page is narrow", name)
		}
		if columns == 0 || rows == 0 || strings.Count(page, "<table ") != strings.Count(page, "<caption>") || strings.Contains(page, "<caption></caption>") {
			t.Errorf("%s: %d columns and %d rows have heads", name, columns, rows)
		}
		raw, err := os.ReadFile(w.pdf)
		if err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(string(raw), "/Lang (en)") {
			t.Errorf("%s: the file has no language", name)
		}
		for _, h := range w.doc.Blocks {
			if h, ok := h.(paper.Heading); ok && !strings.Contains(string(raw), "/Title ("+utf16(h.Text)) {
				t.Errorf("%s: %q is not in the outline", name, h.Text)
			}
		}
		about := outside(t, "pdfinfo", "poppler-utils", w.pdf) + outside(t, "pdfinfo", "poppler-utils", "-meta", w.pdf)
		for _, want := range []string{"Title:           " + w.doc.Title, "Author:          Tin Lantern Finishing", "Subject:         " + w.doc.Running, ">" + w.doc.Title + "</rdf:li>", "<rdf:li>en</rdf:li>"} {
			if !strings.Contains(about, want) {
				t.Errorf("%s: the file does not say %q: %s", name, want, about)
			}
		}
	}
}

// utf16 is how a heading stands in the outline, as far as its letters are plain.
func utf16(text string) string {
	var b strings.Builder
	b.WriteString("\xfe\xff")
	for _, r := range text {
		if r > 127 || strings.ContainsRune(`()\\`, r) {
			break
		}
		b.WriteByte(0)
		b.WriteRune(r)
	}
	return b.String()
}
