package tags_test

import (
	"html"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"

	"fettlebook/journal"
)

// An address that somebody made up opens a page that makes sense, and a code that is
// read there is answered.
func TestAddressesThatAreMadeUp(t *testing.T) {
	s := newSite(t)
	for name, fields := range map[string]url.Values{
		"a run of parts and a bag at once": {"for": {"powder.applied"}, "of": {string(journal.About(here, "LF", ""))}},
		"a run of parts and a run at once": {"for": {"powder.applied"}, "of": {"run/blast-3"}},
		"a run that is not here":           {"of": {"run/bake-9"}},
		"a bag of a corner that is none":   {"of": {"job/4f7kk2m9/corner/XX"}},
		"a bag of another word":            {"of": {"job/4f7kk2m9/corner/LF/part/caliper"}},
		"no subject":                       {"of": {"///"}, "for": {"nonsense"}, "got": {"", "x", "tool/tw-2"}},
	} {
		w := httptest.NewRecorder()
		s.handler.ServeHTTP(w, httptest.NewRequest(http.MethodGet, "/scan?"+fields.Encode(), nil))
		if w.Code != http.StatusOK || strings.Contains(w.Body.String(), "XX") || strings.Contains(w.Body.String(), "Bag of") {
			t.Errorf("%s: %d\n%s", name, w.Code, w.Body)
		}
		fields.Set("text", on(caliper))
		if w := s.send(fields, nil, ""); w.Code >= http.StatusInternalServerError {
			t.Errorf("%s: a code is answered with %d", name, w.Code)
		}
	}
	if w := s.send(nil, nil, ""); w.Code != http.StatusUnprocessableEntity || !strings.Contains(html.UnescapeString(w.Body.String()), "Choose a photograph of the code first.") {
		t.Errorf("nothing was sent: %d\n%s", w.Code, w.Body)
	}
}

// What was read so far is there still when a photograph breaks off on the way.
func TestAListOutlivesALostPhotograph(t *testing.T) {
	s := newSite(t)
	const part = "--b\r\nContent-Disposition: form-data; name="
	body := part + `"for"` + "\r\n\r\npowder.applied\r\n" + part + `"got"` + "\r\n\r\n" + string(caliper) + "\r\n" + part + `"picture"; filename="p.jpg"` + "\r\n\r\n\xff\xd8\xff"
	r := httptest.NewRequest(http.MethodPost, "/scan", strings.NewReader(body))
	r.Header.Set("Content-Type", "multipart/form-data; boundary=b")
	w := httptest.NewRecorder()
	s.handler.ServeHTTP(w, r)
	for _, want := range []string{"did not arrive whole", `name="got" value="` + string(caliper) + `"`, `name="for" value="powder.applied"`} {
		if w.Code != http.StatusUnprocessableEntity || !strings.Contains(w.Body.String(), want) {
			t.Errorf("%d, and there is no %q in\n%s", w.Code, want, w.Body)
		}
	}
}
