package main

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/http"
	"sync"
	"sync/atomic"
	"time"

	"fettlebook/cmd/internal/exit"
	"fettlebook/cmd/internal/folder"
	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/founding"
	"fettlebook/cmd/internal/pages/gate"
	"fettlebook/sync/segment"
)

// frontPage is where this machine's own browser comes in to the hub's pages.
// It opens before there is a shop, so that one can be begun in the browser,
// and then leads to the desk; or, on a machine that joined a shop as a tablet,
// to its bench.
type frontPage struct {
	*serving
	address string // "" while no pages are served
	leads   atomic.Pointer[http.Handler]
	led     chan struct{} // closed when it leads somewhere
	ledOnce sync.Once

	opened chan struct{}                                      // closed when the desk is open
	signIn func(w http.ResponseWriter, r *http.Request) error // set before
	bench  chan struct{}                                      // closed when the bench of a tablet is open
	site   string                                             // where it is; set before
}

func openFrontPage(ctx context.Context, t *terminal, address string) (*frontPage, error) {
	if address == off {
		return newFrontPage(ctx, t, nil)
	}
	l, err := listenHere(ctx, "pages", address)
	if err != nil {
		return nil, err
	}
	return newFrontPage(ctx, t, l)
}

// newFrontPage serves the front page at a listener; at none without one.
func newFrontPage(ctx context.Context, t *terminal, l net.Listener) (*frontPage, error) {
	e := &frontPage{serving: newServing(ctx, t.Logger), led: make(chan struct{}), opened: make(chan struct{}), bench: make(chan struct{})}
	if l == nil {
		return e, nil
	}
	e.address = "http://" + l.Addr().String()
	return e, e.serve(l, http.HandlerFunc(e.show), nil)
}

// startPatience is how long a browser waits for a program that is just starting.
const startPatience = 20 * time.Second

// show answers by what the front page leads to. Who comes before it leads anywhere waits.
func (e *frontPage) show(w http.ResponseWriter, r *http.Request) {
	within, cancel := context.WithTimeout(r.Context(), startPatience)
	defer cancel()
	select {
	case <-e.led:
		(*e.leads.Load()).ServeHTTP(w, r)
	case <-within.Done():
		http.Error(w, "The hub is starting; look again in a moment.", http.StatusServiceUnavailable)
	}
}

func (e *frontPage) lead(h http.Handler) {
	e.leads.Store(&h)
	e.ledOnce.Do(func() { close(e.led) })
}

// open leads to the desk from now on.
func (e *frontPage) open(desk http.Handler, signIn func(http.ResponseWriter, *http.Request) error) {
	e.signIn = signIn
	e.lead(desk)
	close(e.opened)
}

// joined leads to the bench of this machine from now on.
func (e *frontPage) joined(bench string) {
	e.site = bench
	close(e.bench)
	e.lead(gate.Loopback().Only(http.RedirectHandler(bench+"/", http.StatusSeeOther), nil))
}

// errBegun is for who comes second on a first start.
var errBegun = errors.New("this machine has just been set up; load this page again")

// begun is what a first start led to.
type begun struct {
	role  folder.Role
	bench bool // of a hub: it keeps a bench of its own
}

// act is what somebody asks for on a first start.
type act struct {
	do     func(context.Context) error
	leads  begun
	answer chan error
}

// begin shows the page of a first start until somebody has begun a shop on it, or ctx ends.
// On a machine that may as well be a tablet it joins one too. It calls ready as soon as the
// page is there.
func (e *frontPage) begin(ctx context.Context, t *terminal, at hubAt, tablet bool, ready func()) (begun, error) {
	shell, err := pages.New(pages.Options{Set: "bench", Now: t.Now, Logger: t.Logger}, founding.Templates())
	if err != nil {
		return begun{}, err
	}
	acts := make(chan act)
	ask := func(turn context.Context, a act) error {
		a.answer = make(chan error, 1)
		select {
		case acts <- a:
			return <-a.answer
		case <-e.opened:
			return errBegun
		case <-e.bench:
			return errBegun
		case <-turn.Done():
			return turn.Err()
		}
	}
	c := founding.Config{Shell: shell, Begin: func(turn context.Context, w http.ResponseWriter, r *http.Request, words founding.Words) error {
		err := ask(turn, act{do: func(ctx context.Context) error { return foundShop(ctx, t, words, at) }, leads: begun{folder.Hub, words.Bench}})
		if err != nil {
			return err
		}
		select { // the hub starts meanwhile
		case <-e.opened:
			return e.signIn(w, r)
		case <-turn.Done():
			return turn.Err()
		}
	}}
	if tablet {
		c.Join = func(turn context.Context, asked founding.Invitation) (string, error) {
			err := ask(turn, act{do: func(ctx context.Context) error { return joinAs(ctx, t, asked) }, leads: begun{role: folder.Tablet}})
			if err != nil {
				return "", err
			}
			select {
			case <-e.bench:
				return e.site, nil
			case <-turn.Done():
				return "", turn.Err()
			}
		}
	}
	start := founding.New(c)
	mux := http.NewServeMux()
	mux.Handle("/", pages.Guard(start.Handler()))
	mux.HandleFunc("GET "+firstStartPath, func(w http.ResponseWriter, _ *http.Request) { fmt.Fprint(w, folderMark(t.Data)) })
	e.lead(gate.Loopback().Only(gate.SameOrigin(gate.Body(start.Limit, mux, shell.Refuse), shell.Refuse), shell.Refuse))
	fmt.Fprintf(t.Out, "There is no shop in %s yet. Set one up in the browser at %s\n", t.Data, e.address)
	ready()
	for {
		select {
		case <-ctx.Done():
			return begun{}, nil
		case a := <-acts:
			err := a.do(ctx)
			a.answer <- err
			if err == nil {
				return a.leads, nil
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

// joinAs makes this machine a tablet.
func joinAs(ctx context.Context, t *terminal, asked founding.Invitation) error {
	invitation, err := segment.ParseInvitation(asked.Text)
	if err != nil {
		return &founding.Field{Name: "invitation", Err: errors.New("this is not an invitation; copy the whole line that the desk shows, beginning with FETTLE1, or take a picture of its code")}
	}
	if invitation.Expired(t.Now()) {
		return &founding.Field{Name: "invitation", Err: errors.New("this invitation has expired; make a new one at the desk, under People and tablets")}
	}
	lock, err := folder.Lock(t.Data)
	if err != nil {
		return err
	}
	_, _, err = joinShop(ctx, t, t.Data, invitation, asked.Name)
	if err := errors.Join(err, lock.Unlock()); err != nil {
		var said *exit.Error
		if errors.As(err, &said) {
			return &founding.Field{Name: "invitation", Err: errors.New(said.Sentence)}
		}
		return err
	}
	return nil
}
