// Package broker runs the message server inside the hub's own process: start
// it, say who may come in, stop it.
//
// What it promises:
//
//   - Nobody comes in unknown. The listener speaks TLS 1.3 only, every client
//     proves an nkey from the [Register], and a device reaches only the
//     subjects the register gives it. There are no passwords, no anonymous
//     clients, no websocket, no monitoring port.
//   - The hub's own client comes in over [Broker.InProcess] and has full
//     rights. Its key is refused on the network, so a stolen copy opens nothing
//     there.
//   - What the broker has acknowledged is on the disk: every write is synced
//     before it is answered (see [Broker.SyncsAlways] and [StreamConfig]).
//   - It never ends the process. The server's own signal handling is off and
//     its fatal errors come back from [Start].
//
// The server takes no lock on its store folder: two brokers on one folder
// would damage each other's files. The caller holds a lock on the data folder
// before Start and until Close has returned.
//
// Example:
//
//	b, err := broker.Start(ctx, broker.Config{
//		ServerName: "hub",
//		StoreDir:   "/var/lib/shop/broker",
//		Host:       "0.0.0.0",
//		Port:       4222,
//		Cert:       cert, // made from what NewCertificate returned
//	}, broker.Register{Hub: hubKey, Devices: devices})
//	if err != nil {
//		return err
//	}
//	defer b.Close(context.WithoutCancel(ctx))
//	nc, err := nats.Connect("", nats.InProcessServer(b.InProcess()), nats.Nkey(hubKey, sign))
package broker

import (
	"context"
	"errors"
	"fmt"
	"net"
	"os"
	"sync"
	"time"

	"github.com/nats-io/nats-server/v2/server"
	"github.com/nats-io/nats.go"
)

// startLimit bounds [Start]. It is long because reading back a large store
// after a power cut on a slow disk takes its time; ctx can make it shorter.
const startLimit = 2 * time.Minute

var (
	// ErrStore: the store folder cannot be made or written.
	ErrStore = errors.New("the broker cannot write to its store folder")
	// ErrListen: the address cannot be listened on, mostly because another
	// program has the port.
	ErrListen = errors.New("the broker cannot listen on its address")
	// ErrClosed: the broker has been closed and can only be started anew.
	ErrClosed = errors.New("the broker is closed")
)

// Broker is a running message server. Its methods may be called from any
// goroutine.
type Broker struct {
	server *server.Server
	guests *guests
	store  server.JetStreamConfig // as it was started
	log    *serverLog

	mu      sync.Mutex // held over a reload, so that Close cannot overtake it
	closing bool       // guarded by mu

	closed chan struct{} // closed when the server has shut down
}

var _ nats.InProcessConnProvider = (*server.Server)(nil)

// Start starts the server and returns when clients can connect and the store
// is readable. Errors: [ErrConfig], [ErrRegister], [ErrStore], [ErrListen], or
// whatever else the server found fatal.
//
// Reading back a store cannot be interrupted. When ctx (or the limit of two
// minutes) ends first, Start returns at once, and what was started shuts down
// as soon as it can; the caller should then end the process rather than start
// another broker on the same folder.
func Start(ctx context.Context, cfg Config, reg Register) (*Broker, error) {
	users, err := reg.users()
	if err != nil {
		return nil, err
	}
	in := newGuests(users)
	opts, err := options(cfg, in)
	if err != nil {
		return nil, err
	}
	if err := prepareStore(cfg.StoreDir); err != nil {
		return nil, err
	}
	ctx, cancel := context.WithTimeout(ctx, startLimit)
	defer cancel()

	srv, err := server.NewServer(opts)
	if err != nil {
		return nil, fmt.Errorf("set up the broker: %w", err)
	}
	log := newServerLog(cfg.Logger)
	srv.SetLogger(log, false, false)
	in.here = func(id uint64) bool { return srv.GetClient(id) != nil }
	in.kick = func(id uint64) { _ = srv.DisconnectClientByID(id) } // it fails where the client left by itself

	started := make(chan struct{})
	go func() {
		defer close(started)
		srv.Start()
	}()
	select {
	case <-started:
	case <-ctx.Done():
	}
	b := &Broker{server: srv, guests: in, store: store(opts), log: log, closed: make(chan struct{})}
	if err := ctx.Err(); err != nil {
		// A shutdown that overtakes the start leaves goroutines behind, so
		// it waits its turn.
		go func() {
			<-started
			b.shutdown()
		}()
		return nil, fmt.Errorf("wait for the broker to start: %w", err)
	}
	if err := b.check(ctx, log); err != nil {
		b.shutdown()
		return nil, err
	}
	return b, nil
}

