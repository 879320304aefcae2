package write_test

import (
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"testing"

	"fettlebook/journal"
)

// killed ends the program after an entry was written, and before it was remembered to
// which press it belongs.
func (s *shop) killed() {
	s.t.Helper()
	file := filepath.Join(s.drafts, "presses.json")
	raw, err := os.ReadFile(file)
	if err == nil {
		err = os.WriteFile(file, regexp.MustCompile(`,"entry":"[^"]*"`).ReplaceAll(raw, nil), 0o600)
	}
	if err != nil {
		s.t.Fatal(err)
	}
	s.start()
}

// A press whose program was killed in the middle is known again when the browser sends it
// once more: its own entries are not news that came after the page was opened.
func TestAPressThatWasCutOff(t *testing.T) {
	t.Parallel()
	t.Run("one entry with its photograph", func(t *testing.T) {
		s := newShop(t)
		const path = "/write/note.made/job/4f7kk2m9"
		p, action, token := s.open(path)
		fields := url.Values{"once": {token}, "do": {"save"}, "shown": {drawnOf.FindStringSubmatch(p.body)[1]}, "note": {"hose is old"}}
		first := s.post(action, fields, "", upload{"picture", "a.jpg", photo(4)}).want(t, http.StatusSeeOther)
		s.killed()
		s.post(action, fields, "", upload{"picture", "a.jpg", photo(4)}).to(t, first.location)
		if n := len(s.lines(journal.NoteMade)); n != 1 {
			t.Errorf("%d entries of one press", n)
		}
	})
	t.Run("several", func(t *testing.T) {
		s := onStands(t)
		was := len(s.lines(journal.PartTagged))
		fields, key := s.forms()
		fields.Set(key[rfOff]+"_now", "yes")
		fields.Set(key[rfTagged]+"tag", "RF-7")
		fields.Set(key[rfTagged]+"metal", "iron")
		s.press(nowPage, fields).to(t, nowPage)
		s.killed()
		s.post(nowPage, fields, "").to(t, nowPage)
		if n := len(s.lines(journal.PartTagged)); n != was+1 {
			t.Errorf("%d entries of one press", n-was)
		}
	})
	t.Run("before it wrote", func(t *testing.T) {
		s := newShop(t)
		const path = "/write/note.made/job/4f7kk2m9"
		p, action, token := s.open(path)
		fields := url.Values{"once": {token}, "do": {"save"}, "shown": {drawnOf.FindStringSubmatch(p.body)[1]}, "note": {"hose is old"}}
		s.write(lf, &journal.Remark{Evidence: journal.Evidence{Note: "another tablet's"}})
		s.post(action, fields, "").want(t, http.StatusConflict, "another tablet's")
	})
}
