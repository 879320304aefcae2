package readonly_test

import (
	"context"
	"errors"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"
	"testing/fstest"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/cmd/internal/pages/readonly"
	"fettlebook/cmd/internal/pages/readonly/readonlytest"
	"fettlebook/journal"
	"fettlebook/media"
)

// frame is the least that a set of pages has.
var frame = fstest.MapFS{
	"html/frame.html":       {Data: []byte(`{{define "masthead"}}{{end}}{{define "bar"}}{{end}}`)},
	"html/part_figure.html": {Data: []byte(`{{define "figure"}}<div id="figure">{{.}}</div>{{end}}`)},
}

// bench serves the pages as a tablet does.
type bench struct {
	*readonlytest.Shop
	t   testing.TB
	mux *http.ServeMux
}

func newBench(t testing.TB, change func(*readonly.Config)) *bench {
	t.Helper()
	b := &bench{Shop: readonlytest.New(t), t: t, mux: http.NewServeMux()}
	c := readonly.Config{Live: b.Live, Thumbs: b.Log, Originals: b.Photos, Now: b.Now, Logger: slog.New(slog.DiscardHandler),
		Frame: func(*http.Request, *live.Snapshot) any { return nil }}
	if change != nil {
		change(&c)
	}
	p := readonly.New(c)
	shell, err := pages.New(pages.Options{Set: "bench", Now: b.Now, Logger: slog.New(slog.DiscardHandler)}, frame, readonly.Templates())
	if err != nil {
		t.Fatal(err)
	}
	p.Show(shell)
	p.Routes(b.mux)
	return b
}

// get asks for a path; a page must be well made.
func (b *bench) get(path string, status int) string {
	b.t.Helper()
	w := httptest.NewRecorder()
	b.mux.ServeHTTP(w, httptest.NewRequest(http.MethodGet, path, nil))
	if w.Code != status {
		b.t.Errorf("%s: status %d, want %d", path, w.Code, status)
	}
	if strings.HasPrefix(w.Header().Get("Content-Type"), "text/html") {
		for _, m := range readonlytest.Mistakes(w.Body.String()) {
			b.t.Errorf("%s: %s", path, m)
		}
	}
	return w.Body.String()
}

func (b *bench) says(path string, status int, texts ...string) {
	b.t.Helper()
	body := b.get(path, status)
	for _, text := range texts {
		if !strings.Contains(body, text) {
			b.t.Errorf("%s: %q is missing", path, text)
		}
	}
}

// away holds no originals, as a hub does while a tablet is not in reach.
type away struct{}

func (away) Has(context.Context, media.Ref) (bool, error) { return false, nil }
func (away) Open(context.Context, media.Ref) (io.ReadSeekCloser, int64, error) {
	return nil, 0, media.ErrNotHere
}

func TestOriginalElsewhere(t *testing.T) {
	b := newBench(t, func(c *readonly.Config) { c.Originals = away{} })
	id := b.Write("job/4f7kk2m9", "io", &journal.Snapshot{}, "as it came in")
	photo := b.Live.View(b.t.Context()).Line(id)[0].Photos[0]
	const sentence = "The original is still on the tablet; the thumbnail came with the entry."
	b.says("/photo/"+photo.Ref.Hex(), http.StatusNotFound, sentence)
	b.says("/entry/"+id.String(), http.StatusOK, sentence, "/thumb/"+photo.Thumb.Hex(), photo.Ref.String())
	b.get("/thumb/"+photo.Thumb.Hex(), http.StatusOK)
}

// damaged gives bytes that are not a picture, or none at all.
type damaged struct{ raw []byte }

func (d damaged) Thumb(context.Context, media.Ref) ([]byte, error) {
	if d.raw == nil {
		return nil, errors.New("the disk is gone")
	}
	return d.raw, nil
}

func (damaged) Withdrawn(context.Context, media.Ref) (bool, error) { return false, nil }

