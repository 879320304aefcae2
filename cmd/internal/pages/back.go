package pages

import (
	"net/http"
	"strings"
)

// Back is the path of this site that a request asks to return to, and never
// one of another site. Browsers drop tabs and line ends out of addresses, and
// take a backslash for a slash (URL Standard, 4.4), so none may be in it.
func Back(r *http.Request) string {
	to := r.FormValue("back")
	odd := func(c rune) bool { return c < ' ' || c == '\\' || c == 0x7f }
	if !strings.HasPrefix(to, "/") || strings.HasPrefix(to, "//") || strings.ContainsFunc(to, odd) {
		return "/"
	}
	return to
}
