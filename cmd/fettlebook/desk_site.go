package main

import (
	"cmp"
	"context"
	"errors"
	"net"
	"net/http"
	"path/filepath"
	"slices"
	"strconv"
	"time"

	"fettlebook/cmd/internal/folder"
	"fettlebook/cmd/internal/pages"
	"fettlebook/cmd/internal/pages/desk"
	"fettlebook/cmd/internal/pages/gate"
	"fettlebook/cmd/internal/pages/live"
	"fettlebook/cmd/internal/paper"
	"fettlebook/journal"
	"fettlebook/sync/hub"
	"fettlebook/sync/segment"
	"fettlebook/sync/witness"
)

// openDesk opens the hub's pages: to this machine's browser through the front page,
// and in the network over TLS with the hub's own certificate, at the port where
// tablets join.
func (s *hubProcess) openDesk(ctx context.Context, cert certificate, told watch) (*serving, error) {
	l, err := listen(ctx, "desk-port", net.JoinHostPort(s.f.Host, strconv.Itoa(s.f.DeskPort)))
	if err != nil {
		return nil, err
	}
	out := newServing(ctx, s.t.Logger)
	ways, watch, err := s.makeDesk(ctx, out)
	if err != nil {
		out.close(ctx)
		return nil, errors.Join(err, l.Close())
	}
	mux := http.NewServeMux()
	mux.Handle("POST "+segment.JoinPath, s.hub.Desk())
	if s.witness != nil {
		mux.Handle("POST "+witnessPrefix+witness.AddCheckpoint, s.witness)
	}
	mux.Handle("/", told.network(ways.Network))
	if err := out.serve(l, mux, cert.server()); err != nil {
		out.close(ctx)
		return nil, err
	}
	s.entry.open(told.here(ways.Loopback), func(w http.ResponseWriter, r *http.Request) error {
		_, err := watch.sessions.SignIn(w, r, gate.Holder{Role: gate.Desk})
		return err
	})
	return out, nil
}

// makeDesk joins the desk's pages to the hub.
func (s *hubProcess) makeDesk(ctx context.Context, out *serving) (gate.Ways, *deskAccess, error) {
	scope := gate.Scope(s.f.Device)
	sessions, err := gate.OpenSessions(gate.Keep{Path: filepath.Join(s.f.Dir, "signed-in.json"), Scope: scope, Now: s.t.Now, Rand: s.t.Rand})
	if err != nil && !errors.Is(err, gate.ErrSessions) {
		return gate.Ways{}, nil, err
	}
	if err != nil {
		s.t.Logger.WarnContext(ctx, "everybody must sign in again", "error", err)
	}
	watch := &deskAccess{sessions: sessions, people: signers(s.t, s.f.Dir), counts: &s.counts, now: s.t.Now, logger: s.t.Logger}
	by := func(r *http.Request) journal.PersonID {
		return cmp.Or(watch.SignedIn(r), journal.PersonID(scope.By(r)))
	}
	var d *desk.Desk
	house := membersHouse{hubStore: s.store(), folded: s.f.Folded}
	set, err := newSite(out, s.t, s.f, house, own{set: "desk", by: by, frame: func(r *http.Request, s *live.Snapshot) any { return d.Frame(r, s) }, page: desk.WrittenPath, barred: house.barred, confirm: byPassphrase()})
	if err != nil {
		return gate.Ways{}, nil, err
	}
	papers := &receipts{log: s.f.Log, originals: s.f.Photos, now: s.t.Now}
	d = desk.New(desk.Config{
		Live: set.live, Hub: deskHub{s}, Apart: deskHub{s}, Places: deskHub{s}, Cards: s.f.Log, Gate: watch, Keys: watch, Book: house,
		Dossier: dossierOf(s.f.Dir, s.f.Log, s.f.Photos),
		Receipt: func(ctx context.Context, v *live.Snapshot, st *live.Standing) (*paper.Document, error) {
			doc, _, err := papers.write(ctx, v, st)
			return doc, err
		},
		By: by, SetBy: func(w http.ResponseWriter, r *http.Request, by journal.PersonID) { scope.SetBy(w, r, string(by)) },
		Bench: func() string {
			if at := s.bench.Load(); at != nil {
				return *at
			}
			return ""
		},
		Missing: deskHub{s}.Missing,
		Room:    (&roomKeeper{dir: s.f.Dir, now: s.t.Now}).room, Copies: s.copied, Stopped: func() bool { return s.broker.Stopped() != nil },
		Witnessed: s.witnessed(), Now: s.t.Now, Rand: s.t.Rand, Logger: s.t.Logger,
	})
	shell, err := set.show(s.t, "desk", nil, desk.Templates())
	if err != nil {
		return gate.Ways{}, nil, err
	}
	d.Show(shell)
	inside := http.NewServeMux()
	d.Routes(inside)
	set.routes(inside)
	g := gate.Gate{Sessions: sessions, Hosts: reachable(s.f.Identity), Body: set.limit, Refuse: noting(s.t.Logger, &s.counts, shell.Refuse), Holds: watch.holds}
	return g.Desk(pages.Guard(set.live.WhenRead(d.Members(inside), shell.Say)), pages.Guard(set.live.WhenRead(d.Outside(), shell.Say))), watch, nil
}

