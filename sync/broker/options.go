package broker

import (
	"crypto/tls"
	"errors"
	"fmt"
	"log/slog"
	"strings"
	"time"

	"github.com/nats-io/nats-server/v2/server"
)

// DefaultMaxStore limits what all streams together may take on the disk, in
// bytes (64 GiB). Thumbnails dominate: 20,000 a month of at most 64 KiB make
// about 1.2 GB, so a busy shop needs more than four years to fill it. A full
// store refuses new segments and loses none, and the devices keep theirs.
const DefaultMaxStore int64 = 64 << 30

// MaxPayload is the largest message in bytes (1 MiB), headers included. A
// segment is at most 768 KiB and a photo chunk 256 KiB; the rest is room for
// headers.
const MaxPayload = 1 << 20

const (
	// maxMemory caps streams held in memory. We keep none there; the server
	// would otherwise offer three quarters of the machine.
	maxMemory = 32 << 20
	// maxConn is far above a shop's handful of devices and far below the
	// file descriptors that the store also needs.
	maxConn = 256
	// maxSubs bounds what one client listens on: the hub needs one for each device and a few
	// more, a device three.
	maxSubs = 2048
	// maxControlLine bounds a protocol line: a greeting with nkey and
	// signature takes about 1 KiB, a publish with reply subject less.
	maxControlLine = 4 << 10
	// A device that walked out of the Wi-Fi is let go within a minute.
	pingInterval = 20 * time.Second
	maxPingsOut  = 2
	// tlsTimeout leaves a bench with bad Wi-Fi time to shake hands; the
	// server's own two seconds are for data centres.
	tlsTimeout = 10 * time.Second
	// authTimeout runs from the accept on, so it includes the handshake.
	authTimeout = tlsTimeout + 5*time.Second
)

// ErrConfig: the settings are incomplete or contradict each other.
var ErrConfig = errors.New("the broker’s settings cannot be used")

// Config is how the broker runs. Only the [Register] may change while it does.
type Config struct {
	// ServerName names the server in its greeting and log: one word.
	ServerName string
	// StoreDir is the folder of the message store. Required, because the
	// server's own default lies under the system's folder for temporary files.
	StoreDir string
	// Host is the address to listen on, such as 127.0.0.1 or 0.0.0.0.
	Host string
	// Port to listen on, 1 to 65535, or -1 for any free one.
	Port int
	// Cert is shown to every client; devices know it by its [Fingerprint].
	Cert tls.Certificate
	// MaxStore in bytes; 0 means [DefaultMaxStore].
	MaxStore int64
	// Logger takes the server's own words; nil drops them.
	Logger *slog.Logger
}

func (c Config) valid() error {
	switch {
	case c.ServerName == "" || strings.ContainsAny(c.ServerName, " \t\r\n"):
		return fmt.Errorf("%w: give the server a name of one word, not %q", ErrConfig, c.ServerName)
	case c.StoreDir == "":
		return fmt.Errorf("%w: name the folder where messages are stored", ErrConfig)
	case c.Host == "":
		return fmt.Errorf("%w: name the address to listen on, such as 127.0.0.1 or 0.0.0.0", ErrConfig)
	case c.Port != server.RANDOM_PORT && (c.Port < 1 || c.Port > 65535):
		return fmt.Errorf("%w: choose a port from 1 to 65535, or -1 for any free one, not %d", ErrConfig, c.Port)
	case len(c.Cert.Certificate) == 0 || c.Cert.PrivateKey == nil:
		return fmt.Errorf("%w: give it a certificate with its private key", ErrConfig)
	case c.MaxStore < 0:
		return fmt.Errorf("%w: the store limit is %d bytes, but cannot be negative", ErrConfig, c.MaxStore)
	}
	return nil
}

// store is how the message store of these options is run.
func store(o *server.Options) server.JetStreamConfig {
	return server.JetStreamConfig{StoreDir: o.StoreDir, MaxStore: o.JetStreamMaxStore, MaxMemory: o.JetStreamMaxMemory,
		SyncAlways: o.SyncAlways, SyncInterval: o.SyncInterval, Strict: !o.NoJetStreamStrict}
}

// options is the only place that builds the server's options. The server
// writes into what it is given: each value is passed to it once and never again.
func options(cfg Config, in server.Authentication) (*server.Options, error) {
	if err := cfg.valid(); err != nil {
		return nil, err
	}
	if cfg.MaxStore == 0 {
		cfg.MaxStore = DefaultMaxStore
	}
	return &server.Options{
		ServerName: cfg.ServerName,
		Host:       cfg.Host,
		Port:       cfg.Port,

		// The server's own signal handler would end the process before the
		// hub has closed its log.
		NoSigs: true,

		// Who may come in: everybody signs what the server drew.
		CustomClientAuthentication: in,
		AlwaysEnableNonce:          true,

		AuthTimeout: authTimeout.Seconds(),
		TLSTimeout:  tlsTimeout.Seconds(),
		TLSConfig: &tls.Config{
			Certificates: []tls.Certificate{cfg.Cert},
			MinVersion:   tls.VersionTLS13,
		},

		// What is acknowledged is on the disk. SyncInterval stays unset: it
		// is the lazy alternative. Compression and encryption at rest stay
		// off too; they rewrite blocks, which has lost messages before.
		JetStream:              true,
		StoreDir:               cfg.StoreDir,
		SyncAlways:             true,
		JetStreamMaxStore:      cfg.MaxStore,
		JetStreamMaxMemory:     maxMemory,
		DisableJetStreamBanner: true,

		MaxConn:        maxConn,
		MaxSubs:        maxSubs,
		MaxPayload:     MaxPayload,
		MaxControlLine: maxControlLine,
		PingInterval:   pingInterval,
		MaxPingsOut:    maxPingsOut,
	}, nil
}
