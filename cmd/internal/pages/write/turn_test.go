package write_test

import (
	"html"
	"net/http"
	"net/url"
	"regexp"
	"testing"

	"fettlebook/journal"
)

// nowPage is what is done now at a job that stands on stands, with one part off.
const nowPage = "/now/job/4f7kk2m9"

func onStands(t *testing.T) *shop {
	t.Helper()
	s := newShop(t)
	job := journal.About(one, "", "")
	s.write(job, &journal.Arrival{Found: []string{"nothing found"}, Agreed: true})
	s.write(job, &journal.Raising{Points: "sills", Stands: 4})
	return s
}

// pageOf finds the forms of a page: the key of each by its own page.
var pageOf = regexp.MustCompile(`name="(\d+)~_page" value="([^"]+)"`)

// ticks finds what a page says of the ticks of its forms, and which of them are on.
var ticks = regexp.MustCompile(`name="(\d+~_(?:now|then))" value="yes"(?: data-now checked)?>`)

// forms are what a browser sends of the page as it is, and the key of the form with a path.
func (s *shop) forms() (fields url.Values, key map[string]string) {
	s.t.Helper()
	p, _, _ := s.open(nowPage)
	return p.forms(s.t)
}

func (p page) forms(t testing.TB) (fields url.Values, key map[string]string) {
	t.Helper()
	token := tokenOf.FindStringSubmatch(p.body)
	if token == nil {
		t.Fatalf("there is no form in\n%s", clip(p.body))
	}
	fields, key = url.Values{"once": {token[1]}, "do": {"save"}}, make(map[string]string)
	for _, m := range ticks.FindAllStringSubmatch(p.body, -1) {
		fields.Set(m[1], "yes")
	}
	for _, m := range pageOf.FindAllStringSubmatch(p.body, -1) {
		path := html.UnescapeString(m[2])
		fields.Set(m[1]+"~_page", path)
		key[path] = m[1] + "~"
	}
	if drawn := regexp.MustCompile(`name="shown" value="([^"]*)"`).FindStringSubmatch(p.body); drawn != nil {
		fields.Set("shown", drawn[1])
	}
	return fields, key
}

const (
	rfOff    = "/stage/removed/job/4f7kk2m9/corner/RF/part/caliper?kind=part.removed"
	rfTagged = "/stage/removed/job/4f7kk2m9/corner/RF/part/caliper?kind=part.tagged"
)

// TestSeveralInOnePress: all entries of a press are written or none is, without a
// script, twice, and with another tablet's work in between.
func TestSeveralInOnePress(t *testing.T) {
	t.Parallel()
	s := onStands(t)
	there := func() int { return len(s.lines(journal.PartRemoved)) + len(s.lines(journal.PartTagged)) }
	was := there()
	fields, key := s.forms()
	if key[rfOff] == "" || key[rfTagged] == "" {
		t.Fatalf("the part that comes off has no form: %v", key)
	}
	s.post(nowPage, fields, "").want(t, http.StatusUnprocessableEntity, "Nothing is filled in or ticked yet.")

	// One of two is not complete: neither is written, and what was typed stays.
	fields, key = s.forms()
	fields.Set(key[rfOff]+"_now", "yes")
	fields.Set(key[rfTagged]+"tag", "RF-7")
	s.post(nowPage, fields, "").want(t, http.StatusUnprocessableEntity, "Nothing was written. Complete “Tagged, RF caliper” first.")
	if n := there(); n != was {
		t.Fatalf("%d entries of a press that was refused", n-was)
	}
	s.start() // the browser and the program were killed
	s.get(nowPage).want(t, http.StatusOK, `value="RF-7"`)
	s.get(rfTagged).want(t, http.StatusOK, `value="RF-7"`)

	// Another tablet writes on the job while the page is open.
	fields, key = s.forms()
	fields.Set(key[rfOff]+"_now", "yes")
	fields.Set(key[rfTagged]+"tag", "RF-7")
	fields.Set(key[rfTagged]+"metal", "iron")
	s.write(lf, &journal.Remark{Evidence: journal.Evidence{Note: "hose is old"}})
	s.post(nowPage, fields, "").want(t, http.StatusConflict, "came after this page was opened", "hose is old")

	// Both, and the same press once more.
	again, key := s.forms()
	again.Set(key[rfOff]+"_now", "yes")
	again.Set(key[rfTagged]+"tag", "RF-7")
	again.Set(key[rfTagged]+"metal", "iron")
	s.press(nowPage, again).to(t, nowPage)
	s.post(nowPage, again, "").to(t, nowPage)
	if n := there(); n != was+2 {
		t.Errorf("%d entries of two", n-was)
	}
	off, tagged := s.lines(journal.PartRemoved), s.lines(journal.PartTagged)
	if a, b := off[0].Position(), tagged[0].Position(); a.Index > b.Index {
		t.Error("they are not in the order of the page")
	}
}

// A form that is filled in and that somebody unticked is not stamped, also where the press
// was refused and the page came back.
func TestUntickedIsNotStamped(t *testing.T) {
	t.Parallel()
	s := onStands(t)
	was := len(s.lines(journal.PartTagged))
	typed := func(fields url.Values, key map[string]string) url.Values {
		fields.Set(key[rfTagged]+"tag", "RF-7")
		fields.Set(key[rfTagged]+"metal", "iron")
		return fields
	}
	fields := typed(s.forms())
	fields.Set("do", "draft")
	s.post(nowPage, fields, "").want(t, http.StatusSeeOther)

	fields, key := s.forms()
	if typed(fields, key); fields.Get(key[rfTagged]+"_now") == "" {
		t.Fatal("what is filled in is not ticked")
	}
	fields.Del(key[rfTagged] + "_now")
	fields.Set(key[rfOff]+"_now", "yes")
	s.write(lf, &journal.Remark{Evidence: journal.Evidence{Note: "hose is old"}})
	fields, key = s.post(nowPage, fields, "").want(t, http.StatusConflict).forms(t)
	if fields.Get(key[rfTagged]+"_now") != "" {
		t.Error("what was unticked is ticked again")
	}
	s.press(nowPage, typed(fields, key)).to(t, nowPage)
	if n := len(s.lines(journal.PartTagged)); n != was {
		t.Error("what was unticked is stamped")
	}
}

// A photograph that an old page sends is refused and not said to be kept.
func TestAPhotographForWhatIsStamped(t *testing.T) {
	t.Parallel()
	s := onStands(t)
	fields, key := s.forms()
	fields.Set(key[rfOff]+"_now", "yes")
	s.press(nowPage, fields).to(t, nowPage)
	fields.Set("do", "photo")
	s.post(nowPage, fields, "photos", upload{key[rfTagged] + "picture", "a.jpg", photo(3)}).want(t, http.StatusUnprocessableEntity, "stamped already")
}

// Each corner at which something has its turn has a link, also where one entry may say it
// of parts at several of them.
func TestElsewhereNamesEachCorner(t *testing.T) {
	t.Parallel()
	s := onStands(t)
	for _, corner := range []journal.Corner{"RF", "LR"} {
		part := journal.About(one, corner, "caliper")
		s.write(part, &journal.Removal{})
		s.write(part, &journal.Tagging{Tag: string(corner), Metal: "iron"})
		s.write(part, &journal.Stripping{Removed: []string{"piston"}, Rubber: "none left in"})
	}
	s.get(nowPage+"/corner/LF").want(t, http.StatusOK, nowPage+"/corner/RF\"", nowPage+"/corner/LR\"", "RF: 3 entries", "LR: 3 entries")
}
