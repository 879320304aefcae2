package gate_test

import (
	"bytes"
	"crypto/rand"
	"errors"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"fettlebook/cmd/internal/pages/gate"

	"github.com/google/go-cmp/cmp"
)

var (
	desk      = gate.Holder{Role: gate.Desk}
	bluePhone = gate.Holder{Role: gate.Phone, Name: "Blue phone"}
)

func keepIn(dir string) gate.Keep {
	return gate.Keep{Path: filepath.Join(dir, "sessions.json"), Scope: "k7f2m9qa", Now: time.Now, Rand: rand.Reader}
}

func open(t *testing.T, k gate.Keep) *gate.Sessions {
	t.Helper()
	s, err := gate.OpenSessions(k)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func signIn(t *testing.T, s *gate.Sessions, b *browser, h gate.Holder) gate.Session {
	t.Helper()
	var one gate.Session
	var err error
	b.do(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { one, err = s.SignIn(w, r, h) }))
	if err != nil {
		t.Fatal(err)
	}
	return one
}

func isIn(s *gate.Sessions, b *browser, role gate.Role) bool {
	return b.do(s.Require(role, says("in"), says("out"))).Body.String() == "in"
}

// Sessions outlast the program; what is kept does not help to sign in.
func TestSessionsKept(t *testing.T) {
	k, b := keepIn(t.TempDir()), newBrowser()
	before := open(t, k)
	made := signIn(t, before, b, bluePhone)
	raw, err := os.ReadFile(k.Path)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range b.jar {
		if len(c.Value) != 43 { // 256 bits in base64
			t.Errorf("token of %d characters", len(c.Value))
		}
		if bytes.Contains(raw, []byte(c.Value)) {
			t.Error("the token is kept")
		}
	}
	if info, err := os.Stat(k.Path); err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("kept as %v, %v", info.Mode(), err)
	}

	after := open(t, k)
	if !isIn(after, b, gate.Phone) {
		t.Error("signed out by a restart")
	}
	if diff := cmp.Diff([]gate.Session{made}, after.List()); diff != "" {
		t.Error(diff)
	}
	b.jar["phone-k7f2m9qa"].Value = string(made.ID)
	if isIn(after, b, gate.Phone) {
		t.Error("the id on the pages lets in")
	}
}

func TestSessionsRoles(t *testing.T) {
	s, b := open(t, keepIn(t.TempDir())), newBrowser()
	signIn(t, s, b, bluePhone)
	if isIn(s, b, gate.Desk) || !isIn(s, b, gate.Phone) {
		t.Error("a phone comes in at the desk, or not at the bench")
	}
	b.jar["desk-k7f2m9qa"] = &http.Cookie{Name: "desk-k7f2m9qa", Value: b.jar["phone-k7f2m9qa"].Value}
	if isIn(s, b, gate.Desk) {
		t.Error("a phone's token lets in at the desk")
	}
	for _, h := range []gate.Holder{{}, {Role: "owner"}, {Role: gate.Desk, Name: "x"}, {Role: gate.Phone}, {Role: gate.Phone, Name: " x "}} {
		b.do(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
			if _, err := s.SignIn(w, r, h); !errors.Is(err, gate.ErrName) {
				t.Errorf("%+v: %v", h, err)
			}
		}))
	}
	if len(s.List()) != 1 {
		t.Errorf("%v are signed in", s.List())
	}
}

func TestSessionsEnd(t *testing.T) {
	k := keepIn(t.TempDir())
	s := open(t, k)
	one, two, office := newBrowser(), newBrowser(), newBrowser()
	forgotten := signIn(t, s, one, bluePhone)
	signIn(t, s, two, gate.Holder{Role: gate.Phone, Name: "Red phone"})
	signIn(t, s, office, desk)
	check := func(what string, want ...bool) {
		t.Helper()
		for name, s := range map[string]*gate.Sessions{"now": s, "after a restart": open(t, k)} {
			if got := []bool{isIn(s, one, gate.Phone), isIn(s, two, gate.Phone), isIn(s, office, gate.Desk)}; !slices.Equal(got, want) {
				t.Errorf("%s, %s: %v, want %v", what, name, got, want)
			}
		}
	}
	check("at first", true, true, true)
	for range 2 { // the second time it has ended already
		if err := s.End(forgotten.ID); err != nil {
			t.Error(err)
		}
		check("one forgotten", false, true, true)
	}
	office.do(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if err := s.SignOut(w, r, gate.Phone); err != nil {
			t.Error(err)
		}
	}))
	check("a role left that was not held", false, true, true)
	if err := s.EndAll(gate.Desk); err != nil {
		t.Error(err)
	}
	check("desk ended", false, true, false)
	signIn(t, s, one, bluePhone)
	was := *two.jar["phone-k7f2m9qa"]
	two.do(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if err := s.SignOut(w, r, gate.Phone); err != nil {
			t.Error(err)
		}
	}))
	if len(two.jar) != 0 {
		t.Errorf("after signing out the browser keeps %v", two.jar)
	}
	two.jar[was.Name] = &was
	check("signed out, the cookie kept aside", true, false, false)
}

