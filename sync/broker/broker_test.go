package broker_test

import (
	"bytes"
	"context"
	"errors"
	"log/slog"
	"net"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"

	"github.com/nats-io/nats.go"
	"go.uber.org/goleak"

	"fettlebook/sync/broker"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

func TestStart(t *testing.T) {
	s := openShop(t)
	if !s.broker.SyncsAlways() {
		t.Error("the running store does not sync each write")
	}
	host, port, err := net.SplitHostPort(s.broker.Addr())
	if err != nil || host != "127.0.0.1" || port == "0" || port == "" {
		t.Errorf("Addr() = %q, want 127.0.0.1 and a real port", s.broker.Addr())
	}
	nc := s.hubConn(t)
	if got, want := nc.MaxPayload(), int64(broker.MaxPayload); got != want {
		t.Errorf("max payload %d, want %d", got, want)
	}
}

func TestCloseTwice(t *testing.T) {
	s := openShop(t)
	nc := s.hubConn(t)
	var all sync.WaitGroup
	for range 4 {
		all.Go(func() { closeBroker(t, s.broker) })
	}
	all.Wait()
	closeBroker(t, s.broker)

	if nc.IsConnected() && nc.Flush() == nil {
		t.Error("the hub’s client still talks to a closed broker")
	}
	if s.broker.SyncsAlways() {
		t.Error("a closed broker says it syncs")
	}
	if got := s.broker.Addr(); got != "" {
		t.Errorf("a closed broker listens on %q", got)
	}
	if err := s.broker.Reload(s.register(t)); !errors.Is(err, broker.ErrClosed) {
		t.Errorf("Reload after Close: %v, want ErrClosed", err)
	}
}

// gate is a log that holds up whoever logs the word, until it is opened.
type gate struct {
	word string
	open chan struct{}
}

func (g gate) Write(p []byte) (int, error) {
	if bytes.Contains(p, []byte(g.word)) {
		<-g.open
	}
	return len(p), nil
}

func TestCloseKeepsItsDeadline(t *testing.T) {
	s := newShop(t)
	slow := gate{word: "Shutdown", open: make(chan struct{})}
	s.cfg.Logger = slog.New(slog.NewTextHandler(slow, &slog.HandlerOptions{Level: slog.LevelDebug}))
	s.start(t)
	gone, cancel := context.WithCancel(t.Context())
	cancel()
	if err := s.broker.Close(gone); !errors.Is(err, context.Canceled) {
		t.Errorf("Close while the server is busy: %v, want context.Canceled", err)
	}
	close(slow.open)
	closeBroker(t, s.broker) // the shutdown went on
}

func TestCloseLeavesNothingRunning(t *testing.T) {
	before := goleak.IgnoreCurrent()
	s := openShop(t, newTablet(t, "t1"))
	if err := s.broker.Reload(s.register(t)); err != nil {
		t.Fatal(err)
	}
	closeBroker(t, s.broker)
	goleak.VerifyNone(t, before)
}

func TestPortTaken(t *testing.T) {
	first := openShop(t)
	_, port, err := net.SplitHostPort(first.broker.Addr())
	if err != nil {
		t.Fatal(err)
	}
	second := newShop(t)
	if second.cfg.Port, err = strconv.Atoi(port); err != nil {
		t.Fatal(err)
	}
	var log bytes.Buffer
	second.cfg.Logger = slog.New(slog.NewTextHandler(&log, nil))
	_, err = broker.Start(t.Context(), second.cfg, second.register(t))
	if !errors.Is(err, broker.ErrListen) {
		t.Fatalf("second start: %v, want ErrListen", err)
	}
	if !strings.Contains(err.Error(), first.broker.Addr()) {
		t.Errorf("%q does not name the address", err)
	}
	if !strings.Contains(log.String(), "level=ERROR") {
		t.Errorf("the server's own words are not in the log: %s", &log)
	}
	if err := first.hubConn(t).FlushTimeout(patience); err != nil {
		t.Errorf("the first broker suffered: %v", err)
	}
	// The refused one has let go of its folder.
	second.cfg.Port = -1
	second.start(t)
}

func TestStoreDirUnusable(t *testing.T) {
	file := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(file, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	for name, dir := range map[string]string{
		"is a file":    file,
		"below a file": filepath.Join(file, "store"),
	} {
		t.Run(name, func(t *testing.T) {
			s := newShop(t)
			s.cfg.StoreDir = dir
			_, err := broker.Start(t.Context(), s.cfg, s.register(t))
			if !errors.Is(err, broker.ErrStore) {
				t.Fatalf("Start: %v, want ErrStore", err)
			}
			if !strings.Contains(err.Error(), dir) {
				t.Errorf("%q does not name the folder", err)
			}
		})
	}
}

// The server itself finds this one, and tells it through Fatalf.
func TestStoreFatal(t *testing.T) {
	s := newShop(t)
	if err := os.WriteFile(filepath.Join(s.cfg.StoreDir, "jetstream"), nil, 0o600); err != nil {
		t.Fatal(err)
	}
	_, err := broker.Start(t.Context(), s.cfg, s.register(t))
	if err == nil {
		t.Fatal("started on a store that is a plain file")
	}
	if errors.Is(err, broker.ErrListen) || errors.Is(err, broker.ErrStore) {
		t.Errorf("Start: %v, want the server's own words", err)
	}
}

// cancelOnWrite ends a context at the server's first word, so amid the start.
type cancelOnWrite struct{ cancel context.CancelFunc }

func (c cancelOnWrite) Write(p []byte) (int, error) { c.cancel(); return len(p), nil }

func TestStartCancelled(t *testing.T) {
	before := goleak.IgnoreCurrent()
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	s := newShop(t)
	s.cfg.Logger = slog.New(slog.NewTextHandler(cancelOnWrite{cancel}, &slog.HandlerOptions{Level: slog.LevelDebug}))
	if _, err := broker.Start(ctx, s.cfg, s.register(t)); !errors.Is(err, context.Canceled) {
		t.Fatalf("Start: %v, want context.Canceled", err)
	}
	goleak.VerifyNone(t, before) // waits for the half-started server to end
}

func TestStoredMessageSurvivesRestart(t *testing.T) {
	s := openShop(t)
	js := s.jetStream(t)
	cfg := broker.StreamConfig("SHOP", []string{"fb.shop.log.*"}, 1)
	if _, err := broker.EnsureStream(t.Context(), js, cfg); err != nil {
		t.Fatal(err)
	}
	ack, err := js.Publish(t.Context(), "fb.shop.log.t1", []byte("segment"))
	if err != nil {
		t.Fatal(err)
	}
	closeBroker(t, s.broker)

	s.start(t)
	stream, err := broker.EnsureStream(t.Context(), s.jetStream(t), cfg)
	if err != nil {
		t.Fatal(err)
	}
	msg, err := stream.GetMsg(t.Context(), ack.Sequence)
	if err != nil {
		t.Fatal(err)
	}
	if string(msg.Data) != "segment" || msg.Subject != "fb.shop.log.t1" {
		t.Errorf("got %q on %s after the restart", msg.Data, msg.Subject)
	}
}

func TestHubKeyOpensNothingOnTheNetwork(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	if err := s.hubConn(t).FlushTimeout(patience); err != nil {
		t.Fatal(err)
	}
	_, err := s.dial(t, tablet{name: "thief", key: s.hub})
	if !errors.Is(err, nats.ErrAuthorization) {
		t.Errorf("the hub’s key from the network: %v, want an authorization violation", err)
	}
}
