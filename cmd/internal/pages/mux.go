package pages

import "net/http"

// Mux is where pages are put on their paths; an [http.ServeMux] is one.
type Mux interface {
	HandleFunc(pattern string, handler func(http.ResponseWriter, *http.Request))
}
