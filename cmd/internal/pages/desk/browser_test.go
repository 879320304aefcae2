package desk_test

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fettlebook/cmd/internal/pages/browsertest"
)

// What the pages of the desk keep to.
const (
	target = 44 // px on a side
	text   = 14 // px
)

// The pages of a study of a year's parts, with many rows and every picture, each
// in one look or in all: nothing sticks out, and the checker of accessibility
// finds nothing. FETTLEBOOK_SHOTS names a folder for pictures.
func TestStudyInABrowser(t *testing.T) {
	browsertest.OnlyEverywhere(t)
	t.Parallel()
	o := newOffice(t)
	o.invent(1000)
	site := browse(t, o)
	p := house.Browser(t).Page(browsertest.Landscape)
	shots := os.Getenv("FETTLEBOOK_SHOTS")
	for name, path := range map[string]string{"recurring": "/recurring?since=2025", "lot": "/recurring/powder_lot?defect=pinhole", "soak": "/recurring/soak_minutes?defect=pinhole", "parts": "/parts?where=metal%3Diron&where=soak_minutes%3C60"} {
		for _, l := range browsertest.Looks("study " + name) {
			p.Resize(l.Size)
			p.Dark(l.Dark)
			p.Open(site + path)
			looks(t, p, l, "study-"+name)
		}
		if shots != "" {
			p.Resize(browsertest.Landscape)
			p.Dark(false)
			p.Paper(true)
			p.Shot(filepath.Join(shots, fmt.Sprintf("study-%s-paper.png", name)))
			p.Paper(false)
		}
	}
	// The README shows what the defect goes with.
	p.Resize(browsertest.Size{Name: "README", Width: 900, Height: 1200})
	p.Dark(false)
	p.Open(site + "/recurring?since=2025")
	p.Kept("#goes-with", 880, "../../../../testdata/pictures/study.png")
	p.Open(site + "/recurring")
	reached := strings.Join(p.Walk(), "\n")
	for _, want := range []string{"Since", "Look", "inclusion, ", "Powder lot", "All factors"} {
		if want == "Since" {
			want = "INPUT since"
		}
		if !strings.Contains(reached, want) {
			t.Errorf("the keyboard does not reach %q:\n%s", want, reached)
		}
	}
}

// Without a script a question is asked, a factor looked into, and its parts found.
func TestStudyWithoutAScript(t *testing.T) {
	t.Parallel()
	o := newOffice(t)
	o.invent(1000)
	site := browse(t, o)
	p := house.Browser(t).Page(browsertest.Upright)
	p.NoScript()
	p.Open(site + "/recurring")
	p.Fill("Since", "2025-02")
	p.Fill("Condition", "metal=iron")
	p.Go("Look")
	p.Sees("All factors that were tried")
	p.Go("Powder lot L009")
	p.Sees("Within the same kind of part and metal")
	p.Go("parts with pinhole, L009")
	p.Sees("Matching")
	p.Go("Pattern")
	p.Sees("Pattern ↑")
}

// browse serves the desk and returns its address.
func browse(t *testing.T, o *office) string {
	t.Helper()
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if strings.HasPrefix(r.URL.Path, "/assets/") {
			o.shell.Assets(w, r)
			return
		}
		o.inside.ServeHTTP(w, r)
	}))
	t.Cleanup(server.Close)
	return server.URL
}
