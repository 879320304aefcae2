package main

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"sync/atomic"

	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/founding"
	"fettlebook/cmd/internal/pages/gate"
)

// frontPage is where this machine's own browser comes in to the hub's pages.
// It opens before there is a shop, so that one can be begun in the browser,
// and then leads to the desk.
type frontPage struct {
	*serving
	address string // "" while no pages are served
	leads   atomic.Pointer[http.Handler]

	opened chan struct{}                                      // closed when the desk is open
	signIn func(w http.ResponseWriter, r *http.Request) error // set before
}

func openFrontPage(ctx context.Context, t *terminal, address string) (*frontPage, error) {
	e := &frontPage{serving: newServing(ctx, t.Logger), opened: make(chan struct{})}
	if address == off {
		return e, nil
	}
	l, err := listenHere(ctx, "pages", address)
	if err != nil {
		return nil, err
	}
	e.address = "http://" + l.Addr().String()
	e.lead(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		http.Error(w, "The hub is starting; look again in a moment.", http.StatusServiceUnavailable)
	}))
	return e, e.serve(l, http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { (*e.leads.Load()).ServeHTTP(w, r) }), nil)
}

func (e *frontPage) lead(h http.Handler) { e.leads.Store(&h) }

// open leads to the desk from now on.
func (e *frontPage) open(desk http.Handler, signIn func(http.ResponseWriter, *http.Request) error) {
	e.signIn = signIn
	e.lead(desk)
	close(e.opened)
}

// errBegun is for who comes second on a first start.
var errBegun = errors.New("a shop has just been set up here; load this page again and sign in")

// asked is a shop to be begun.
type asked struct {
	founding.Words
	answer chan error
}

// begin shows the page of a first start until somebody has begun a shop on it,
// or ctx ends.
func (e *frontPage) begin(ctx context.Context, t *terminal, at hubAt) error {
	shell, err := pages.New(pages.Options{Set: "bench", Now: t.Now, Logger: t.Logger}, founding.Templates())
	if err != nil {
		return err
	}
	asks := make(chan asked)
	start := founding.New(shell, func(turn context.Context, w http.ResponseWriter, r *http.Request, words founding.Words) error {
		a := asked{Words: words, answer: make(chan error, 1)}
		select {
		case asks <- a:
		case <-e.opened:
			return errBegun
		case <-turn.Done():
			return turn.Err()
		}
		if err := <-a.answer; err != nil {
			return err
		}
		select { // the hub starts meanwhile
		case <-e.opened:
			return e.signIn(w, r)
		case <-turn.Done():
			return turn.Err()
		}
	})
	guard := gate.Loopback().Only(gate.SameOrigin(gate.Body(nil, pages.Guard(start.Handler()))))
	e.lead(guard)
	fmt.Fprintf(t.Out, "There is no shop in %s yet. Set one up in the browser at %s\n", t.Data, e.address)
	for {
		select {
		case <-ctx.Done():
			return nil
		case a := <-asks:
			err := foundShop(ctx, t, a.Words, at)
			a.answer <- err
			if err == nil {
				return nil
			}
		}
	}
}

// foundShop begins a shop. The passphrase is checked first and kept last,
// since its file lies in the folder that the shop makes.
func foundShop(ctx context.Context, t *terminal, w founding.Words, at hubAt) error {
	if err := gate.Acceptable(w.Passphrase); err != nil {
		return &founding.Field{Name: "passphrase", Err: err}
	}
	if _, err := person(w.Person); err != nil {
		return &founding.Field{Name: "person", Err: errors.Unwrap(err)}
	}
	c := hubInit{Shop: w.Shop, By: w.Person, Initials: w.Initials, Units: w.Units, hubAt: at}
	if err := c.begin(ctx, t); err != nil {
		return err
	}
	return passphrase(t, t.Data).Set(ctx, w.Passphrase)
}
