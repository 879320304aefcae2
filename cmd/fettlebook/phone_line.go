package main

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"io/fs"
	"log/slog"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"

	"fettlebook/media/durable"
)

// phoneLine is the way on which telephones in the network reach a bench's pages. It is
// shut until somebody opens it at the tablet, and stays as it was left over a restart.
type phoneLine struct {
	keep   string // the file that says that it is open, and where
	pages  http.Handler
	secure func() (*tls.Config, error)
	life   context.Context // of the pages
	logger *slog.Logger

	mu   sync.Mutex // guards what follows
	at   string     // the address at which it is opened
	open *serving   // nil while it is shut
	host string     // where it listens, 0.0.0.0 for everywhere
	port int
	over bool // the pages end: nobody would wait for what is opened now
}

// phonesFile is in a tablet's folder while telephones may use its pages.
const phonesFile = "phones-at"

// newPhoneLine is a shut line to the pages of a folder.
func newPhoneLine(s *serving, t *terminal, dir string, pages http.Handler) *phoneLine {
	return &phoneLine{keep: filepath.Join(dir, phonesFile), pages: pages, life: s.life, logger: t.Logger,
		secure: func() (*tls.Config, error) { return ownCertificate(t, dir) }}
}

// begin opens the line if somebody started the program so, or left it open when it ended
// last. In the second case it keeps nobody from working that it cannot be opened, as where
// the tablet has another address by now: the page for it shows that it is shut, and opens it
// where it would be opened the first time.
func (l *phoneLine) begin(ctx context.Context, at benchAt) error {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.at = at.Phones; l.at != "" {
		return l.listen(ctx, at.prefix+"phones", listen)
	}
	l.at = at.PhonesAt
	raw, err := os.ReadFile(l.keep)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err == nil {
		l.at = strings.TrimSpace(string(raw))
		err = l.listen(ctx, at.prefix+"phones-at", listenNearby)
	}
	if err != nil {
		l.at = at.PhonesAt
		l.logger.WarnContext(ctx, "let phones use the pages as before", "error", err)
	}
	return nil
}

// where says where the line is open, if it is.
func (l *phoneLine) where() (host string, port int, open bool) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.host, l.port, l.open != nil
}

// opens opens the line, also after the next start.
func (l *phoneLine) opens(ctx context.Context) error {
	l.mu.Lock()
	defer l.mu.Unlock()
	switch {
	case l.over:
		return errors.New("the program is ending, so no phone can be let in any more")
	case l.open != nil:
		return nil
	}
	if err := l.listen(ctx, "phones-at", listenNearby); err != nil {
		return err
	}
	l.at = net.JoinHostPort(l.host, strconv.Itoa(l.port)) // a phone finds it again there
	return durable.WriteFile(l.keep, []byte(l.at+"\n"), 0o600)
}

// listenNearby listens in the network, at a free port if another program is at that one:
// who opens the line on a page can name none.
func listenNearby(ctx context.Context, flag, address string) (net.Listener, error) {
	return yielding(ctx, flag, address, listen)
}

// listen opens the line. The caller holds mu.
func (l *phoneLine) listen(ctx context.Context, flag string, take func(ctx context.Context, flag, address string) (net.Listener, error)) error {
	host, _, err := net.SplitHostPort(l.at)
	if err != nil { // an empty address would be every address
		return fmt.Errorf("let phones in at %q: %w", l.at, err)
	}
	outer, err := take(ctx, flag, l.at)
	if err != nil {
		return err
	}
	secure, err := l.secure()
	if err != nil {
		return errors.Join(err, outer.Close())
	}
	open := newServing(l.life, l.logger)
	if err := open.serve(outer, l.pages, secure); err != nil {
		open.end()
		return err
	}
	l.open, l.host, l.port = open, host, outer.Addr().(*net.TCPAddr).Port
	return nil
}

// shuts shuts the line, also after the next start.
func (l *phoneLine) shuts(ctx context.Context) error {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.stop(ctx)
	if err := durable.Remove(l.keep); !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return nil
}

// close shuts the line until the next start.
func (l *phoneLine) close(ctx context.Context) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.over = true
	l.stop(ctx)
}

// stop ends what is served to phones. The caller holds mu.
func (l *phoneLine) stop(ctx context.Context) {
	if l.open != nil {
		l.open.close(ctx)
		l.open = nil
	}
}
