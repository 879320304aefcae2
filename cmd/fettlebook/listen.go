package main

import (
	"cmp"
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"time"

	"fettlebook/cmd/internal/exit"

	"github.com/klauspost/compress/gzhttp"
)

// off stands for an address where nothing shall listen.
const off = "off"

// listenHere listens at an address of this machine alone.
func listenHere(ctx context.Context, flag, address string) (net.Listener, error) {
	host, _, err := net.SplitHostPort(address)
	if err != nil {
		return nil, &exit.Error{Status: exit.Usage, Sentence: fmt.Sprintf("--%s %s: write an address with a port, such as 127.0.0.1:7462, or off", flag, address), Err: err}
	}
	if ip := net.ParseIP(host); host != "localhost" && (ip == nil || !ip.IsLoopback()) {
		return nil, &exit.Error{Status: exit.Usage, Sentence: fmt.Sprintf("--%s %s: these pages stay on this machine; 127.0.0.1 is its address", flag, address)}
	}
	return listen(ctx, flag, address)
}

// listenYielding is listenHere, and takes a free port if another program is at that one.
func listenYielding(ctx context.Context, flag, address string) (net.Listener, error) {
	return yielding(ctx, flag, address, listenHere)
}

// yielding listens in a way, at a free port if another program is at that one.
func yielding(ctx context.Context, flag, address string, take func(ctx context.Context, flag, address string) (net.Listener, error)) (net.Listener, error) {
	l, err := take(ctx, flag, address)
	var taken *exit.Error
	if !errors.As(err, &taken) || taken.Status != exit.Busy {
		return l, err
	}
	host, _, err := net.SplitHostPort(address)
	if err != nil {
		return nil, err
	}
	return take(ctx, flag, net.JoinHostPort(host, "0"))
}

// listen listens at an address, or says that somebody else does.
func listen(ctx context.Context, flag, address string) (net.Listener, error) {
	l, err := (&net.ListenConfig{}).Listen(ctx, "tcp", address)
	if err != nil {
		return nil, notHere("the pages", flag, address, err)
	}
	return l, nil
}

// notHere says why something cannot listen at an address: who does already, as far as that
// can be told, and what to do.
func notHere(what, flag, address string, err error) error {
	switch {
	case errors.Is(err, syscall.EADDRINUSE):
		who := "another program"
		if _, port, err := net.SplitHostPort(address); err == nil {
			who = cmp.Or(portHolder(port), who)
		}
		return &exit.Error{Status: exit.Busy, Sentence: fmt.Sprintf("%s cannot listen on %s: %s does already; end that one, or name another place with --%s", what, address, who, flag), Err: err}
	case errors.Is(err, syscall.EADDRNOTAVAIL):
		return &exit.Error{Status: exit.Busy, Sentence: fmt.Sprintf("%s cannot listen on %s: this machine does not have that address now; name another one with --%s, or join the network that has it", what, address, flag), Err: err}
	case errors.Is(err, syscall.EACCES):
		return &exit.Error{Status: exit.Busy, Sentence: fmt.Sprintf("%s cannot listen on %s: the system does not let this program; name a port above 1023 with --%s", what, address, flag), Err: err}
	}
	return &exit.Error{Status: exit.Busy, Sentence: fmt.Sprintf("%s cannot listen on %s; if another program does, name another address with --%s: %v", what, address, flag, err), Err: err}
}

// free refuses a port at which something listens, in words that the server of messages has
// not.
func free(flag, host string, port int) error {
	address := net.JoinHostPort(host, strconv.Itoa(port))
	l, err := net.Listen("tcp", address)
	if err != nil {
		return notHere("the message server", flag, address, err)
	}
	return l.Close()
}

// How long a browser may take. A photograph from a telephone at the far end
// of the shop takes its time; streams of events set their own limit.
const (
	headTimeout  = 10 * time.Second
	readTimeout  = 5 * time.Minute
	writeTimeout = 2 * time.Minute
	idleTimeout  = 2 * time.Minute
)

// serving is a set of pages that is being served, and owns all that works for
// it. Close it before what the pages read from.
type serving struct {
	servers []*http.Server
	logger  *slog.Logger

	life context.Context // of requests, and of what works beside them
	end  context.CancelFunc
	work sync.WaitGroup
}

// newServing returns a serving whose requests end when ctx does.
func newServing(ctx context.Context, logger *slog.Logger) *serving {
	s := &serving{logger: logger}
	s.life, s.end = context.WithCancel(ctx)
	return s
}

// beside runs what works for the pages until they are closed.
func (s *serving) beside(run func(context.Context)) { s.work.Go(func() { run(s.life) }) }

// serve serves a handler at a listener, over TLS if a configuration is given.
func (s *serving) serve(l net.Listener, h http.Handler, secure *tls.Config) error {
	squeeze, err := gzhttp.NewWrapper(gzhttp.ContentTypeFilter(func(kind string) bool {
		return strings.HasPrefix(kind, "text/html") || strings.HasPrefix(kind, "text/css") || strings.HasPrefix(kind, "text/javascript")
	}))
	if err != nil {
		return errors.Join(fmt.Errorf("serve pages: %w", err), l.Close())
	}
	streams, end := context.WithCancel(s.life)
	server := &http.Server{Handler: squeeze(ending(streams, h)), TLSConfig: secure, ReadHeaderTimeout: headTimeout, ReadTimeout: readTimeout, WriteTimeout: writeTimeout,
		IdleTimeout: idleTimeout, ErrorLog: quiet(s.logger), BaseContext: func(net.Listener) context.Context { return s.life }}
	server.RegisterOnShutdown(end)
	s.servers = append(s.servers, server)
	s.work.Go(func() {
		run := func() error { return server.Serve(l) }
		if secure != nil {
			run = func() error { return server.ServeTLS(l, "", "") }
		}
		if err := run(); !errors.Is(err, http.ErrServerClosed) {
			s.logger.Error("serve pages", "address", l.Addr().String(), "error", err)
		}
	})
	return nil
}

// ending ends streams of events with a context. They never end by themselves, so a server
// that is shut down would wait for them in vain.
func ending(streams context.Context, next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.Header.Get("Accept") != "text/event-stream" { // as the HTML Living Standard has them asked for, section 9.2
			next.ServeHTTP(w, r)
			return
		}
		ctx, cancel := context.WithCancel(r.Context())
		defer cancel()
		defer context.AfterFunc(streams, cancel)()
		next.ServeHTTP(w, r.WithContext(ctx))
	})
}

// stopTime is how long answers that are on their way may take at the end.
const stopTime = 3 * time.Second

// close lets answers that are on their way arrive, and waits until nothing is
// at work any more. It may be called again.
func (s *serving) close(ctx context.Context) {
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), stopTime)
	defer cancel()
	for _, server := range s.servers {
		if err := server.Shutdown(ctx); err != nil {
			s.logger.WarnContext(ctx, "stop pages", "error", errors.Join(err, server.Close()))
		}
	}
	s.end()
	s.work.Wait()
}
