package write_test

import (
	"maps"
	"net/http"
	"net/url"
	"strings"
	"sync"
	"testing"

	"fettlebook/journal"
	"fettlebook/media"
)

const maskPage = "/stage/mask/" + "job/4f7kk2m9/corner/LF/part/caliper"

func masked() url.Values {
	return url.Values{"features.0.what": {"piston bore"}, "features.0.count": {"1"}, "features.1.what": {"pin bores"}, "features.1.count": {"2"}, "plugs": {"3"}}
}

func TestStagePage(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	p := s.get(maskPage).want(t, http.StatusOK, "TRL 4471", "<h1>Masked</h1>", "LF caliper", "Photograph: masked bores and seats",
		"out of sight after", `accept="image/jpeg,image/png" capture="environment"`, "data-kept", "A photograph shows the masking", "at least one photograph for the parts of each corner")
	if n := strings.Count(p.body, "<h1"); n != 1 {
		t.Errorf("%d headings of the first rank", n)
	}
	if first, draft := strings.Index(p.body, "<button"), strings.Index(p.body, `name="do" value="draft"`); draft < first || strings.Contains(p.body[first:draft], "</button") {
		t.Error("the first button of the form is not the harmless one")
	}
	if strings.Contains(p.body, "style=") || strings.Contains(p.body, "onclick") {
		t.Error("inline style or script")
	}
	s.get("/stage/powder/"+string(lfCaliper)).want(t, http.StatusOK, "A cloud of powder in air can explode", "several parts at once")
	s.get("/stage/bake/"+string(lfCaliper)).want(t, http.StatusOK, "/run/new/bake.started?part=", "written once for all parts")
}

// TestNewPart: a part comes into the job with the first entry about it.
func TestNewPart(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	drum := journal.About(lfCaliper.Job(), "LF", "drum")
	s.get("/stage/removed/"+string(drum)).want(t, http.StatusOK, "LF drum", "Off the vehicle")
	s.get("/stage/removed/"+string(journal.About(lfCaliper.Job(), "XX", "drum"))).want(t, http.StatusNotFound)
	s.get("/stage/mask/"+string(drum)).want(t, http.StatusNotFound)
}

func TestNotHere(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	for path, says := range map[string]string{
		"/stage/mask/job/nowhere1/corner/LF/part/caliper": "There is no job nowhere1 here",
		"/stage/polish/" + string(lfCaliper):              "has no stage “polish” for LF caliper",
		maskPage + "?kind=torque.applied":                 "has no entry torque.applied",
		"/write/torque.applied/job/nowhere1/corner/LF":    "There is no job nowhere1 here",
		"/write/pedal.checked/" + string(lf):              "is not written about a job/corner",
		"/write/torque.guessed/" + string(lf):             "",
		"/write/torque.applied/job":                       "is not made of word/name pairs",
		"/write/probe.logged/run/bake-99":                 "There is no run bake-99 here",
		"/run/bake-99":                                    "There is no run bake-99 here",
		"/run/new/torque.applied":                         "about one part or one car",
		"/correct/0195a3c1-7e40-7001-9c3a-5d1f0a6b7c8d":   "There is no entry with this number here",
		"/correct/not-an-id":                              "is not an entry ID",
		"/snap/" + strings.Repeat("0", 64):                "",
		"/snap/../../etc":                                 "",
	} {
		if p := s.get(path); p.status != http.StatusNotFound && p.status != http.StatusTemporaryRedirect && p.status != http.StatusMovedPermanently {
			t.Errorf("GET %s: %d", path, p.status)
		} else if says != "" {
			p.want(t, http.StatusNotFound, says)
		}
	}
	s.get("/write/person.added/person/new").want(t, http.StatusForbidden, "People are added at the hub’s desk.")
}

func TestAsksWho(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	s.by = ""
	s.get(maskPage).to(t, "/who?back="+url.QueryEscape(maskPage))
}

// A browser that forgot who works at it loses nothing of what was typed.
func TestForgottenWho(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	_, action, token := s.open(maskPage)
	s.by = ""
	all := masked()
	all.Set("once", token)
	all.Set("do", "save")
	s.post(action, all, "", upload{"picture", "a.jpg", photo(6)}).to(t, "/who?back="+url.QueryEscape(action))
	s.by = "io"
	s.get(action).want(t, http.StatusOK, "piston bore", "/snap/")
	s.stamp(action, masked()).to(t, "/job/4f7kk2m9#at-mask-LF-caliper")
	if l := s.lines(journal.BoreMasked); len(l) != 1 || len(l[0].Photos) != 1 {
		t.Errorf("written: %+v", l)
	}
}

