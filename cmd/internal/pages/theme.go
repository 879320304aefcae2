package pages

import (
	"net/http"
	"slices"
	"time"
)

// choice is something about the pages that somebody chose at a browser, which keeps it
// as a cookie of that name. What is chosen unless somebody does is not kept.
type choice struct {
	name   string
	others []string
}

func themes() choice { return choice{"theme", []string{"light", "dark"}} }
func keypad() choice { return choice{"keypad", []string{"off"}} }

// of is what was chosen at the browser of a request, "" for nothing.
func (c choice) of(r *http.Request) string {
	if kept, err := r.Cookie(c.name); err == nil && slices.Contains(c.others, kept.Value) {
		return kept.Value
	}
	return ""
}

// keptFor is for how long a browser keeps a choice.
const keptFor = 400 * 24 * time.Hour // longer is not kept (draft RFC 6265bis, 5.5)

// set keeps what was chosen, and leads back.
func (c choice) set(w http.ResponseWriter, r *http.Request) {
	kept := &http.Cookie{Name: c.name, Value: r.FormValue(c.name), Path: "/", MaxAge: int(keptFor / time.Second), HttpOnly: true, SameSite: http.SameSiteLaxMode}
	if !slices.Contains(c.others, kept.Value) {
		kept.Value, kept.MaxAge = "", -1
	}
	http.SetCookie(w, kept)
	http.Redirect(w, r, Back(r), http.StatusSeeOther)
}

// Theme is how pages look at this browser: "light", "dark", or "" for as the system says.
func Theme(r *http.Request) string { return themes().of(r) }

// SetTheme keeps how pages are to look at this browser, and leads back.
func SetTheme(w http.ResponseWriter, r *http.Request) { themes().set(w, r) }

// Keypad reports whether a number is typed on large keys of the page at this browser, where
// a finger touches its field.
func Keypad(r *http.Request) bool { return keypad().of(r) == "" }

// SetKeypad keeps on which keys numbers are typed at this browser, and leads back.
func SetKeypad(w http.ResponseWriter, r *http.Request) { keypad().set(w, r) }
