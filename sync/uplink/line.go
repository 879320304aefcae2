package uplink

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"log/slog"
	"math/rand/v2"
	"strings"
	"sync"
	"time"

	"fettlebook/journal"
	"fettlebook/sync/segment"

	"github.com/nats-io/nats.go"
	"github.com/nats-io/nkeys"
)

// LineConfig says how a tablet reaches its hub.
type LineConfig struct {
	Shop    journal.ShopID
	Device  journal.DeviceID
	Brokers []string    // host:port, tried in turn
	TLS     *tls.Config // accepts the hub's pinned certificate only
	// Seed is the secret of the connection key. It is not the key that signs
	// checkpoints: the broker makes clients sign bytes of its own choosing.
	Seed   []byte
	Logger *slog.Logger
	// Retry is how long to wait between tries to connect. Zero means the
	// default.
	Retry time.Duration
	// Once has Connect try each broker once, for so long, and fail if none is there.
	Once time.Duration
}

// DefaultRetry spares the battery of a tablet that left the shop, and is soon
// enough for one that came back.
const DefaultRetry = 500 * time.Millisecond

// Wire is a [Line] over NATS. It reconnects for ever and buffers nothing:
// the log is the only queue.
type Wire struct {
	cfg  LineConfig
	conn *nats.Conn
	news chan struct{}
	// closed is closed after the connection's last call into this program.
	closed chan struct{}

	mu   sync.Mutex
	shut bool            // the hub did not let this tablet in when it last tried; guarded by mu
	told bool            // and that was told; guarded by mu
	wait time.Time       // until when the hub asked to wait before it did so; guarded by mu
	life context.Context // ends when the connection breaks, then replaced; guarded by mu
	end  context.CancelFunc
}

var _ Line = (*Wire)(nil)

// askTimeout bounds one question; on a shop's network an answer takes
// milliseconds, on bad radio a chunk takes seconds.
const askTimeout = 10 * time.Second

// Connect starts the connection and returns at once, with or without a
// network. Close it when done.
func Connect(cfg LineConfig) (*Wire, error) {
	if cfg.Retry == 0 {
		cfg.Retry = DefaultRetry
	}
	key, err := nkeys.FromSeed(cfg.Seed)
	if err != nil {
		return nil, fmt.Errorf("read connection key: %w", err)
	}
	public, err := key.PublicKey()
	if err != nil {
		return nil, fmt.Errorf("read connection key: %w", err)
	}
	w := &Wire{cfg: cfg, news: make(chan struct{}, 1), closed: make(chan struct{})}
	w.life, w.end = context.WithCancel(context.Background())
	opts := nats.GetDefaultOptions()
	opts.Servers, opts.NoRandomize = servers(cfg.Brokers), true
	opts.Name = string(cfg.Device)
	opts.Nkey, opts.SignatureCB = public, key.Sign
	opts.Secure, opts.TLSConfig = true, cfg.TLS
	opts.InboxPrefix = segment.Inbox(cfg.Device)
	opts.MaxReconnect = -1
	opts.ReconnectBufSize = -1
	opts.RetryOnFailedConnect = true
	opts.IgnoreAuthErrorAbort = true // a hub may learn of this tablet in a moment
	if cfg.Once > 0 {
		opts.RetryOnFailedConnect, opts.AllowReconnect, opts.Timeout = false, false, cfg.Once
	}
	opts.PingInterval, opts.MaxPingsOut = 20*time.Second, 2
	opts.IgnoreDiscoveredServers = true
	opts.CustomReconnectDelayCB = func(int) time.Duration { return w.rest() }
	opts.ConnectedCB = func(*nats.Conn) { w.letIn() }
	opts.ReconnectedCB = func(*nats.Conn) { w.letIn() }
	opts.DisconnectedErrCB = func(_ *nats.Conn, err error) {
		cfg.Logger.Debug("line cut", "error", err)
		w.broke()
	}
	opts.ClosedCB = func(*nats.Conn) { close(w.closed) }
	opts.ReconnectErrCB = func(_ *nats.Conn, err error) {
		w.refused(err)
		cfg.Logger.Debug("reconnect", "error", err)
	}
	opts.AsyncErrorCB = func(_ *nats.Conn, _ *nats.Subscription, err error) {
		if errors.Is(err, nats.ErrAuthorization) {
			w.refused(err)
			return
		}
		cfg.Logger.Warn("line", "error", err)
	}
	return w, w.open(opts)
}

func servers(brokers []string) []string {
	list := make([]string, len(brokers))
	for i, b := range brokers {
		list[i] = "tls://" + b
	}
	return list
}

// Learn has the brokers tried in turn from now on, whenever the line is cut. One that is
// not the pinned hub is left at once.
func (w *Wire) Learn(brokers []string) error {
	if err := w.conn.SetServerPool(servers(brokers)); err != nil {
		return fmt.Errorf("keep where the hub may be: %w", err)
	}
	return nil
}