// Signing in again ends the session before, and the token is another.
func TestSessionsAgain(t *testing.T) {
	s, b := open(t, keepIn(t.TempDir())), newBrowser()
	signIn(t, s, b, bluePhone)
	was := *b.jar["phone-k7f2m9qa"]
	signIn(t, s, b, bluePhone)
	if b.jar[was.Name].Value == was.Value || len(s.List()) != 1 {
		t.Errorf("same token %v, sessions %v", b.jar[was.Name].Value == was.Value, s.List())
	}
	b.jar[was.Name] = &was
	if isIn(s, b, gate.Phone) {
		t.Error("the token before still lets in")
	}
}

func TestSessionsTime(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		k := keepIn(t.TempDir())
		s := open(t, k)
		phone, office := newBrowser(), newBrowser()
		signIn(t, s, phone, bluePhone)
		signIn(t, s, office, desk)
		start := time.Now()
		for time.Since(start) < 30*24*time.Hour { // used every 11 hours
			if !isIn(s, office, gate.Desk) || !isIn(s, phone, gate.Phone) {
				t.Fatalf("signed out after %v", time.Since(start))
			}
			<-time.After(11 * time.Hour)
		}
		if isIn(s, phone, gate.Phone) {
			t.Error("a phone is let in after 30 days")
		}
		if !isIn(s, office, gate.Desk) {
			t.Error("the desk is signed out while in use")
		}
		for name, s := range map[string]*gate.Sessions{"now": s, "after a restart": open(t, k)} {
			if list := s.List(); len(list) != 1 || list[0].Role != gate.Desk {
				t.Errorf("%s: %v", name, list)
			}
		}
		<-time.After(12 * time.Hour)
		for name, s := range map[string]*gate.Sessions{"now": s, "after a restart": open(t, k)} {
			if isIn(s, office, gate.Desk) || len(s.List()) != 0 {
				t.Errorf("%s: the desk is signed in after 12 hours without use", name)
			}
		}
	})
}

// A small machine without a battery for its clock starts in the past.
func TestSessionsClockBehind(t *testing.T) {
	k, b := keepIn(t.TempDir()), newBrowser()
	signIn(t, open(t, k), b, desk)
	behind := k
	behind.Now = func() time.Time { return time.Now().Add(-100 * 24 * time.Hour) }
	if !isIn(open(t, behind), b, gate.Desk) || !isIn(open(t, k), b, gate.Desk) {
		t.Error("signed out by a clock that was behind")
	}
}

func TestSessionsMany(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s := open(t, keepIn(t.TempDir()))
		first, second := newBrowser(), newBrowser()
		signIn(t, s, first, bluePhone)
		signIn(t, s, second, bluePhone)
		<-time.After(time.Hour)
		isIn(s, first, gate.Phone)
		for range gate.MaxSessions - 1 {
			signIn(t, s, newBrowser(), bluePhone)
		}
		if n := len(s.List()); n != gate.MaxSessions {
			t.Errorf("%d sessions", n)
		}
		if !isIn(s, first, gate.Phone) || isIn(s, second, gate.Phone) {
			t.Error("not the one that was unused for longest has ended")
		}
	})
}

const goodFile = `{"version":1,"sessions":[
{"id":"9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08","role":"phone","name":"Blue phone","made":"2026-03-02T08:00:00Z","used":"2026-03-02T09:00:00Z"},
{"id":"0f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08","role":"desk","made":"2026-03-02T08:00:00Z","used":"2026-03-02T08:00:00Z"}]}`

