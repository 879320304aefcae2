package write_test

import (
	"bytes"
	"context"
	"errors"
	"html"
	"maps"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/media/mediatest"
)

// page is an answer.
type page struct {
	status   int
	body     string
	location string
}

func (s *shop) get(path string) page {
	s.t.Helper()
	return s.do(httptest.NewRequest(http.MethodGet, path, nil))
}

func (s *shop) do(r *http.Request) page {
	s.t.Helper()
	if s.gone != nil {
		r = r.WithContext(s.gone)
	}
	w := httptest.NewRecorder()
	s.handler.ServeHTTP(w, r)
	return page{w.Code, w.Body.String(), w.Header().Get("Location")}
}

// upload is a file in a form.
type upload struct {
	field, name string
	bytes       []byte
}

// post sends a form as a browser does.
func (s *shop) post(path string, fields url.Values, part string, files ...upload) page {
	s.t.Helper()
	var body bytes.Buffer
	form := multipart.NewWriter(&body)
	var errs []error
	for _, u := range files { // the shutter stands above the fields
		w, err := form.CreateFormFile(u.field, u.name)
		if err == nil {
			_, err = w.Write(u.bytes)
		}
		errs = append(errs, err)
	}
	for _, name := range slices.Sorted(maps.Keys(fields)) {
		for _, v := range fields[name] {
			errs = append(errs, form.WriteField(name, v))
		}
	}
	if err := errors.Join(append(errs, form.Close())...); err != nil {
		s.t.Fatal(err)
	}
	r := httptest.NewRequest(http.MethodPost, path, &body)
	r.Header.Set("Content-Type", form.FormDataContentType())
	if part, item, among := strings.Cut(part, " of "); part != "" {
		r.Header.Set("X-Part", part)
		if among {
			r.Header.Set("X-Item", item)
		}
	}
	return s.do(r)
}

var (
	tokenOf  = regexp.MustCompile(`name="once" value="([0-9a-f]+)"`)
	actionOf = regexp.MustCompile(`<form method="post" action="([^"]+)" enctype`)
)

// open opens a page with a form and returns where it goes and its token.
func (s *shop) open(path string) (p page, action, token string) {
	s.t.Helper()
	p = s.get(path)
	if p.status != http.StatusOK {
		s.t.Fatalf("GET %s: %d %s", path, p.status, p.location)
	}
	a, o := actionOf.FindStringSubmatch(p.body), tokenOf.FindStringSubmatch(p.body)
	if a == nil || o == nil {
		s.t.Fatalf("GET %s: there is no form in\n%s", path, p.body)
	}
	return p, html.UnescapeString(a[1]), o[1]
}

// stamp opens a page, fills its form and stamps it. With "sure" it presses once
// more where the first press only asks.
func (s *shop) stamp(path string, fields url.Values, files ...upload) page {
	s.t.Helper()
	_, action, token := s.open(path)
	all := maps.Clone(fields)
	all.Set("once", token)
	if all.Get("do") == "" {
		all.Set("do", "save")
	}
	if all.Get("sure") == "" {
		return s.post(action, all, "", files...)
	}
	return s.press(action, all, files...)
}

// press presses a button, and once more where the first press only asks.
func (s *shop) press(action string, all url.Values, files ...upload) page {
	s.t.Helper()
	all = maps.Clone(all)
	all.Del("sure")
	p := s.post(action, all, "", files...)
	armed := sureOf.FindStringSubmatch(p.body)
	if p.status != http.StatusUnprocessableEntity || armed == nil {
		return p
	}
	all.Set("sure", armed[1])
	return s.post(action, all, "")
}

var sureOf = regexp.MustCompile(`name="sure" value="([0-9a-f]+)"`)

func (p page) want(t testing.TB, status int, texts ...string) page {
	t.Helper()
	if p.status != status {
		t.Errorf("got status %d (%s), want %d\n%s", p.status, p.location, status, clip(p.body))
	}
	plain := html.UnescapeString(p.body)
	for _, text := range texts {
		if !strings.Contains(plain, text) {
			t.Errorf("the page does not say %q\n%s", text, clip(plain))
		}
	}
	return p
}

func clip(text string) string {
	if i := strings.Index(text, "<main"); i >= 0 {
		text = text[i:]
	}
	return text[:min(len(text), 6000)]
}

// to checks where an answer leads.
func (p page) to(t testing.TB, location string) {
	t.Helper()
	if p.status != http.StatusSeeOther || p.location != location {
		t.Errorf("got %d to %q, want 303 to %q\n%s", p.status, p.location, location, clip(html.UnescapeString(p.body)))
	}
}

// lines are the entries of a kind that io wrote.
func (s *shop) lines(kind journal.Kind) []*record.Line {
	return s.live.View(context.Background()).Written(kind, "io", time.Time{})
}

// photo is a picture that the gate lets in.
func photo(seed uint64) []byte { return mediatest.JPEG(mediatest.Noise(320, 240, seed), 80, nil) }

// mediaPNG is a plain picture, which the judge of these tests finds blurred.
func mediaPNG() []byte { return mediatest.PNG(mediatest.Corners(64, 48), nil) }
