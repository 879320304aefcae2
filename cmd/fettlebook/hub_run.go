package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"sync/atomic"

	"fettlebook/cmd/internal/backup"
	"fettlebook/cmd/internal/control"
	"fettlebook/cmd/internal/feed"
	"fettlebook/cmd/internal/folder"
	"fettlebook/cmd/internal/pages/desk"
	"fettlebook/journal"
	"fettlebook/journal/proof"
	"fettlebook/sync/broker"
	"fettlebook/sync/hub"
	"fettlebook/sync/segment"
	"fettlebook/sync/witness"

	"github.com/nats-io/nats.go"
	"github.com/nats-io/nats.go/jetstream"
)

type hubRun struct {
	Pages   string  `default:"127.0.0.1:7459" help:"Where this machine’s own browser finds the desk’s pages, or off (default: ${default})." placeholder:"ADDRESS"`
	Bench   bool    `help:"Keep a bench with a log of its own in this process too: a shop of one person needs no second machine."`
	At      benchAt `embed:"" prefix:"bench-"`
	Out     outside `embed:"" group:"For witnesses from outside, all off unless given:"`
	Watch   watched `embed:"" group:"For programs that watch over the machine:"`
	Rebuild bool    `help:"Make a journal anew that was lost, from the message store and from what the tablets bring back. Restore a backup instead if there is one."`
	New     hubAt   `embed:"" group:"Where the hub is in the network, kept for the next starts:"`
}

// Run runs the hub until it is told to stop.
func (c *hubRun) Run(ctx context.Context, t *terminal) error {
	entry, err := openFrontPage(ctx, t, c.Pages)
	if err != nil {
		return stopped(ctx, err)
	}
	defer entry.close(ctx)
	if _, err := folder.ReadIdentity(t.Data); errors.Is(err, folder.ErrNoFolder) && entry.address != "" {
		if _, err := entry.begin(ctx, t, c.New, false, func() {}); err != nil || ctx.Err() != nil {
			return err
		}
	}
	return c.serve(ctx, t, entry)
}

// serve runs the hub of a folder that has a shop, with its pages behind the front page.
func (c *hubRun) serve(ctx context.Context, t *terminal, entry *frontPage) error {
	t.stays()
	if c.Rebuild {
		if err := folder.Rebuild(ctx, t.Data, t.folder()); err != nil {
			return stopped(ctx, err)
		}
	}
	f, err := folder.Open(ctx, t.Data, t.folder())
	if err != nil {
		return stopped(ctx, err)
	}
	modest(hubMemory)
	if f.Role != folder.Hub {
		return errors.Join(notA(folder.Hub, f.Identity), f.Close())
	}
	if err := currentKeys(ctx, f); err != nil {
		return errors.Join(stopped(ctx, err), f.Close())
	}
	if err := c.New.move(f); err != nil {
		return errors.Join(err, f.Close())
	}
	return errors.Join(stopped(ctx, serveHub(ctx, t, f, c, entry)), f.Close())
}

// stopped is what went wrong with a program that runs until it is told to stop. That it
// was told so while it was starting is nothing wrong.
func stopped(ctx context.Context, err error) error {
	if ctx.Err() != nil && errors.Is(err, context.Canceled) {
		return nil
	}
	return err
}

// hubProcess is a hub's parts at work.
type hubProcess struct {
	t      *terminal
	f      *folder.Folder
	broker *broker.Broker
	conn   *nats.Conn
	hub    *hub.Hub
	entry  *frontPage
	counts counts
	line   string                 // public key of the hub's own connection
	known  []hub.Client           // whom the broker let in when it started
	bench  atomic.Pointer[string] // where the bench in this process has its pages; nil while there are none

	copies *backup.Keeper // makes backups, if it was asked to

	keeper  *witness.Keeper  // has the log witnessed; nil if nobody is asked
	witness *witness.Witness // witnesses other shops' logs; nil if none
}

// serveHub starts the parts in the order in which they need each other, and
// stops them the other way round.
func serveHub(ctx context.Context, t *terminal, f *folder.Folder, c *hubRun, entry *frontPage) error {
	s := &hubProcess{t: t, f: f, entry: entry, copies: copiesOf(t, f)}
	cert, err := readCertificate(f.Dir)
	if err != nil {
		return err
	}
	if err := s.startBroker(ctx, cert); err != nil {
		return err
	}
	defer s.stopBroker(context.WithoutCancel(ctx))
	codec, err := segment.NewCodec()
	if err != nil {
		return err
	}
	defer codec.Close()
	if err := s.makeHub(ctx, codec, &c.Out); err != nil {
		return err
	}
	watch, err := c.Watch.by(s.meter(), &s.counts, t.Logger)
	if err != nil {
		return err
	}
	watch.feed = &feed.Feed{Log: f.Log, Logger: t.Logger, Changed: func() <-chan struct{} { _, changed := f.Folded.Now(); return changed }}
	desk, err := s.openDesk(ctx, cert, watch)
	if err != nil {
		return err
	}
	defer desk.close(ctx)
	defer entry.close(ctx) // it leads to the desk by now
	d, err := control.Open(ctx, f.Dir, hubStore{Folder: f, hub: s.hub}, func() any { return s.status(ctx) })
	if err != nil {
		return err
	}
	defer d.Close(context.WithoutCancel(ctx))
	return s.work(ctx, c)
}