func TestDamagedThumbnail(t *testing.T) {
	for _, raw := range []string{"", "<html>no picture</html>", "\x89PN"} {
		b := newBench(t, func(c *readonly.Config) {
			c.Thumbs = damaged{[]byte(raw)}
			if raw == "" {
				c.Thumbs = damaged{}
			}
		})
		id := b.Write("job/4f7kk2m9", "io", &journal.Snapshot{}, "as it came in")
		b.says("/thumb/"+b.Live.View(b.t.Context()).Line(id)[0].Photos[0].Thumb.Hex(), http.StatusInternalServerError, "cannot be read on this machine")
	}
}

// On a tablet nothing leads to pages that only the desk has, and no customer's
// name is found.
func TestBenchSet(t *testing.T) {
	b := newBench(t, nil)
	b.Play("../../demo/story.jsonl")
	job := string(b.Job("job"))
	for _, path := range []string{"/record/" + job, "/record/" + job + "?all=1", "/holds/" + job, "/holds/" + job + "?state=waived", "/search?q=trl", "/search?q=TRL+4471", "/search?q=so-118", "/search?q=tw", "/search?q=tarn"} {
		body := b.get(path, http.StatusOK)
		for _, no := range []string{`"/vehicle/`, `"/shelf/`, "Tarn<", "Wilma"} {
			if strings.Contains(body, no) {
				t.Errorf("%s: %q is there", path, no)
			}
		}
	}
	b.says("/search?q=trl", http.StatusOK, `href="/job/`+job+`"`, "by plate")
	b.says("/search?q=TRL+4471", http.StatusOK, `href="/job/`+job+`"`, "by plate")
	b.says("/search?q="+url.QueryEscape(job[:5]), http.StatusOK, "by job")
	for _, slip := range []string{"TRL+4472", "TRL+471", "TRL+44171", "TLR+4471", "0FTLN4E19T200471", "0FTLN4E19T2004472", "so-119"} {
		b.says("/search?q="+slip, http.StatusOK, "One slip away", "with a slip")
	}
	b.says("/search?q=TRL+4472", http.StatusOK, `href="/job/`+job+`"`, "by plate, TRL 4471, with a slip")
	if found := b.get("/search?q=TRL+4471", http.StatusOK); strings.Contains(found, "slip away") {
		t.Error("what is named as it was typed is said to be found by a slip")
	}
	b.says("/record/"+job+"?what=holds&corner=LR", http.StatusOK, `aria-current="true">LR</a>`, "LR caliper")
	b.says("/holds/"+job, http.StatusOK, "No safety hold forbids handing the vehicle back.", "Waived by")
	other := string(b.Job("other"))
	b.says("/holds/"+other, http.StatusOK, "These forbid handing the vehicle back", "This can only be met, never waived.",
		"/write/hold.waived/job/"+other, "/stage/")
}

func TestFigureOfAnEntry(t *testing.T) {
	var given any
	b := newBench(t, func(c *readonly.Config) {
		c.Figure = func(*live.Snapshot, journal.EntryID) any { return given }
	})
	id := b.Write("job/4f7kk2m9", "io", &journal.Remark{Evidence: journal.Evidence{Note: "the key is in the glove box"}})
	if strings.Contains(b.get("/entry/"+id.String(), http.StatusOK), `id="figure"`) {
		t.Error("no figure is shown as one")
	}
	given = journal.EntryID{} // says that it is zero
	if strings.Contains(b.get("/entry/"+id.String(), http.StatusOK), `id="figure"`) {
		t.Error("a figure that says nothing is shown")
	}
	given = "cured"
	b.says("/entry/"+id.String(), http.StatusOK, `<div id="figure">cured</div>`)
}

// At a bench nobody's work is traced: who did what stands beside it, and leads to
// the entry.
func TestPeopleAtABench(t *testing.T) {
	b := newBench(t, nil)
	b.Play("../../demo/story.jsonl")
	for _, q := range []string{"jr", "person/jr"} {
		if page := b.get("/trace?q="+url.QueryEscape(q), http.StatusOK); !strings.Contains(page, "is told at the desk only") || strings.Contains(page, "Who shares it") {
			t.Errorf("%s: %s", q, page)
		}
	}
	page := b.get("/trace?q=job%2F"+string(b.Job("job")), http.StatusOK)
	if !strings.Contains(page, ">person, ") || strings.Contains(page, "person%2F") || strings.Contains(page, "/casting/") {
		t.Error("people, or pages of the desk, are led to")
	}
}
