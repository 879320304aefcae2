package tags_test

import (
	"bytes"
	"context"
	"fmt"
	"html"
	"image"
	"image/color"
	"image/png"
	"log/slog"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/fstest"
	"time"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/browsertest"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/cmd/internal/pages/live/livetest"
	"fettlebook/cmd/internal/pages/tags"
	"fettlebook/cmd/internal/tag"
	"fettlebook/journal"
	"fettlebook/journal/evidence"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/proof"
	"fettlebook/journal/sqlitelog"

	"rsc.io/qr"
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
	key, err := proof.NewKey(journaltest.Rand("bench"), proof.Origin(journaltest.Shop, journaltest.Bench))
	if err != nil {
		t.Fatal(err)
	}
	s := &site{t: t}
	s.db, err = sqlitelog.Open(t.Context(), filepath.Join(t.TempDir(), "log.db"), sqlitelog.Options{
		Shop: journaltest.Shop, Own: journaltest.Bench, Key: key, Hub: journaltest.Bench, HubKey: key.Verifier(),
		Boot: "b1", Clock: journal.NewClock(w.Now, journaltest.Rand("clock")), Now: w.Now, Started: w.Now(),
	})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.db.Close() })
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

	s.write(journal.Of("shop", string(journaltest.Shop)), &journal.Shop{Shop: journaltest.Shop, Name: "Tin Lantern Finishing", LogKey: key.Verifier(), CosignKey: key.Verifier()})
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