// What is bigger than a form may be is cut off; what was typed before is here.
func TestBodyLimit(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	s.body = 1 << 20
	s.start()
	_, action, token := s.open(maskPage)
	all := masked()
	all.Set("once", token)
	all.Set("do", "draft")
	s.post(action, all, "figure").want(t, http.StatusOK)
	all.Set("do", "photo")
	big := append(photo(3), make([]byte, 3<<20)...)
	s.post(action, all, "photos", upload{"picture", "a.jpg", big}).want(t, http.StatusUnprocessableEntity, "bigger than 1 MB")
	p := s.get(action).want(t, http.StatusOK, "piston bore", "pin bores")
	if strings.Contains(p.body, "/snap/") {
		t.Error("half a picture was kept")
	}
	many := url.Values{"once": {token}, "do": {"draft"}, "note": {strings.Repeat("x", 70<<10)}}
	s.post(action, many, "").want(t, http.StatusRequestEntityTooLarge, "Nothing was written")
}

func TestStampWithPhotograph(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	_, action, token := s.open(maskPage)
	kept := masked()
	kept.Set("once", token)
	kept.Set("do", "photo")
	kept.Set("role", "masked bores and seats")
	p := s.post(action, kept, "photos", upload{"picture", "../../../x.jpg", photo(1)}).want(t, http.StatusOK, `id="photos"`, "masked bores and seats", "Take another photograph", "Remove")
	if strings.Contains(p.body, "<html") || strings.Contains(p.body, "../") {
		t.Error("the answer is not a fragment, or repeats the file's name")
	}
	ref := snapOf(t, p.body)
	if img := s.get("/snap/" + ref); img.status != http.StatusOK || !strings.HasPrefix(img.body, "\xff\xd8") {
		t.Errorf("the thumbnail: %d", img.status)
	}
	// The browser was killed by the camera: the page comes back as it was,
	// also after the program was started anew.
	s.start()
	s.get(action).want(t, http.StatusOK, "piston bore", ref)

	_, action, token = s.open(action)
	all := masked()
	all.Set("once", token)
	all.Set("do", "save")
	s.post(action, all, "").to(t, "/job/4f7kk2m9#at-mask-LF-caliper")
	lines := s.lines(journal.BoreMasked)
	if len(lines) != 1 || len(lines[0].Photos) != 1 || lines[0].Photos[0].Role != "masked bores and seats" || lines[0].By != "io" {
		t.Fatalf("written: %+v", lines)
	}
	m := lines[0].Payload.(*journal.Masking)
	if m.Plugs != 3 || len(m.Features) != 2 || m.Features[1] != (journal.Item{What: "pin bores", Count: 2}) {
		t.Errorf("written as %+v", m)
	}
	thumb, err := s.f.Log.Thumb(t.Context(), lines[0].Photos[0].Thumb)
	if err != nil || len(thumb) == 0 {
		t.Errorf("the thumbnail in the log: %v", err)
	}
	s.get(maskPage).want(t, http.StatusOK, "Written here", "IO", "/correct/"+lines[0].ID.String(), "/thumb/"+lines[0].Photos[0].Thumb.Hex(), "Everything that this stage asks for")
}

func snapOf(t *testing.T, body string) string {
	t.Helper()
	_, rest, ok := strings.Cut(body, "/snap/")
	if !ok || len(rest) < 64 {
		t.Fatalf("no photograph in\n%s", clip(body))
	}
	return rest[:64]
}

func TestWithoutPhotograph(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	p := s.stamp(maskPage, masked()).want(t, http.StatusUnprocessableEntity,
		"No photograph yet of “masked bores and seats”: after “Powder on” it is out of sight.", "without a photograph", "piston bore")
	if len(s.lines(journal.BoreMasked)) > 0 {
		t.Fatal("it was written all the same")
	}
	again := masked()
	again.Set("once", tokenOf.FindStringSubmatch(p.body)[1])
	again.Set("sure", sureOf.FindStringSubmatch(p.body)[1])
	again.Set("do", "save")
	s.post(maskPage+"?kind=bore.masked", again, "").to(t, "/job/4f7kk2m9#at-mask-LF-caliper")
	// The photograph can still come on its own, until powder is on.
	s.get(maskPage).want(t, http.StatusOK, "Photograph: masked bores and seats", "kind=photo.taken")
}

