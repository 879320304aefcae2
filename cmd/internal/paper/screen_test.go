package paper_test

import (
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"fettlebook/cmd/internal/pages/browsertest"
	"fettlebook/cmd/internal/paper"
	"fettlebook/journal"
)

// Both papers open on a phone, a tablet and a desk, light and dark, and nothing sticks
// out of them, is too small to be read or hard for who cannot see it. Printed from the
// browser the receipt is one sheet too.
func TestOnScreens(t *testing.T) {
	browsertest.OnlyEverywhere(t)
	t.Parallel()
	o := playedOffice(t)
	job := o.Job("job")
	o.seal(job)
	papers := map[string]string{"/receipt": o.wrote(job).html, "/report": o.report(paper.About{Jobs: []journal.JobID{o.Job("first")}}).html}
	site := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		_, _ = w.Write([]byte(papers[r.URL.Path])) // a browser that is gone is no fault
	}))
	defer site.Close()
	b := browsertest.Start(t, t.TempDir())
	desk := b.Page(browsertest.Landscape)
	desk.Open(site.URL + "/receipt")
	printed := written{t: t, pdf: filepath.Join(t.TempDir(), "printed.pdf")}
	desk.Print(printed.pdf)
	if n := printed.pages(); n != 2 {
		t.Errorf("printed from the browser the receipt has %d pages", n)
	}
	for _, size := range browsertest.Sample("papers", []browsertest.Size{browsertest.Phone, browsertest.Upright, browsertest.Landscape}) {
		p := b.Page(size)
		for path := range papers {
			p.Open(site.URL + path)
			for _, dark := range []bool{false, true} {
				p.Dark(dark)
				found := slices.Concat(p.Overflow(), p.SmallText(9), p.Defaults(), p.Quotes()) // the smallest are the letters of a chart on a phone
				if !dark {
					found = slices.Concat(found, p.CutOff(), p.Overlaps())
				}
				if size == browsertest.Phone {
					found = append(found, p.Axe(false)...)
				}
				if len(found) > 0 {
					t.Errorf("%s, %s, dark %t: %s", path, size.Name, dark, strings.Join(found[:min(len(found), 6)], "\n"))
				}
				if dir := os.Getenv("FETTLEBOOK_SHOTS"); dir != "" {
					p.Shot(filepath.Join(dir, strings.TrimPrefix(path, "/")+"-"+size.Name+map[bool]string{true: "-dark"}[dark]+".png"))
				}
			}
		}
	}
}
