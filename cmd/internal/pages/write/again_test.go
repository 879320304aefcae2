package write_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
)

// A photograph that is taken again takes the place of the other, with what that
// shows. Pressed twice, it stands there once; without a picture it says what to do.
func TestTakenAgain(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	_, action, token := s.open("/write/photo.taken/" + string(lf))
	send := func(do, role string, pictures ...[]byte) page {
		var files []upload
		for _, p := range pictures {
			files = append(files, upload{"picture", "p.jpg", p})
		}
		return s.post(action, url.Values{"once": {token}, "do": {do}, "role": {role}}, "photos", files...)
	}
	shows := func(p page) string {
		var list []string
		for _, cut := range strings.Split(p.body, `<img src="/snap/`)[1:] {
			ref, rest, _ := strings.Cut(cut, `"`)
			role, _, _ := strings.Cut(strings.SplitN(rest, `alt="`, 2)[1], `"`)
			list = append(list, ref[:6]+" "+role)
		}
		return strings.Join(list, ", ")
	}
	first := send("photo", "bare metal", photo(1)).want(t, http.StatusOK)
	both := send("photo", "number", photo(2), photo(3)).want(t, http.StatusOK) // several at once
	list := strings.Split(shows(both), ", ")
	if len(list) != 3 || !strings.HasSuffix(list[0], " bare metal") || !strings.HasSuffix(list[2], " number") {
		t.Fatalf("three photographs are %q", list)
	}
	ref, _, _ := strings.Cut(strings.SplitN(first.body, `/snap/`, 2)[1], `"`)
	again := send("again:"+ref, "something else", photo(4)).want(t, http.StatusOK)
	now := strings.Split(shows(again), ", ")
	if len(now) != 3 || now[0] == list[0] || !strings.HasSuffix(now[0], " bare metal") || now[1] != list[1] || now[2] != list[2] {
		t.Errorf("taken again: %q became %q", list, now)
	}
	if twice := send("again:"+ref, "something else", photo(4)).want(t, http.StatusOK); strings.Count(shows(twice), ",") != 2 {
		t.Errorf("sent twice: %q", shows(twice))
	}
	send("again:"+ref, "").want(t, http.StatusUnprocessableEntity, "Choose the new photograph first.")
	if p := send("again:nonsense", "number", photo(5)).want(t, http.StatusOK); strings.Count(shows(p), ",") != 3 {
		t.Errorf("in the place of none: %q", shows(p))
	}
}

// The same view from before is offered to line the new one up with: how the part
// came off, and of a second one of the same role the one before.
func TestTheSameViewFromBefore(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	path := "/write/photo.taken/" + string(lfCaliper)
	refit := "/write/part.refitted/" + string(lfCaliper)
	if p := s.get(refit); strings.Contains(p.body, "data-ghost=") {
		t.Error("there is an earlier photograph, though none was taken")
	}
	_, action, token := s.open("/write/part.tagged/" + string(lfCaliper))
	s.post(action, url.Values{"once": {token}, "do": {"photo"}, "role": {"number and tag"}}, "", upload{"picture", "p.jpg", photo(1)})
	s.post(action, url.Values{"once": {token}, "do": {"save"}, "sure": {"1"}, "tag": {"17"}, "metal": {"iron"}}, "").want(t, http.StatusSeeOther)
	s.get(refit).want(t, http.StatusOK, `data-ghost-says="LF caliper, number and tag" data-ghost-on`)
	if p := s.get("/write/part.refitted/" + string(rfCaliper)); strings.Contains(p.body, "data-ghost=") {
		t.Error("another car’s part is laid over this one")
	}
	if p := s.get(path); !strings.Contains(p.body, `data-ghost-says="LF caliper, number and tag">`) {
		t.Error("a photograph of anything has no earlier one to be asked for")
	}
}