// damaged are files that cannot be right, each by one change to goodFile.
func damaged() map[string]string {
	change := func(from, to string) string { return strings.Replace(goodFile, from, to, 1) }
	return map[string]string{
		"empty":             "",
		"zeros":             strings.Repeat("\x00", 512),
		"cut":               goodFile[:200],
		"null":              "null",
		"a list":            "[]",
		"more":              goodFile + "{}",
		"no list":           `{"version":1}`,
		"list of nothing":   `{"version":1,"sessions":null}`,
		"no version":        change(`"version":1,`, ""),
		"newer version":     change(`"version":1`, `"version":2`),
		"unknown member":    change(`"role":"desk"`, `"role":"desk","all":true`),
		"twice a member":    change(`"role":"desk"`, `"role":"desk","role":"desk"`),
		"unknown role":      change(`"role":"desk"`, `"role":"owner"`),
		"no role":           change(`"role":"desk",`, ""),
		"desk with a name":  change(`"role":"desk"`, `"role":"desk","name":"x"`),
		"phone without":     change(`"name":"Blue phone",`, ""),
		"phone, odd name":   change("Blue phone", `Blue\u0000phone`),
		"twice an id":       change(`"id":"0f`, `"id":"9f`),
		"short id":          change("9f86d0", ""),
		"empty id":          change("9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08", ""),
		"id in capitals":    change("9f86d0", "9F86D0"),
		"never made":        change(`"made":"2026-03-02T08:00:00Z",`, ""),
		"used before":       change("2026-03-02T09:00:00Z", "2026-03-02T07:00:00Z"),
		"no time":           change("2026-03-02T09:00:00Z", "yesterday"),
		"token in the file": change(`"role":"desk"`, `"role":"desk","token":""`),
	}
}

// A damaged file lets nobody in, and the next to sign in mends it.
func TestSessionsDamaged(t *testing.T) {
	if list, err := gate.ParseSessions([]byte(goodFile)); err != nil || len(list) != 2 {
		t.Fatalf("undamaged: %v, %v", list, err)
	}
	for name, file := range damaged() {
		t.Run(name, func(t *testing.T) {
			k := keepIn(t.TempDir())
			if err := os.WriteFile(k.Path, []byte(file), 0o600); err != nil {
				t.Fatal(err)
			}
			s, err := gate.OpenSessions(k)
			if !errors.Is(err, gate.ErrSessions) || s == nil {
				t.Fatalf("%v, %v", s, err)
			}
			if len(s.List()) != 0 {
				t.Errorf("signed in: %v", s.List())
			}
			b := newBrowser()
			for _, token := range []string{"", "x"} {
				b.jar["desk"] = &http.Cookie{Name: "desk-k7f2m9qa", Value: token}
				if isIn(s, b, gate.Desk) {
					t.Errorf("token %q lets in", token)
				}
			}
			signIn(t, s, b, desk)
			if !isIn(open(t, k), b, gate.Desk) {
				t.Error("not mended by a sign-in")
			}
		})
	}
}

// Without a place to keep them no session begins, and none that ends stays
// ended in silence.
func TestSessionsDisk(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "data")
	if err := os.Mkdir(dir, 0o700); err != nil {
		t.Fatal(err)
	}
	s, b := open(t, keepIn(dir)), newBrowser()
	one := signIn(t, s, b, bluePhone)
	if err := os.Rename(dir, dir+".away"); err != nil {
		t.Fatal(err)
	}
	other := newBrowser()
	other.do(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if _, err := s.SignIn(w, r, desk); err == nil {
			t.Error("signed in without a place to keep it")
		}
	}))
	if len(other.jar) != 0 || len(s.List()) != 1 {
		t.Errorf("cookies %v, sessions %v", other.jar, s.List())
	}
	if !isIn(s, b, gate.Phone) {
		t.Error("a disk that went away signed a phone out")
	}
	if err := s.End(one.ID); err == nil || !strings.Contains(err.Error(), "only until the program starts again") {
		t.Errorf("forgotten: %v", err)
	}
	if isIn(s, b, gate.Phone) {
		t.Error("the forgotten phone is let in")
	}
	if _, err := gate.OpenSessions(gate.Keep{Path: t.TempDir()}); err == nil || errors.Is(err, gate.ErrSessions) {
		t.Errorf("a folder in the file's place: %v", err)
	}
}

func FuzzSessions(f *testing.F) {
	f.Add([]byte(goodFile))
	for _, file := range damaged() {
		f.Add([]byte(file))
	}
	f.Fuzz(func(t *testing.T, raw []byte) {
		list, err := gate.ParseSessions(raw)
		if err != nil {
			if !errors.Is(err, gate.ErrSessions) || list != nil {
				t.Fatal(list, err)
			}
			return
		}
		again, err := gate.FormatSessions(list)
		if err != nil {
			t.Fatal(err)
		}
		if got, err := gate.ParseSessions(again); err != nil || !cmp.Equal(got, list) {
			t.Errorf("%v, %v: %s", cmp.Diff(list, got), err, again)
		}
	})
}