// code is a picture of a code.
func code(t testing.TB, text string, module int) []byte {
	t.Helper()
	c, err := qr.Encode(text, qr.Q)
	if err != nil {
		t.Fatal(err)
	}
	side := (c.Size + 8) * module
	img := image.NewGray(image.Rect(0, 0, side, side))
	for y := range side {
		for x := range side {
			if !c.Black(x/module-4, y/module-4) {
				img.SetGray(x, y, color.Gray{Y: 235})
			}
		}
	}
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

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

// Each code is found, or gets its sentence; as a text that the browser read, and as a
// picture that is read here.
func TestFinds(t *testing.T) {
	s := newSite(t)
	receipt := evidence.Receipt{Shop: journaltest.Shop, Job: here, Entries: 9, Size: 20, At: time.Date(2026, 3, 6, 16, 21, 0, 0, time.UTC)}.String()
	for text, want := range map[string]string{
		on(caliper):                                     "/job/4f7kk2m9#",
		on(bracket):                                     "/job/4f7kk2m9#",
		on("tool/tw-2"):                                 "/shelf/tool/tw-2",
		on("run/blast-3"):                               "/run/blast-3",
		on(journal.About(here, "LF", "")):               "/scan?of=job/4f7kk2m9/corner/LF",
		on("tool/tw-9"):                                 "There is no tool tw-9 on the shelf here.",
		on("run/bake-9"):                                "There is no run bake-9 here.",
		on(journal.About(here, "RR", "arm")):            "Nothing is written here yet about RR arm of TRL 4471.",
		on(journal.About("zzzzzzzz", "RR", "arm")):      "The job of this tag is not here. It may still be on another tablet.",
		on(journal.About(gone, "RF", "caliper")):        "RF caliper of HX 41 TRE: this car is not in work any more. Its job is handed back. Take the tag off.",
		tag.Tag{Shop: "othershp", Of: caliper}.String(): "This tag is of another shop.",
		on(caliper)[:40]:                                "cannot be read whole",
		receipt:                                         "This is the code of a customer’s receipt and not a tag.",
		receipt[:40]:                                    "This looks like the code of a customer’s receipt",
		"FETTLE1.eyJ4":                                  "This is an invitation for a tablet and not a tag.",
		"https://192.0.2.5:7463/pair/K7M2":              "This code lets a phone use a tablet’s pages.",
		"https://example.org/":                          "This code is not on a tag of this shop.",
		"<b>\x00\xff":                                   "This code is not on a tag of this shop.",
		strings.Repeat("x", 5000):                       "This code is not on a tag of this shop.",
	} {
		got := []*httptest.ResponseRecorder{s.send(url.Values{"text": {text}}, nil, "")}
		if len(text) < 400 && !strings.Contains(text, "\xff") {
			got = append(got, s.send(nil, code(t, text, 6), ""))
		}
		for i, w := range got {
			switch body := html.UnescapeString(w.Body.String()); {
			case strings.HasPrefix(want, "/"):
				if w.Code != http.StatusSeeOther || !strings.HasPrefix(w.Header().Get("Location"), want) {
					t.Errorf("%.60q (%d): %d %s, want %s", text, i, w.Code, w.Header().Get("Location"), want)
				}
			case w.Code != http.StatusUnprocessableEntity || !strings.Contains(body, want):
				t.Errorf("%.60q (%d): %d does not say %q\n%s", text, i, w.Code, want, body)
			}
		}
	}
	if w := s.send(nil, code(t, "x", 1)[:60], ""); w.Code != http.StatusUnprocessableEntity {
		t.Errorf("half a picture: %d", w.Code)
	}
	if w := s.send(url.Values{"note": {strings.Repeat("x", 100<<10)}}, nil, ""); w.Code != http.StatusUnprocessableEntity || !strings.Contains(w.Body.String(), "too large") {
		t.Errorf("a form that is too large: %d", w.Code)
	}
	if w := s.send(nil, make([]byte, 3<<20), "scanned"); w.Code != http.StatusOK || strings.Contains(w.Body.String(), "data-to") {
		t.Errorf("a frame that is too large: %d", w.Code)
	}
}

// Parts are put on a run and ticked off one after the other, each once, and only where
// they belong.
func TestPutsOnAndTicksOff(t *testing.T) {
	s := newSite(t)
	put := url.Values{"for": {"powder.applied"}}
	for i, c := range []struct{ text, says string }{
		{on(caliper), "LF caliper of TRL 4471"}, {on(caliper), "is on the list already"}, {on(bracket), "LF bracket of TRL 4471"}, {on("tool/tw-2"), "is not a part"}, {on(journal.About(gone, "RF", "caliper")), "not in work any more"},
	} {
		w := s.send(url.Values{"for": put["for"], "got": put["got"], "text": {c.text}}, nil, "scanned")
		if !strings.Contains(html.UnescapeString(w.Body.String()), c.says) {
			t.Errorf("%d: does not say %q\n%s", i, c.says, w.Body)
		}
		put["got"] = nil
		for _, cut := range strings.Split(w.Body.String(), `name="got" value="`)[1:] {
			name, _, _ := strings.Cut(cut, `"`)
			put.Add("got", name)
		}
	}
	if want := []string{string(caliper), string(bracket)}; !slices.Equal(put["got"], want) {
		t.Errorf("on the run are %q, want %q", put["got"], want)
	}
	w := s.send(url.Values{"for": put["for"], "got": put["got"], "text": {on(caliper)}}, nil, "")
	if link := pages.RunPath("powder.applied", []journal.Subject{caliper, bracket}); !strings.Contains(html.UnescapeString(w.Body.String()), link) || !strings.Contains(w.Body.String(), "Put 2 parts on the run") {
		t.Errorf("no way to the run\n%s", w.Body)
	}
	w = s.send(url.Values{"of": {"run/blast-3"}, "text": {on(caliper)}}, nil, "")
	if !strings.Contains(w.Body.String(), "1 left") {
		t.Errorf("of two parts one is left\n%s", w.Body)
	}
	w = s.send(url.Values{"of": {"run/blast-3"}, "got": {string(caliper)}, "text": {on(bracket)}}, nil, "")
	if !strings.Contains(w.Body.String(), "0 left") || !strings.Contains(w.Body.String(), "Everything that is in this run was read.") {
		t.Errorf("all were read\n%s", w.Body)
	}
	s.write(journal.About(here, "LF", "arm"), &journal.Removal{})
	w = s.send(url.Values{"of": {"run/blast-3"}, "text": {on(journal.About(here, "LF", "arm"))}}, nil, "")
	if !strings.Contains(html.UnescapeString(w.Body.String()), "LF arm of TRL 4471 is not in run blast-3. Nothing was ticked.") {
		t.Errorf("a part that is not in the run\n%s", w.Body)
	}
	r := httptest.NewRecorder()
	s.handler.ServeHTTP(r, httptest.NewRequest(http.MethodGet, "/scan?of=job/4f7kk2m9/corner/LF", nil))
	if !strings.Contains(r.Body.String(), "2 × guide pin") || !strings.Contains(r.Body.String(), "Photograph the empty bag") {
		t.Errorf("the bag’s list\n%s", r.Body)
	}
}

// Many tablets that send frames at once cost the memory of one; who is turned away
// sends the next one.
func TestReadsOneAtATime(t *testing.T) {
	s := newSite(t)
	picture := code(t, on(caliper), 24)
	var wait sync.WaitGroup
	counts := make([]int, 8)
	for i := range counts {
		wait.Go(func() { counts[i] = s.send(nil, picture, "scanned").Code })
	}
	wait.Wait()
	if !slices.Contains(counts, http.StatusOK) {
		t.Errorf("none was read: %v", counts)
	}
	for _, code := range counts {
		if code != http.StatusOK && code != http.StatusTooManyRequests {
			t.Errorf("answered %d", code)
		}
	}
}

// The labels of a job, a run and the shelf are offered, and printed as they are ticked.
func TestLabels(t *testing.T) {
	s := newSite(t)
	get := func(path string) *httptest.ResponseRecorder {
		w := httptest.NewRecorder()
		s.handler.ServeHTTP(w, httptest.NewRequest(http.MethodGet, path, nil))
		return w
	}
	for path, says := range map[string][]string{
		"/labels/job/4f7kk2m9": {"LF caliper", "tag 17", "LF small parts", "bag b4", `value="job/4f7kk2m9/corner/LF/part/bracket" checked`},
		"/labels/run/blast-3":  {"rack: blast", "2 parts", "TRL 4471"},
		"/labels/tools":        {"tw-2", "torque wrench", "serial 0562"},
	} {
		w := get(path)
		for _, say := range says {
			if w.Code != http.StatusOK || !strings.Contains(w.Body.String(), say) {
				t.Errorf("%s: %d does not say %q\n%s", path, w.Code, say, w.Body)
			}
		}
	}
	for path, code := range map[string]int{"/labels/job/zzzzzzzz": 404, "/labels/person/io": 404, "/labels/": 404, "/labels/tools?on=roll": 422, "/labels/tools?on=roll&tag=tool/x": 422} {
		if w := get(path); w.Code != code {
			t.Errorf("%s: %d, want %d", path, w.Code, code)
		}
	}
	for _, path := range []string{"/labels/job/4f7kk2m9?on=sheet&first=24&tag=" + string(caliper) + "&tag=" + string(bracket), "/labels/tools?on=roll&first=99&tag=tool/tw-2"} {
		if w := get(path); w.Code != http.StatusOK || !strings.HasPrefix(w.Body.String(), "%PDF-") {
			t.Errorf("%s: %d", path, w.Code)
		}
	}
}

// A tag is held before the camera, and its part is there: the program reads the
// frames, since this browser cannot.
func TestScansWithTheCamera(t *testing.T) {
	s := newSite(t)
	server := httptest.NewServer(s.handler)
	t.Cleanup(server.Close)
	sees := filepath.Join(t.TempDir(), "tag.y4m")
	if err := os.WriteFile(sees, film(t, on(caliper)), 0o600); err != nil {
		t.Fatal(err)
	}
	p := browsertest.StartWithCamera(t, filepath.Join(t.TempDir(), "profile"), browsertest.Lens(sees)).Page(browsertest.Phone)
	p.Open(server.URL + "/scan?for=powder.applied")
	p.Sees("Put 1 part on the run")
	if dir := os.Getenv("FETTLEBOOK_SHOTS"); dir != "" {
		p.Shot(filepath.Join(dir, "scan-phone.png"))
	}
	if seen := append(append(p.Targets(60), p.SmallText(18)...), p.Overflow()...); len(seen) > 0 {
		t.Errorf("for gloves: %q", seen)
	}
	p.Open(server.URL + "/labels/job/4f7kk2m9")
	if dir := os.Getenv("FETTLEBOOK_SHOTS"); dir != "" {
		p.Shot(filepath.Join(dir, "labels-phone.png"))
	}
	if seen := append(append(p.Targets(60), p.SmallText(18)...), p.Overflow()...); len(seen) > 0 {
		t.Errorf("for gloves: %q", seen)
	}
	p.Open(server.URL + "/scan")
	p.Sees("the job 4f7kk2m9")
	if seen := p.Complaints(); len(seen) > 0 {
		t.Errorf("the browser complains: %q", seen)
	}
}

// film is a moving picture of a code on a table, as a camera of 640 by 480 sees it
// (YUV4MPEG2).
func film(t testing.TB, text string) []byte {
	t.Helper()
	c, err := qr.Encode(text, qr.Q)
	if err != nil {
		t.Fatal(err)
	}
	const wide, tall, module = 640, 480, 7
	var b bytes.Buffer
	fmt.Fprintf(&b, "YUV4MPEG2 W%d H%d F10:1 Ip A1:1 C420\n", wide, tall)
	for range 2 {
		b.WriteString("FRAME\n")
		for y := range tall {
			for x := range wide {
				light := byte(180)
				u, v := (x-150)/module, (y-70)/module
				if x >= 150 && y >= 70 && c.Black(u, v) {
					light = 40
				}
				b.WriteByte(light)
			}
		}
		b.Write(bytes.Repeat([]byte{128}, wide*tall/2))
	}
	return b.Bytes()
}
