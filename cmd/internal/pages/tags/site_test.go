package tags_test

import (
	"bytes"
	"context"
	"fmt"
	"log/slog"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"net/url"
	"testing"
	"testing/fstest"
	"time"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/cmd/internal/pages/live/livetest"
	"fettlebook/cmd/internal/pages/tags"
	"fettlebook/cmd/internal/tag"
	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/sqlitelog"
)

const (
	here journal.JobID = "4f7kk2m9"
	gone journal.JobID = "8d2mm4rq"
)

var (
	caliper = journal.About(here, "LF", "caliper")
	bracket = journal.About(here, "LF", "bracket")
)

// site is a tablet's pages over a log of its own: a car with a caliper and a bracket
// off, blasted in one run, and one that was handed back.
type site struct {
	t       testing.TB
	db      *sqlitelog.DB
	live    *live.Live
	handler http.Handler
}

func newSite(t testing.TB) *site {
	t.Helper()
	w := journaltest.NewWatch(journaltest.Morning())
	s := &site{t: t}
	var key string
	s.db, key = livetest.Bench(t, w)
	s.live = livetest.Open(t, journal.Authority{Hub: journaltest.Bench}, s.db)
	p := tags.New(tags.Config{Live: s.live, Logger: slog.New(slog.DiscardHandler), Frame: func(*http.Request, *live.Snapshot) any { return nil },
		Thing: func(of journal.Subject) string { return "/shelf/" + string(of) }})
	frame := fstest.MapFS{"html/frame.html": {Data: []byte(`{{define "masthead"}}{{end}}{{define "bar"}}{{end}}`)}}
	shell, err := pages.New(pages.Options{Set: "bench", Now: w.Now, Logger: slog.New(slog.DiscardHandler)}, frame, tags.Templates())
	if err != nil {
		t.Fatal(err)
	}
	p.Show(shell)
	mux := http.NewServeMux()
	p.Routes(mux)
	mux.HandleFunc("GET /assets/", shell.Assets)
	mux.HandleFunc("GET "+pages.WorkerPath, shell.Worker)
	mux.HandleFunc("GET /job/{job}", func(w http.ResponseWriter, r *http.Request) { fmt.Fprint(w, "the job "+r.PathValue("job")) })
	s.handler = pages.Guard(mux)

	s.write(journal.Of("shop", string(journaltest.Shop)), &journal.Shop{Shop: journaltest.Shop, Name: "Tin Lantern Finishing", LogKey: key, CosignKey: key})
	s.write("person/io", &journal.Person{Person: "io", Initials: "IO"})
	s.write("tool/tw-2", &journal.Tool{Tool: "tw-2", What: "torque wrench", Serial: "0562"})
	s.write(journal.About(here, "", ""), &journal.Job{Vehicle: journal.Vehicle{Plate: "TRL 4471"}, Corners: []journal.Corner{"LF"}})
	s.write(journal.About(gone, "", ""), &journal.Job{Vehicle: journal.Vehicle{Plate: "HX 41 TRE"}, Corners: []journal.Corner{"RF"}})
	for _, part := range []journal.Subject{caliper, bracket, journal.About(gone, "RF", "caliper")} {
		s.write(part, &journal.Removal{})
	}
	s.write(caliper, &journal.Tagging{Tag: "17", Metal: "iron"})
	s.write(journal.About(here, "LF", ""), &journal.Bagging{Bag: "b4", Items: []journal.Item{{What: "guide pin", Count: 2}}})
	s.write("run/blast-3", &journal.Blasting{Rack: journal.Rack{Parts: []journal.Subject{caliper, bracket}}, Media: "glass bead"})
	s.write(journal.About(gone, "", ""), &journal.Release{})
	return s
}

func (s *site) write(about journal.Subject, p journal.Payload) {
	s.t.Helper()
	e, err := s.db.Append(s.t.Context(), journal.Draft{Subject: about, By: "io", Data: p})
	if err != nil {
		s.t.Fatal(err)
	}
	within, cancel := context.WithTimeout(s.t.Context(), 3*time.Minute)
	defer cancel()
	if _, err := s.live.Await(within, e.ID); err != nil {
		s.t.Fatal(err)
	}
}

func on(of journal.Subject) string { return tag.Tag{Shop: journaltest.Shop, Of: of}.String() }

// send posts what a page sends: a text, a picture, or both.
func (s *site) send(fields url.Values, picture []byte, part string) *httptest.ResponseRecorder {
	s.t.Helper()
	var body bytes.Buffer
	form := multipart.NewWriter(&body)
	for name, all := range fields {
		for _, v := range all {
			if err := form.WriteField(name, v); err != nil {
				s.t.Fatal(err)
			}
		}
	}
	if picture != nil {
		w, err := form.CreateFormFile("picture", "p.png")
		if err == nil {
			_, err = w.Write(picture)
		}
		if err != nil {
			s.t.Fatal(err)
		}
	}
	if err := form.Close(); err != nil {
		s.t.Fatal(err)
	}
	r := httptest.NewRequest(http.MethodPost, "/scan", &body)
	r.Header.Set("Content-Type", form.FormDataContentType())
	r.Header.Set("X-Part", part)
	w := httptest.NewRecorder()
	s.handler.ServeHTTP(w, r)
	return w
}
