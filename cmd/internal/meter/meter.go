package meter

import (
	"context"
	"fmt"
	"net/http"

	"github.com/go-json-experiment/json"
	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"
	"github.com/prometheus/client_golang/prometheus/promhttp"
)

// The paths on which a machine tells how it stands.
const (
	HealthPath  = "/healthz"
	FiguresPath = "/metrics"
)

// HealthFormat names the form of what is told at [HealthPath].
const HealthFormat = "fettlebook-health/1"

// Health is whether a machine is well.
type Health struct {
	Format   string   `json:"format"`
	Well     bool     `json:"well"`
	Role     string   `json:"role"`
	Device   string   `json:"device"`
	Problems []string `json:"problems,omitempty"` // why it is not well
	Notes    []string `json:"notes,omitempty"`    // what to look at when there is time: the machine is well all the same
}

// Meter reads how one machine stands.
type Meter struct {
	Health   func(context.Context) Health
	Readings func(context.Context) ([]Reading, error)
}

// Handler answers at [HealthPath] and [FiguresPath].
func (m *Meter) Handler() http.Handler {
	mux := http.NewServeMux()
	mux.HandleFunc("GET "+HealthPath, m.health)
	mux.HandleFunc("GET "+FiguresPath, m.figures)
	return mux
}

// health answers 200 while the machine is well and 503 while it is not.
func (m *Meter) health(w http.ResponseWriter, r *http.Request) {
	h := m.Health(r.Context())
	h.Format, h.Well = HealthFormat, len(h.Problems) == 0
	raw, err := json.Marshal(h, json.Deterministic(true))
	if err != nil {
		http.Error(w, fmt.Sprintf("How this machine stands cannot be told: %v.", err), http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "application/json")
	w.Header().Set("Cache-Control", "no-store")
	if !h.Well {
		w.WriteHeader(http.StatusServiceUnavailable)
	}
	_, _ = fmt.Fprintf(w, "%s\n", raw) // who is gone does not hear it
}

func (m *Meter) figures(w http.ResponseWriter, r *http.Request) {
	list, err := m.Readings(r.Context())
	registry := prometheus.NewRegistry()
	for _, c := range []prometheus.Collector{readings(list), collectors.NewGoCollector(), collectors.NewProcessCollector(collectors.ProcessCollectorOpts{})} {
		if err == nil {
			err = registry.Register(c)
		}
	}
	if err != nil {
		http.Error(w, fmt.Sprintf("The figures of this machine cannot be read: %v.", err), http.StatusInternalServerError)
		return
	}
	promhttp.HandlerFor(registry, promhttp.HandlerOpts{ErrorHandling: promhttp.HTTPErrorOnError}).ServeHTTP(w, r)
}
