package pages

import (
	"io"
	"net/http"
)

// Drawings serves drawings of our own on a path, each under its name there.
func Drawings(mux Mux, path string, find func(name string) (svg string, ok bool)) {
	mux.HandleFunc("GET "+path+"{name}", func(w http.ResponseWriter, r *http.Request) {
		svg, ok := find(r.PathValue("name"))
		if !ok {
			http.NotFound(w, r)
			return
		}
		w.Header().Set("Content-Type", "image/svg+xml")
		w.Header().Set("Cache-Control", "private, max-age=86400")
		_, _ = io.WriteString(w, svg) // who left does not need it
	})
}
