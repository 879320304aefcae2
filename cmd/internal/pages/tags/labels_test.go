package tags_test

import (
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
)

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
