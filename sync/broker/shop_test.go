package broker_test

import (
	"context"
	"crypto/rand"
	"crypto/tls"
	"errors"
	"testing"
	"time"

	"github.com/nats-io/nats.go"
	"github.com/nats-io/nats.go/jetstream"
	"github.com/nats-io/nkeys"

	"fettlebook/sync/broker"
)

// patience bounds every wait. Nothing takes that long unless it is broken.
const patience = 2 * time.Minute

// shop is a hub's broker and the keys of everybody in a test.
type shop struct {
	cfg     broker.Config
	hub     nkeys.KeyPair
	broker  *broker.Broker
	devices []broker.Device
}

// openShop starts a broker that knows the hub and the given tablets.
func openShop(t *testing.T, tablets ...tablet) *shop {
	t.Helper()
	s := newShop(t)
	for _, tab := range tablets {
		s.devices = append(s.devices, tab.device(t))
	}
	s.start(t)
	return s
}

// newShop prepares everything but the start.
func newShop(t *testing.T) *shop {
	t.Helper()
	return &shop{
		hub: newKey(t),
		cfg: broker.Config{
			ServerName: "hub",
			StoreDir:   t.TempDir(),
			Host:       "127.0.0.1",
			Port:       -1,
			Cert:       newCert(t),
		},
	}
}

func (s *shop) start(t *testing.T) {
	t.Helper()
	b, err := broker.Start(t.Context(), s.cfg, s.register(t))
	if err != nil {
		t.Fatal(err)
	}
	s.broker = b
	t.Cleanup(func() { closeBroker(t, b) })
}

func (s *shop) register(t *testing.T) broker.Register {
	t.Helper()
	return broker.Register{Hub: public(t, s.hub), Devices: s.devices}
}

func (s *shop) url() string { return "nats://" + s.broker.Addr() }

func (s *shop) fingerprint() string { return broker.Fingerprint(s.cfg.Cert.Leaf) }

// hubConn is the hub's own client.
func (s *shop) hubConn(t *testing.T) *nats.Conn {
	t.Helper()
	nc, err := nats.Connect("", nats.InProcessServer(s.broker.InProcess()), nkey(t, s.hub), nats.MaxReconnects(0))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(nc.Close)
	return nc
}

func (s *shop) jetStream(t *testing.T) jetstream.JetStream {
	t.Helper()
	js, err := jetstream.New(s.hubConn(t))
	if err != nil {
		t.Fatal(err)
	}
	return js
}

// tablet is a device as it would come back from an enrolment.
type tablet struct {
	name string
	key  nkeys.KeyPair
}

func newTablet(t *testing.T, name string) tablet { return tablet{name: name, key: newKey(t)} }

func (tab tablet) device(t *testing.T) broker.Device {
	t.Helper()
	return broker.Device{
		NKey:      public(t, tab.key),
		Publish:   []string{"fb.shop.log." + tab.name, "fb.shop.ask." + tab.name},
		Subscribe: []string{"_INBOX_" + tab.name + ".>", "fb.shop.news"},
	}
}

// wire is a tablet's connection with everything that it reported.
type wire struct {
	*nats.Conn
	errs    chan error    // what the error handler was told
	dropped chan struct{} // one per disconnect
	closed  chan struct{} // closed with the connection
}

func (s *shop) dial(t *testing.T, tab tablet, opts ...nats.Option) (*wire, error) {
	t.Helper()
	w := &wire{
		errs:    make(chan error, 16),
		dropped: make(chan struct{}, 16),
		closed:  make(chan struct{}),
	}
	nc, err := nats.Connect(s.url(), append([]nats.Option{
		nkey(t, tab.key),
		nats.Secure(broker.ClientTLS(s.fingerprint())),
		nats.CustomInboxPrefix("_INBOX_" + tab.name),
		nats.NoReconnect(),
		nats.PermissionErrOnSubscribe(true),
		nats.ErrorHandler(func(_ *nats.Conn, _ *nats.Subscription, err error) { w.errs <- err }),
		nats.DisconnectErrHandler(func(*nats.Conn, error) { w.dropped <- struct{}{} }),
		nats.ClosedHandler(func(*nats.Conn) { close(w.closed) }),
	}, opts...)...)
	if err != nil {
		return nil, err
	}
	t.Cleanup(func() {
		nc.Close()
		wait(t, w.closed, "the connection to close")
	})
	w.Conn = nc
	return w, nil
}

func (s *shop) mustDial(t *testing.T, tab tablet) *wire {
	t.Helper()
	w, err := s.dial(t, tab)
	if err != nil {
		t.Fatal(err)
	}
	return w
}

// violation waits for the server's refusal.
func (w *wire) violation(t *testing.T) {
	t.Helper()
	if err := wait(t, w.errs, "a permissions violation"); !errors.Is(err, nats.ErrPermissionViolation) {
		t.Fatalf("reported %v, want a permissions violation", err)
	}
}

// steady fails if the connection has been dropped; a round trip proves that it
// works now.
func (w *wire) steady(t *testing.T) {
	t.Helper()
	if err := w.FlushTimeout(patience); err != nil {
		t.Fatalf("round trip: %v", err)
	}
	if n := len(w.dropped); n != 0 {
		t.Fatalf("dropped %d times, want none", n)
	}
}

func newKey(t *testing.T) nkeys.KeyPair {
	t.Helper()
	key, err := nkeys.CreateUser()
	if err != nil {
		t.Fatal(err)
	}
	return key
}

func public(t *testing.T, key nkeys.KeyPair) string {
	t.Helper()
	pub, err := key.PublicKey()
	if err != nil {
		t.Fatal(err)
	}
	return pub
}

func nkey(t *testing.T, key nkeys.KeyPair) nats.Option {
	t.Helper()
	return nats.Nkey(public(t, key), key.Sign)
}

func newCert(t *testing.T) tls.Certificate {
	t.Helper()
	certPEM, keyPEM, err := broker.NewCertificate(time.Now(), rand.Reader, []string{"127.0.0.1"})
	if err != nil {
		t.Fatal(err)
	}
	cert, err := tls.X509KeyPair(certPEM, keyPEM)
	if err != nil {
		t.Fatal(err)
	}
	return cert
}

func closeBroker(t *testing.T, b *broker.Broker) {
	t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	if err := b.Close(ctx); err != nil {
		t.Error(err)
	}
}

// wait takes the next value, or the end, of a channel.
func wait[T any](t *testing.T, c <-chan T, what string) T {
	t.Helper()
	select {
	case v := <-c:
		return v
	case <-time.After(patience):
		t.Fatalf("waited %v for %s", patience, what)
		panic("unreachable")
	}
}