func TestWritesOnce(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	_, action, token := s.open(maskPage)
	all := masked()
	all.Set("once", token)
	all.Set("do", "save")
	var both sync.WaitGroup
	answers := make([]page, 4)
	for i := range answers {
		both.Go(func() { answers[i] = s.post(action, all, "", upload{"picture", "a.jpg", photo(2)}) })
	}
	both.Wait()
	for _, p := range answers {
		p.to(t, "/job/4f7kk2m9#at-mask-LF-caliper")
	}
	s.start()
	s.post(action, all, "").to(t, "/job/4f7kk2m9#at-mask-LF-caliper") // reloaded after a restart, the photograph gone
	if n := len(s.lines(journal.BoreMasked)); n != 1 {
		t.Errorf("written %d times", n)
	}
	// What a page from before says goodbye with brings no draft back, and is not said to
	// be kept.
	all.Set("do", "draft")
	s.post(action, all, "figure").want(t, http.StatusConflict)
	s.post(action, all, "").to(t, action)
	if p := s.get(action); strings.Contains(p.body, `value="piston bore" `) {
		t.Error("the draft is back")
	}
	// The same page with something else in it is another entry, once said so.
	all.Set("do", "save")
	all.Set("plugs", "4")
	p := s.post(action, all, "").want(t, http.StatusConflict, "This form was stamped before", "press once more")
	all.Set("once", tokenOf.FindStringSubmatch(p.body)[1])
	s.post(action, all, "").to(t, "/job/4f7kk2m9#at-mask-LF-caliper")
	if n := len(s.lines(journal.BoreMasked)); n != 2 {
		t.Errorf("written %d times", n)
	}
}

func TestBadPictures(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	big := append([]byte{}, photo(3)...)
	big = append(big, make([]byte, 50<<20)...)
	for _, c := range []struct {
		name, file string
		bytes      []byte
		says       string
	}{
		{"no photograph", "notes.txt", []byte("plugs: 6"), "not a photo"},
		{"empty", "a.jpg", nil, "is empty"},
		{"cut", "a.jpg", photo(4)[:3000], "is missing"},
		{"50 MB", "a.jpg", big, "bigger than 40 MB"},
		{"a path", "../../../../x", []byte("#!/bin/sh"), ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, action, token := s.open(maskPage)
			all := masked()
			all.Set("once", token)
			all.Set("do", "photo")
			p := s.post(action, all, "photos", upload{"picture", c.file, c.bytes}).want(t, http.StatusUnprocessableEntity, `id="photos"`, c.says, `role="alert"`)
			if strings.Contains(p.body, "/snap/") {
				t.Error("something was kept")
			}
			all.Set("do", "save")
			s.post(action, all, "", upload{"picture", c.file, c.bytes}).want(t, http.StatusUnprocessableEntity, c.says, "piston bore", "pin bores")
			s.get(action).want(t, http.StatusOK, "piston bore", "pin bores")
			if n := len(s.lines(journal.BoreMasked)); n > 0 {
				t.Fatalf("written %d times", n)
			}
		})
	}
}

func TestPhotographsOfADraft(t *testing.T) {
	t.Parallel()
	s := newShop(t)
	_, action, token := s.open(maskPage)
	send := func(do string, files ...upload) page {
		all := masked()
		maps.Copy(all, url.Values{"once": {token}, "do": {do}})
		return s.post(action, all, "photos", files...)
	}
	p := send("photo", upload{"picture", "a.png", mediaPNG()}).want(t, http.StatusOK, "Blurred: hold still and take it again.")
	ref := snapOf(t, p.body)
	if p := send("photo", upload{"picture", "a.png", mediaPNG()}); strings.Count(p.body, "/snap/"+ref) != 1 {
		t.Error("the same picture is there twice")
	}
	if p := send("drop:" + ref); strings.Contains(p.body, "/snap/") {
		t.Error("it was not taken away")
	}
	for i := range journal.MaxPhotos {
		send("photo", upload{"picture", "a.jpg", photo(uint64(10 + i))}).want(t, http.StatusOK)
	}
	send("photo", upload{"picture", "a.jpg", photo(99)}).want(t, http.StatusUnprocessableEntity, "One entry holds 8 photographs")
	var ref2 media.Ref
	send("drop:"+ref2.Hex()).want(t, http.StatusOK)
	send("drop:../../x").want(t, http.StatusOK)
}