// At is the broker's address, host:port, while the line is up.
func (w *Wire) At() string {
	if !w.conn.IsConnected() {
		return ""
	}
	return strings.TrimPrefix(w.conn.ConnectedUrl(), "tls://")
}

func (w *Wire) open(opts nats.Options) error {
	var err error
	if w.conn, err = opts.Connect(); err != nil {
		w.end()
		return fmt.Errorf("connect to the hub: %w", err)
	}
	if _, err = w.conn.Subscribe(segment.WaitSubject(w.cfg.Device), func(m *nats.Msg) { w.asked(m.Data) }); err != nil {
		return errors.Join(fmt.Errorf("listen for the hub: %w", err), w.Close())
	}
	if _, err = w.conn.Subscribe(segment.News(w.cfg.Shop), func(*nats.Msg) { w.look() }); err != nil {
		return errors.Join(fmt.Errorf("listen for news: %w", err), w.Close())
	}
	return nil
}

// patient is how many times as long a tablet that is not let in waits before it tries
// again: a new invitation or the desk changes that, and not a moment.
const patient = 60

// rest is how long to wait before the next try to connect.
func (w *Wire) rest() time.Duration {
	w.mu.Lock()
	defer w.mu.Unlock()
	wait := w.cfg.Retry
	if w.shut {
		wait *= patient
	}
	return wait + time.Duration(rand.Int64N(int64(wait)))
}

// refused notes why the hub was not reached. That it does not let this tablet in is told
// once.
func (w *Wire) refused(err error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.shut = errors.Is(err, nats.ErrAuthorization); w.shut && !w.told {
		w.told = true
		w.cfg.Logger.Warn("line", "error", ErrNotLetIn)
	}
}

func (w *Wire) letIn() {
	w.mu.Lock()
	w.shut, w.told, w.wait = false, false, time.Time{}
	w.mu.Unlock()
	w.look()
}

// asked notes that the hub asks this tablet to wait.
func (w *Wire) asked(raw []byte) {
	until, err := segment.ParseWait(raw)
	if err != nil {
		w.cfg.Logger.Debug("line", "error", err)
		return
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	w.wait = until
}

// look wakes whoever reads News.
func (w *Wire) look() {
	select {
	case w.news <- struct{}{}:
	default:
	}
}

// broke tells those who wait for an answer that none will come: it would go
// to an inbox that is gone.
func (w *Wire) broke() {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.end()
	w.life, w.end = context.WithCancel(context.Background())
}

// connected returns the life of the connection, or why there is none.
func (w *Wire) connected() (context.Context, error) {
	w.mu.Lock()
	life, wait := w.life, w.wait
	w.mu.Unlock()
	switch {
	case w.conn.IsConnected():
		return life, nil
	case !wait.IsZero():
		return nil, &Wait{Until: wait}
	case errors.Is(w.conn.LastError(), nats.ErrAuthorization):
		return nil, fmt.Errorf("%w: %w", ErrNotLetIn, ErrNoNetwork)
	}
	return nil, ErrNoNetwork
}

// News implements [Line].
func (w *Wire) News() <-chan struct{} { return w.news }

// ErrNoNetwork is wrapped while the hub cannot be reached.
var ErrNoNetwork = errors.New("the hub cannot be reached; entries are safe here and go out when it can")

// ErrNotLetIn is wrapped, beside [ErrNoNetwork], while the hub does not know
// this tablet's connection key.
var ErrNotLetIn = errors.New("the hub does not let this tablet in: it was revoked or cut off there, or the hub does not know it, which the desk can tell; what is written here stays here until it is let in, or joins again with a new invitation")

// Wait says that the hub asked this tablet to wait, by the hub's clock. It wraps
// [ErrNotLetIn] and [ErrNoNetwork].
type Wait struct{ Until time.Time }

func (e *Wait) Error() string {
	return "the hub asked this tablet to wait, since this tablet sent more than work ever needs; entries are safe here and go out after that"
}

func (e *Wait) Unwrap() []error { return []error{ErrNotLetIn, ErrNoNetwork} }

// Ask implements [Line].
func (w *Wire) Ask(ctx context.Context, what segment.What, data []byte) ([]byte, error) {
	life, err := w.connected()
	if err != nil {
		return nil, err
	}
	ctx, cancel := context.WithTimeout(ctx, askTimeout)
	defer cancel()
	defer context.AfterFunc(life, cancel)()
	msg, err := w.conn.RequestWithContext(ctx, segment.AskSubject(w.cfg.Shop, w.cfg.Device, what), data)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrNoNetwork, err)
	}
	return msg.Data, nil
}

// Alive reports whether the hub answers.
func (w *Wire) Alive(ctx context.Context) error {
	if _, err := w.connected(); err != nil {
		return err
	}
	if err := w.conn.FlushWithContext(ctx); err != nil {
		return fmt.Errorf("%w: %w", ErrNoNetwork, err)
	}
	return nil
}

// Close ends the connection and waits until nothing of it is at work here.
func (w *Wire) Close() error {
	w.conn.Close()
	<-w.closed
	w.mu.Lock()
	defer w.mu.Unlock()
	w.end()
	return nil
}
