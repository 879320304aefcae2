package pages

import (
	"net/http"
	"strings"
)

// Refuse answers what is not let in to the pages at all, before anything of the shop
// is asked: a person gets a page with the look of all others, a script the sentence
// alone. By a name that is not this machine's it serves the look itself too, which is
// nobody's secret, and no way on, since there is none by that name.
func (s *Shell) Refuse(w http.ResponseWriter, r *http.Request, status int, title, sentence string) {
	keepToItself(w.Header())
	s.logger.WarnContext(r.Context(), "refused at the door", "title", title, "status", status, "method", r.Method, "path", r.URL.Path, "from", r.RemoteAddr)
	elsewhere := status == http.StatusMisdirectedRequest
	if elsewhere && r.Method == http.MethodGet && strings.HasPrefix(r.URL.Path, "/assets/") {
		s.Assets(w, r)
		return
	}
	if !strings.Contains(r.Header.Get("Accept"), "text/html") {
		http.Error(w, sentence, status)
		return
	}
	v := View{Title: title, Data: sentence}
	if !elsewhere {
		v.Frame = "/"
	}
	s.send(w, r, status, s.bare, "bare", s.dressed(r, v))
}
