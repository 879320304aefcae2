package main

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/http"
	"path/filepath"

	"fettlebook/cmd/internal/folder"
	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/bench"
	"fettlebook/cmd/internal/pages/gate"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/journal"
	"fettlebook/sync/uplink"
)

// benchAt says where a bench's pages can be reached.
type benchAt struct {
	Pages    string `default:"127.0.0.1:7462" help:"Where this machine’s own browser finds the bench’s pages, or off (default: ${default})." placeholder:"ADDRESS"`
	Phones   string `help:"Let phones use the bench’s pages from the start, at this address in the network, such as 0.0.0.0:7463. Each is let in with a pairing code." placeholder:"ADDRESS"`
	PhonesAt string `default:"0.0.0.0:7463" help:"Where phones find the bench’s pages once that is switched on there, under Use a phone (default: ${default})." placeholder:"ADDRESS"`

	prefix string // of these flags, where they stand among others
	yields bool   // to another program at the address: then a free port is taken
	desk   string // where the desk in this process has its pages, "" if there is none
	opened func(address string)
	watch  watched // by whom its figures may be read
}

// benchSite is a bench's pages being served.
type benchSite struct {
	*serving
	address string // "" while no pages are served
	phones  *phoneLine
}

// close ends the pages, those for telephones first.
func (s *benchSite) close(ctx context.Context) {
	if s.phones != nil {
		s.phones.close(ctx)
	}
	s.serving.close(ctx)
}

// hubLine tells how a tablet stands with the hub, and when that has changed.
type hubLine struct {
	standing func() bench.Standing
	changed  func() <-chan struct{}
	up       func() uplink.Status // nil where nobody asks for figures
	keys     bench.Keys           // nil at the hub
}

// openBench serves the pages of a tablet's folder, until they are closed.
func openBench(ctx context.Context, t *terminal, f *folder.Folder, at benchAt, hub hubLine) (*benchSite, error) {
	s := &benchSite{serving: newServing(ctx, t.Logger)}
	if at.Pages == off {
		return s, nil
	}
	take := listenHere
	if at.yields {
		take = listenYielding
	}
	inner, err := take(ctx, at.prefix+"pages", at.Pages)
	if err != nil {
		return nil, err
	}
	if err := s.open(ctx, t, f, at, inner, hub); err != nil {
		s.close(ctx)
		return nil, errors.Join(err, inner.Close())
	}
	s.address = "http://" + inner.Addr().String()
	if at.opened != nil {
		at.opened(s.address)
	}
	return s, nil
}

func (s *benchSite) open(ctx context.Context, t *terminal, f *folder.Folder, at benchAt, inner net.Listener, hub hubLine) error {
	sessions, err := gate.OpenSessions(gate.Keep{Path: filepath.Join(f.Dir, "phones.json"), Scope: gate.Scope(f.Device), Now: t.Now, Rand: t.Rand})
	if err != nil && !errors.Is(err, gate.ErrSessions) {
		return err
	}
	if err != nil {
		t.Logger.WarnContext(ctx, "phones must be paired again", "error", err)
	}
	scope := gate.Scope(f.Device)
	by := func(r *http.Request) journal.PersonID { return journal.PersonID(scope.By(r)) }
	var b *bench.Bench
	pins := &benchPINs{pins: pinsIn(t, f.Dir), folded: f.Folded}
	set, err := newSite(s.serving, t, f, f, own{set: "bench", by: by, confirm: pins.confirm(), frame: func(r *http.Request, s *live.Snapshot) any { return b.Frame(r, s) }})
	if err != nil {
		return err
	}
	set.live.Beside = hub.changed
	guests := &phones{pairing: gate.NewPairing(t.Now, t.Rand), sessions: sessions, counts: new(counts), logger: t.Logger}
	var told watch
	if hub.up != nil {
		if told, err = at.watch.by(tabletMeter(t, f, hub.up, guests.counts), guests.counts, t.Logger); err != nil {
			return err
		}
	}
	b = bench.New(bench.Config{
		Device: f.Device, Name: f.Name, Live: set.live, Log: f.Log, Standing: hub.standing, Drafts: set.drafts, Desk: at.desk,
		By: set.by, SetBy: func(w http.ResponseWriter, r *http.Request, by journal.PersonID) { scope.SetBy(w, r, string(by)) },
		PINs: pins, Keys: hub.keys, Phones: guests, Now: t.Now, Logger: t.Logger,
	})
	shell, err := set.show(t, "bench", b.Funcs(), b.Templates())
	if err != nil {
		return err
	}
	b.Show(shell)
	inside, outside := http.NewServeMux(), http.NewServeMux()
	b.Routes(inside)
	set.routes(inside)
	b.Welcome(outside)
	ways := gate.Gate{Sessions: sessions, Body: set.limit, Refuse: noting(t.Logger, guests.counts, shell.Refuse)}.Bench(pages.Guard(set.live.WhenRead(inside, shell.Say)), pages.Guard(set.live.WhenRead(outside, shell.Say)))
	s.phones = newPhoneLine(s.serving, t, f.Dir, told.network(ways.Network))
	guests.line = s.phones
	if err := s.phones.begin(ctx, at); err != nil {
		return err
	}
	return s.serve(inner, told.here(ways.Loopback), nil)
}

// say tells where the pages are.
func (s *benchSite) say(t *terminal) {
	if s.address != "" {
		fmt.Fprintf(t.Out, "The bench is open in the browser at %s\n", s.address)
		if t.Opened != nil {
			t.Opened(s.address)
		}
	}
}