// work runs the hub, and beside it what looks at its log: the sealer, and
// the bench if there is one. When one of them fails all end.
func (s *hubProcess) work(ctx context.Context, c *hubRun) error {
	beside, ctx := newCrew(ctx)
	seal := &sealer{f: s.f, hub: s.hub, logger: s.t.Logger}
	beside.begin(ctx, seal.run)
	beside.begin(ctx, func(ctx context.Context) error {
		s.f.KeepCarryingOut(ctx, s.t.Logger)
		return nil
	})
	beside.begin(ctx, func(ctx context.Context) error {
		s.copies.Run(ctx)
		return nil
	})
	beside.begin(ctx, func(ctx context.Context) error {
		s.broker.Watch(ctx)
		return nil
	})
	beside.begin(ctx, func(ctx context.Context) error {
		s.sayMissing(ctx)
		return nil
	})
	if s.keeper != nil {
		beside.begin(ctx, func(ctx context.Context) error {
			s.keeper.Run(ctx)
			return nil
		})
	}
	if c.Bench {
		c.At.watch = c.Watch
		c.At.prefix, c.At.desk, c.At.opened = "bench-", s.entry.address, func(address string) { s.bench.Store(&address) }
		beside.begin(ctx, func(ctx context.Context) error { return serveBench(ctx, s, c.At) })
	}
	fmt.Fprintf(s.t.Out, "The hub of %q is up: tablets join at port %d and sync at port %d. Stop it with Ctrl-C.\n", s.f.ShopName, s.f.DeskPort, s.f.BrokerPort)
	if s.entry.address != "" {
		fmt.Fprintf(s.t.Out, "The desk is open in the browser at %s\n", s.entry.address)
		if s.t.Opened != nil && !c.Bench { // else the bench is what is looked at first
			s.t.Opened(s.entry.address)
		}
	}
	return errors.Join(s.hub.Run(ctx), beside.wait())
}

// sayMissing says what is missing once the hub has read all that is on this machine. The
// desk says it at any time.
func (s *hubProcess) sayMissing(ctx context.Context) {
	select {
	case <-s.hub.Ready():
	case <-ctx.Done():
		return
	}
	m, err := deskHub{s}.Missing(ctx)
	if err != nil {
		s.t.Logger.WarnContext(ctx, "look for what is missing", "error", err)
		return
	}
	for _, says := range m.Say(desk.Names(s.f.Folded.View(ctx).Shop)) {
		fmt.Fprintln(s.t.Out, says)
	}
}

// startBroker lets in whom the last register named, until the hub has read
// its own.
func (s *hubProcess) startBroker(ctx context.Context, cert certificate) error {
	line, err := folder.ReadLineKey(s.f.Dir)
	if err != nil {
		return err
	}
	if s.line, err = line.PublicKey(); err != nil {
		return fmt.Errorf("read line key: %w", err)
	}
	list, err := readAdmitted(s.f.Dir)
	if err != nil {
		return err
	}
	if s.known, err = hub.Kept(ctx, journal.Authority{Shop: s.f.Shop, Hub: s.f.Device}, s.f.Log, s.f.Log, list, s.t.Now()); err != nil {
		return err
	}
	if err := free("broker-port", s.f.Host, s.f.BrokerPort); err != nil {
		return err
	}
	s.broker, err = broker.Start(ctx, broker.Config{
		ServerName: "hub", StoreDir: folder.BrokerPath(s.f.Dir), Host: s.f.Host, Port: s.f.BrokerPort,
		Cert: cert.pair, Logger: s.t.Logger,
	}, broker.Register{Hub: s.line, Devices: devices(s.f.Shop, s.known)})
	if err != nil {
		return err
	}
	s.conn, err = nats.Connect("", nats.InProcessServer(s.broker.InProcess()), nats.Nkey(s.line, line.Sign),
		nats.Name("hub"), nats.MaxReconnects(-1), nats.NoCallbacksAfterClientClose(),
		nats.ErrorHandler(func(_ *nats.Conn, _ *nats.Subscription, err error) {
			s.t.Logger.DebugContext(ctx, "message server", "error", err)
		}))
	if err != nil {
		return errors.Join(fmt.Errorf("connect to the broker: %w", err), s.broker.Close(context.WithoutCancel(ctx)))
	}
	return nil
}

