package tags_test

import (
	"bytes"
	"html"
	"image"
	"image/color"
	"image/png"
	"net/http"
	"net/http/httptest"
	"net/url"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/tag"
	"fettlebook/journal"
	"fettlebook/journal/evidence"
	"fettlebook/journal/journaltest"

	"rsc.io/qr"
)

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
