package gate_test

import (
	"crypto/tls"
	"net/http"
	"net/http/httptest"
	"testing"
	"testing/synctest"
	"time"

	"fettlebook/cmd/internal/pages/gate"
)

// browser keeps cookies for one host, and nothing more of what browsers do.
type browser struct {
	jar map[string]*http.Cookie
	tls bool
}

func newBrowser() *browser { return &browser{jar: make(map[string]*http.Cookie)} }

func (b *browser) do(h http.Handler) *httptest.ResponseRecorder {
	r := httptest.NewRequest("GET", "/", nil)
	if b.tls {
		r.TLS = new(tls.ConnectionState)
	}
	return b.send(h, r)
}

func (b *browser) send(h http.Handler, r *http.Request) *httptest.ResponseRecorder {
	for _, c := range b.jar {
		r.AddCookie(c)
	}
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	for _, c := range w.Result().Cookies() {
		if b.jar[c.Name] = c; c.MaxAge < 0 {
			delete(b.jar, c.Name)
		}
	}
	return w
}

func TestCookies(t *testing.T) {
	s := open(t, keepIn(t.TempDir()))
	scope := gate.Scope("k7f2m9qa")
	for _, c := range []struct {
		name string
		tls  bool
		give http.HandlerFunc
		want http.Cookie
	}{
		{"phone over TLS", true, func(w http.ResponseWriter, r *http.Request) { _, _ = s.SignIn(w, r, bluePhone) },
			http.Cookie{Name: "__Host-phone-k7f2m9qa", MaxAge: 30 * 24 * 3600, SameSite: http.SameSiteLaxMode}},
		{"phone", false, func(w http.ResponseWriter, r *http.Request) { _, _ = s.SignIn(w, r, bluePhone) },
			http.Cookie{Name: "phone-k7f2m9qa", MaxAge: 30 * 24 * 3600, SameSite: http.SameSiteLaxMode}},
		{"desk over TLS", true, func(w http.ResponseWriter, r *http.Request) { _, _ = s.SignIn(w, r, desk) },
			http.Cookie{Name: "__Host-desk-k7f2m9qa", MaxAge: 12 * 3600, SameSite: http.SameSiteStrictMode}},
		{"desk", false, func(w http.ResponseWriter, r *http.Request) { _, _ = s.SignIn(w, r, desk) },
			http.Cookie{Name: "desk-k7f2m9qa", MaxAge: 12 * 3600, SameSite: http.SameSiteStrictMode}},
		{"person", true, func(w http.ResponseWriter, r *http.Request) { scope.SetBy(w, r, "a7f2m9qb") },
			http.Cookie{Name: "__Host-by-k7f2m9qa", Value: "a7f2m9qb", MaxAge: 12 * 3600, SameSite: http.SameSiteLaxMode}},
		{"without a scope", false, func(w http.ResponseWriter, r *http.Request) { gate.Scope("").SetBy(w, r, "a7f2m9qb") },
			http.Cookie{Name: "by", Value: "a7f2m9qb", MaxAge: 12 * 3600, SameSite: http.SameSiteLaxMode}},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := newBrowser()
			b.tls = c.tls
			b.do(c.give)
			got, ok := b.jar[c.want.Name]
			if !ok {
				t.Fatalf("got %v", b.jar)
			}
			if !got.HttpOnly || got.Path != "/" || got.Domain != "" || got.Secure != c.tls || got.SameSite != c.want.SameSite ||
				got.MaxAge != c.want.MaxAge || c.want.Value != "" && got.Value != c.want.Value {
				t.Errorf("%s", got)
			}
		})
	}
}

// What came without TLS does not count over TLS, where anybody on the network
// could have planted it.
func TestCookiesPlanted(t *testing.T) {
	s, b := open(t, keepIn(t.TempDir())), newBrowser()
	signIn(t, s, b, bluePhone)
	b.tls = true
	if isIn(s, b, gate.Phone) {
		t.Error("a cookie without TLS lets in over TLS")
	}
	signIn(t, s, b, bluePhone)
	b.jar["phone-k7f2m9qa"].Value = "planted"
	if !isIn(s, b, gate.Phone) {
		t.Error("a planted cookie keeps the phone out")
	}
}

// The browser gets its cookie for longer as the session does.
func TestCookiesRenewed(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s, b := open(t, keepIn(t.TempDir())), newBrowser()
		signIn(t, s, b, bluePhone)
		signIn(t, s, b, desk)
		for _, c := range []struct {
			after time.Duration
			role  gate.Role
			want  int // seconds; 0: no new cookie
		}{
			{time.Minute, gate.Desk, 0},
			{time.Hour, gate.Desk, 12 * 3600},
			{0, gate.Desk, 0},
			{0, gate.Phone, 30*24*3600 - 3660},
		} {
			<-time.After(c.after)
			got := 0
			for _, c := range b.do(s.Require(c.role, says("in"), says("out"))).Result().Cookies() {
				got = c.MaxAge
			}
			if got != c.want {
				t.Errorf("%s after %v: cookie for %d s, want %d", c.role, c.after, got, c.want)
			}
		}
	})
}

func TestBy(t *testing.T) {
	b, here, next := newBrowser(), gate.Scope("k7f2m9qa"), gate.Scope("p3c8d2xb")
	by := func(s gate.Scope) (got string) {
		b.do(http.HandlerFunc(func(_ http.ResponseWriter, r *http.Request) { got = s.By(r) }))
		return got
	}
	set := func(s gate.Scope, person string) {
		b.do(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { s.SetBy(w, r, person) }))
	}
	if got := by(here); got != "" {
		t.Errorf("at first %q", got)
	}
	set(here, "a7f2m9qb")
	set(next, "c3d8e2fa") // another program on another port
	if by(here) != "a7f2m9qb" || by(next) != "c3d8e2fa" {
		t.Errorf("%q here, %q next door", by(here), by(next))
	}
	set(here, "")
	if by(here) != "" || by(next) == "" {
		t.Errorf("taken away here: %q here, %q next door", by(here), by(next))
	}
}
