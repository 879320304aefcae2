package pages

import (
	"io"
	"net/http"
)

// Drawings serves drawings of our own on a path, each under its name there. What a
// page says of itself to the browser is shorter for a drawing, which can do nothing: a
// page may show two dozen of them.
func Drawings(mux Mux, path string, find func(name string) (svg string, ok bool)) {
	mux.HandleFunc("GET "+path+"{name}", func(w http.ResponseWriter, r *http.Request) {
		svg, ok := find(r.PathValue("name"))
		if !ok {
			http.NotFound(w, r)
			return
		}
		h := w.Header()
		h.Set("Content-Type", "image/svg+xml")
		h.Set("Cache-Control", "private, max-age=86400")
		h.Set("Content-Security-Policy", "default-src 'none'")
		h.Del("Permissions-Policy")
		h.Del("Cross-Origin-Opener-Policy")
		_, _ = io.WriteString(w, svg) // who left does not need it
	})
}