// check tells whether the started server is what was asked for.
func (b *Broker) check(ctx context.Context, log *serverLog) error {
	if err := log.fatal(); err != nil {
		// The listener's failure is the one a person can cause and cure.
		if listen := (*net.OpError)(nil); errors.As(err, &listen) && listen.Op == "listen" {
			return fmt.Errorf("%w: stop the other program that uses it, or choose another address or port: %w", ErrListen, listen)
		}
		return fmt.Errorf("start the broker: %w", err)
	}
	limit, _ := ctx.Deadline()
	switch {
	case !b.server.ReadyForConnections(time.Until(limit)):
		return errors.New("start the broker: it takes no connections, and its log may say why")
	case !b.server.JetStreamEnabled():
		return errors.New("start the broker: its message store is off, and its log may say why")
	case !b.SyncsAlways():
		return errors.New("start the broker: it would answer before its writes are on the disk, so it must not run")
	}
	return nil
}

// Reload replaces the register while the broker runs. Devices that stay
// notice nothing, also while they connect; a new one may connect, one that is
// gone from the register is cut off at once, and one whose subjects changed too,
// so that it comes back with its new rights. Errors: [ErrRegister],
// [ErrClosed]; the old register then stays in force.
func (b *Broker) Reload(reg Register) error {
	users, err := reg.users()
	if err != nil {
		return err
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.closing {
		return ErrClosed
	}
	b.guests.change(users)
	return nil
}

// Addr returns host:port of the listener, with the real port where the
// configuration said "any free".
func (b *Broker) Addr() string {
	if a := b.server.Addr(); a != nil {
		return a.String()
	}
	return "" // closed
}

// InProcess returns what [nats.InProcessServer] takes. The connection never
// leaves the process, carries no TLS, and is the only way in for the hub's key.
func (b *Broker) InProcess() nats.InProcessConnProvider { return b.server }

// SyncsAlways reports whether the running store syncs each write to the disk
// before it is acknowledged, as the server itself states it.
func (b *Broker) SyncsAlways() bool {
	js := b.server.JetStreamConfig()
	return js != nil && js.SyncAlways
}

// Complaints is how often the server logged an error since it was started. Nearly all of
// them are of clients: who was not let in, and who wanted what is not his.
func (b *Broker) Complaints() int64 { return b.log.errors.Load() }

// Close disconnects everybody, stops the server and waits until it has let go
// of its folder and port. Further calls wait for the same end. If ctx ends
// first, the shutdown goes on and Close may be called again to wait on.
func (b *Broker) Close(ctx context.Context) error {
	b.mu.Lock()
	first := !b.closing
	b.closing = true
	b.mu.Unlock()
	if first {
		go b.shutdown()
	}
	select {
	case <-b.closed:
		return nil
	case <-ctx.Done():
		return fmt.Errorf("wait for the broker to close: %w", ctx.Err())
	}
}

// shutdown runs once per broker.
func (b *Broker) shutdown() {
	close(b.guests.ended)
	b.server.Shutdown()
	b.server.WaitForShutdown()
	close(b.closed)
}

// prepareStore finds out now, in words, what the server would report as a bare
// "not writable".
func prepareStore(dir string) error {
	if err := tryStore(dir); err != nil {
		return fmt.Errorf("%w %s: choose another folder or correct its permissions: %w", ErrStore, dir, err)
	}
	return nil
}

func tryStore(dir string) error {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return err
	}
	return fits(dir, 1)
}

// probePattern names what is written to see whether it can be.
const probePattern = ".write-probe-*"
