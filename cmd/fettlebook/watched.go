package main

import (
	"errors"
	"io/fs"
	"log/slog"
	"net/http"
	"sync/atomic"

	"fettlebook/cmd/internal/exit"
	"fettlebook/cmd/internal/feed"
	"fettlebook/cmd/internal/meter"
	"fettlebook/cmd/internal/pages/gate"
)

// watched says who may read how a machine stands.
type watched struct {
	TokenFile string `type:"path" help:"A file with a token. Programs on other machines that show it may read /healthz and /metrics at the address of these pages in the network, which programs on this machine may without; and whoever shows it may read a hub’s /feed of entries." placeholder:"FILE"`
}

// watch is a meter, and who may read it: this machine, and the network with the token.
type watch struct {
	meter  *meter.Meter // nil for none
	token  *meter.Token // nil while nobody in the network may
	feed   http.Handler // of a hub's entries, for who shows the token; nil for none
	counts *counts
	logger *slog.Logger
}

// by reads the token, if there is to be one.
func (c watched) by(m *meter.Meter, n *counts, logger *slog.Logger) (watch, error) {
	told := watch{meter: m, counts: n, logger: logger}
	if c.TokenFile == "" {
		return told, nil
	}
	var err error
	told.token, err = meter.ReadToken(c.TokenFile)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return told, &exit.Error{Status: exit.NotFound, Sentence: "--token-file: " + err.Error(), Err: err}
	case errors.Is(err, meter.ErrToken):
		return told, &exit.Error{Status: exit.Refused, Sentence: "--token-file: " + err.Error(), Err: err}
	}
	return told, err
}

// here puts the meter before pages that only this machine reaches.
func (w watch) here(pages http.Handler) http.Handler {
	if w.meter == nil {
		return pages
	}
	return w.before(pages, gate.Loopback().Only(w.meter.Handler(), noting(w.logger, w.counts, nil)))
}

// network puts the meter before pages that the network reaches.
func (w watch) network(pages http.Handler) http.Handler {
	if w.meter == nil || w.token == nil {
		return pages
	}
	return w.before(pages, w.token.Require(w.meter.Handler(), w.refused))
}

// refused notes a program that does not show the token.
func (w watch) refused(r *http.Request) {
	w.counts.tokensRefused.Add(1)
	w.logger.InfoContext(r.Context(), "token refused", "from", gate.From(r), "path", r.URL.Path)
}

func (w watch) before(pages, told http.Handler) http.Handler {
	mux := http.NewServeMux()
	mux.Handle("GET "+meter.HealthPath, told)
	mux.Handle("GET "+meter.FiguresPath, told)
	if w.feed != nil && w.token != nil {
		mux.Handle("GET "+feed.Path, w.token.Require(w.feed, w.refused))
	}
	mux.Handle("/", pages)
	return mux
}

// counts is how often people were let in by this program, and what was not.
type counts struct{ signIns, signInsRefused, notLetIn, tokensRefused atomic.Int64 }
