package pages

import (
	"net/http"
	"time"
)

// themeName is the cookie that keeps how a browser's pages look.
const themeName = "theme"

// themeLife is for how long.
const themeLife = 400 * 24 * time.Hour // longer is not kept (draft RFC 6265bis, 5.5)

// Theme is what somebody chose at this browser: "light", "dark", or "" for as the
// system says.
func Theme(r *http.Request) string {
	if c, err := r.Cookie(themeName); err == nil && (c.Value == "light" || c.Value == "dark") {
		return c.Value
	}
	return ""
}

// SetTheme keeps how pages are to look at this browser, and leads back.
func SetTheme(w http.ResponseWriter, r *http.Request) {
	c := &http.Cookie{Name: themeName, Value: r.FormValue("theme"), Path: "/", MaxAge: int(themeLife / time.Second), HttpOnly: true, SameSite: http.SameSiteLaxMode}
	if c.Value != "light" && c.Value != "dark" {
		c.Value, c.MaxAge = "", -1
	}
	http.SetCookie(w, c)
	http.Redirect(w, r, Back(r), http.StatusSeeOther)
}
