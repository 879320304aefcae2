package gate

import (
	"fmt"
	"net/http"
	"time"
)

// Scope is what the names of a program's cookies end in, such as the device's
// name: browsers keep cookies by host and not by port, and two programs on one
// machine must not take each other's. Letters and digits.
type Scope string

// byLife is a working day: who comes in the next morning says again who works
// here, before an entry carries the wrong person.
const byLife = 12 * time.Hour

// SignIn begins a session for a browser and gives it the cookie. The session in
// that role which the browser had before, if any, ends.
func (s *Sessions) SignIn(w http.ResponseWriter, r *http.Request, h Holder) (Session, error) {
	if !h.valid() {
		return Session{}, fmt.Errorf("sign in %q as %q: %w", h.Name, h.Role, ErrName)
	}
	if err := s.endHeld(r, h.Role); err != nil {
		return Session{}, err
	}
	one, token, err := s.begin(h)
	if err != nil {
		return Session{}, err
	}
	s.scope.giveToken(w, r, one, token, one.Ends().Sub(one.Made))
	return one, nil
}

// SignOut ends the browser's session in the role and takes the cookie back. The
// cookie goes even if the error is not nil.
func (s *Sessions) SignOut(w http.ResponseWriter, r *http.Request, role Role) error {
	s.scope.set(w, r, string(role), "", sameSite(role), -1)
	return s.endHeld(r, role)
}

func (s *Sessions) endHeld(r *http.Request, role Role) error {
	tokens := s.scope.tokens(r, role)
	return s.endEach(func(one Session) bool {
		for _, t := range tokens {
			if one.ID == idOf(t) {
				return true
			}
		}
		return false
	})
}

// By returns the person who works at this browser, as [Scope.SetBy] was told.
// The browser's user can write anything there: check it.
func (s Scope) By(r *http.Request) string {
	c, err := r.Cookie(s.name(r, "by"))
	if err != nil {
		return ""
	}
	return c.Value
}

// SetBy keeps who works at this browser, for 12 hours; "" takes it away.
func (s Scope) SetBy(w http.ResponseWriter, r *http.Request, by string) {
	life := byLife
	if by == "" {
		life = -1
	}
	s.set(w, r, "by", by, http.SameSiteLaxMode, life)
}

func (s Scope) tokens(r *http.Request, role Role) []string {
	var list []string
	for _, c := range r.CookiesNamed(s.name(r, string(role))) {
		list = append(list, c.Value)
	}
	return list
}

func (s Scope) giveToken(w http.ResponseWriter, r *http.Request, one Session, token string, life time.Duration) {
	s.set(w, r, string(one.Role), token, sameSite(one.Role), life)
}

// sameSite: a phone scans the code on a part's tag in its camera, and browsers
// take a link that another program opens for one from another site. A Strict
// cookie would stay behind and the phone look unpaired. Lax sends it along when
// a page is opened, never with what another site's page loads or posts, and
// opening a page changes nothing. The desk, where more can be done, has no such
// links.
func sameSite(role Role) http.SameSite {
	if role == Phone {
		return http.SameSiteLaxMode
	}
	return http.SameSiteStrictMode
}

// set gives a cookie for a life, or takes it back if life is negative.
func (s Scope) set(w http.ResponseWriter, r *http.Request, what, value string, site http.SameSite, life time.Duration) {
	age := -1
	if life >= 0 {
		age = max(1, int(life/time.Second)) // 0 would keep it for as long as the browser runs
	}
	http.SetCookie(w, &http.Cookie{
		Name: s.name(r, what), Value: value, Path: "/", MaxAge: age,
		HttpOnly: true, SameSite: site, Secure: r.TLS != nil,
	})
}

// name is that of a cookie. Over TLS its prefix makes the browser refuse one
// that did not come from this very host over TLS.
func (s Scope) name(r *http.Request, what string) string {
	if s != "" {
		what += "-" + string(s)
	}
	if r.TLS != nil {
		return "__Host-" + what
	}
	return what
}