func (s *hubProcess) stopBroker(ctx context.Context) {
	s.conn.Close()
	if err := s.broker.Close(ctx); err != nil {
		s.t.Logger.WarnContext(ctx, "stop broker", "error", err)
	}
}

// makeHub joins the hub to its database, its photo folder and the broker.
func (s *hubProcess) makeHub(ctx context.Context, codec *segment.Codec, out *outside) error {
	js, err := jetstream.New(s.conn)
	if err != nil {
		return fmt.Errorf("open streams: %w", err)
	}
	stream, err := broker.EnsureStream(ctx, js, broker.StreamConfig(segment.Stream(s.f.Shop), []string{segment.LogSubjects(s.f.Shop)}, 1))
	if err != nil {
		return err
	}
	key, err := folder.ReadProofKey(s.f.Dir, folder.LogKey)
	if err != nil {
		return err
	}
	cosign, err := folder.ReadProofKey(s.f.Dir, folder.CosignKey)
	if err != nil {
		return err
	}
	s.hub = hub.New(s.config(js, stream, codec, key, cosign))
	if s.keeper, err = out.keeper(s, key, cosign); err != nil {
		return err
	}
	s.witness, err = out.witness(s, cosign)
	return err
}

func (s *hubProcess) config(js jetstream.JetStream, stream jetstream.Stream, codec *segment.Codec, key, cosign proof.Key) hub.Config {
	return hub.Config{
		Shop: s.f.Shop, ShopName: s.f.ShopName, Device: s.f.Device, By: "hub", Key: key, Cosigner: cosign, HubKey: s.f.HubKey, CosignKey: s.f.CosignKey, Agreed: s.f.Agreed,
		Log: s.f.Log, History: s.f.Log, Receipts: s.f.Log, Cards: s.f.Log, Notes: s.f.Log, Room: s.f.Log, Named: s.f.Log,
		Arrivals: s.f.Photos, Pieces: s.f.Photos, Door: admitter{s.f.Dir, s.f.Shop, s.line, s.broker, s.t.Logger}, Admitted: s.known, Conn: s.conn, JS: js, Stream: stream, Port: s.f.BrokerPort, Where: s.brokers,
		Codec: codec, Now: s.t.Now, Logger: s.t.Logger,
	}
}

// hubStore is the hub's folder behind its door: what is appended is in the
// stream too before it is acknowledged.
type hubStore struct {
	*folder.Folder
	hub   *hub.Hub
	aside *slog.Logger // hears what goes wrong after the writing; nil where the caller hears it
}

// store is where this process itself writes, to which what is written is written.
func (s *hubProcess) store() hubStore { return hubStore{s.f, s.hub, s.t.Logger} }

func (h hubStore) Append(ctx context.Context, d journal.Draft) (*journal.Entry, error) {
	entries, err := h.AppendAll(ctx, []journal.Draft{d})
	if len(entries) == 0 {
		return nil, err
	}
	return entries[0], err
}

func (h hubStore) AppendAll(ctx context.Context, drafts []journal.Draft) ([]*journal.Entry, error) {
	entries, err := h.AppendBy(ctx, drafts, h.hub.AppendAll)
	if len(entries) > 0 && err != nil && h.aside != nil {
		h.aside.WarnContext(ctx, "after entries were written", "entry", entries[0].ID, "error", err)
		err = nil
	}
	return entries, err
}

// hubStatus is what GET /status at a hub's door says.
type hubStatus struct {
	Role    string       `json:"role"`
	Problem string       `json:"problem,omitempty"`
	Pages   string       `json:"pages,omitempty"` // where this machine's browser finds the desk
	Logs    []logsAtHand `json:"logs"`
}

type logsAtHand struct {
	Device        journal.DeviceID `json:"device"`
	Size          int64            `json:"size"`
	Countersigned int64            `json:"countersigned"`
}

func (s *hubProcess) status(ctx context.Context) any {
	st := hubStatus{Role: string(folder.Hub), Pages: s.entry.address}
	if err := s.broker.Stopped(); err != nil {
		st.Problem = err.Error()
	}
	heads, err := s.f.Log.Heads(ctx)
	if err != nil {
		s.t.Logger.WarnContext(ctx, "status", "error", err)
	}
	for _, h := range heads {
		c, err := s.f.Log.LastCountersigned(ctx, h.Device)
		if err != nil {
			s.t.Logger.WarnContext(ctx, "status", "error", err)
		}
		st.Logs = append(st.Logs, logsAtHand{Device: h.Device, Size: h.Size, Countersigned: c.Size})
	}
	return st
}