// deskHub is what the desk asks the hub to do.
type deskHub struct{ s *hubProcess }

// invitationLife is how long an invitation from the desk holds: long enough
// to walk to the bench and back.
const invitationLife = time.Hour

// Invite implements [desk.Hub].
func (o deskHub) Invite(ctx context.Context, by journal.PersonID, name string) (string, time.Time, error) {
	f := o.s.f
	expires := o.s.t.Now().Add(invitationLife)
	token, draft, err := hub.NewInvitation(f.Shop, by, name, expires, o.s.t.Rand)
	if err != nil {
		return "", time.Time{}, err
	}
	if _, err := o.s.store().Append(ctx, draft); err != nil {
		return "", time.Time{}, err
	}
	return segment.Invitation{Shop: string(f.Shop), ShopName: f.ShopName, Addresses: deskAddresses(f.Identity),
		Fingerprint: f.Fingerprint, Token: token, Expires: expires.Unix(), Name: name}.String(), expires, nil
}

// Place implements [desk.Places].
func (o deskHub) Place() (desk.Place, error) {
	id, err := folder.ReadIdentity(o.s.f.Dir)
	return desk.Place{Found: o.s.brokers(), Named: id.Named, Desk: id.DeskPort, Broker: id.BrokerPort}, err
}

// Move implements [desk.Places]. What runs stays where it is until the next start.
func (o deskHub) Move(_ context.Context, to desk.Place) error {
	id, err := folder.ReadIdentity(o.s.f.Dir)
	if err != nil {
		return err
	}
	at := hubAt{DeskPort: to.Desk, BrokerPort: to.Broker, Address: append([]string{""}, to.Named...)}
	if id, err = at.over(id); err != nil {
		return err
	}
	return folder.WriteIdentity(o.s.f.Dir, id)
}

// Revoke implements [desk.Hub].
func (o deskHub) Revoke(ctx context.Context, by journal.PersonID, device journal.DeviceID, reason string) error {
	_, err := o.s.store().Append(ctx, journal.Draft{Subject: journal.Of("device", string(device)), By: by,
		Data: &journal.Revocation{Device: device, Reason: reason}})
	return err
}

// Apart implements [desk.Apart].
func (o deskHub) Apart(ctx context.Context) (list []desk.Unverified, err error) {
	all, err := o.s.f.Log.Quarantines(ctx)
	for _, q := range all {
		i := slices.IndexFunc(list, func(u desk.Unverified) bool { return u.Device == q.Device })
		if i < 0 {
			i, list = len(list), append(list, desk.Unverified{Device: q.Device})
		}
		u := &list[i]
		u.Messages, u.Bytes = u.Messages+1, u.Bytes+int64(q.Bytes)
		u.Newest, u.Reason = time.Unix(q.At, 0), q.Reason
	}
	return list, err
}

// ThrowAway implements [desk.Apart].
func (o deskHub) ThrowAway(ctx context.Context) error {
	if err := o.s.f.Log.DiscardQuarantine(ctx); err != nil {
		return err
	}
	o.s.hub.ForgetKept()
	return nil
}

// Missing tells what no machine brought.
func (o deskHub) Missing(ctx context.Context) (desk.Missing, error) {
	gone, err := o.s.hub.Gone(ctx)
	var m desk.Missing
	for _, l := range gone.Logs {
		m.Logs = append(m.Logs, desk.MissingEntries(l))
	}
	for _, g := range gone.Originals {
		m.Originals = append(m.Originals, desk.MissingOriginal(g))
	}
	return m, err
}

// Tablets implements [desk.Hub].
func (o deskHub) Tablets(ctx context.Context) ([]desk.Tablet, error) {
	heads, err := o.s.f.Log.Heads(ctx)
	if err != nil {
		return nil, err
	}
	heard, resting := o.s.hub.Heard(), o.s.hub.Resting()
	for device := range resting {
		if !slices.ContainsFunc(heads, func(h journal.Head) bool { return h.Device == device }) {
			heads = append(heads, journal.Head{Device: device}) // it never wrote anything
		}
	}
	var list []desk.Tablet
	for _, h := range heads {
		if h.Device == o.s.f.Device {
			continue
		}
		c, err := o.s.f.Log.LastCountersigned(ctx, h.Device)
		if err != nil {
			return nil, err
		}
		list = append(list, desk.Tablet{Device: h.Device, Heard: heard[h.Device], Entries: h.Size, Countersigned: c.Size,
			CutOff: desk.CutOff(resting[h.Device])})
	}
	return list, nil
}
