package gate

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net"
	"net/http"
	"net/netip"
	"os"
	"path/filepath"
	"strings"
	"time"
	"unicode/utf8"

	"fettlebook/media/durable"

	"golang.org/x/text/secure/precis"
)

// What can be wrong with a passphrase.
var (
	ErrNoPassphrase    = errors.New("the desk has no passphrase yet; set one on the hub")
	ErrWrongPassphrase = errors.New("this is not the desk’s passphrase; try again")
	ErrWrongSignIn     = errors.New("this name and this passphrase do not belong together; try again, and ask the shop’s owner if you have no passphrase yet")
	ErrShortPassphrase = errors.New("the passphrase is too short; use at least 8 characters, preferably a few words")
	ErrLongPassphrase  = errors.New("the passphrase is too long; use at most 256 characters")
	ErrOddPassphrase   = errors.New("the passphrase has a character in it that not every keyboard types alike, such as a tab; use letters, digits, punctuation and spaces")
)

// Passphrases are measured in characters. At least 8: NIST SP 800-63B (2017)
// section 5.1.1.2.
const (
	minPassphrase = 8
	maxPassphrase = 256
)

// Passphrase is what opens the desk, for everybody or for one person.
type Passphrase struct {
	path      string
	of        Person // "" of the desk
	now       func() time.Time
	rand      io.Reader
	turnstile *turnstile
	busy      chan struct{} // holds one while a hash is worked out, for its memory's sake
}

// NewPassphrase returns the passphrase that is kept at path, if one was set.
func NewPassphrase(path string, now func() time.Time, rand io.Reader) *Passphrase {
	return &Passphrase{path: path, now: now, rand: rand, turnstile: newTurnstile(), busy: make(chan struct{}, 1)}
}

// IsSet reports whether a passphrase was set, in whatever state its file is.
func (p *Passphrase) IsSet() (bool, error) {
	_, err := os.Stat(p.path)
	if errors.Is(err, fs.ErrNotExist) {
		return false, nil
	}
	if err != nil {
		return false, fmt.Errorf("look for the passphrase: %w", err)
	}
	return true, nil
}

// Set replaces the passphrase; a running hub asks for the new one at once. Who
// is signed in stays so: see [Sessions.EndAll]. An accented letter is the same
// whether it was typed as one character or two (RFC 8265 section 4.2,
// OpaqueString).
func (p *Passphrase) Set(ctx context.Context, passphrase string) error {
	text, err := prepare(passphrase)
	if err != nil {
		return err
	}
	if err := p.wait(ctx); err != nil {
		return err
	}
	defer p.done()
	h, err := newHash(p.rand, text, deskCost())
	if err != nil {
		return err
	}
	return p.keep(h)
}

// keep writes the hash to the disk.
func (p *Passphrase) keep(h hash) error {
	err := durable.MkdirAll(filepath.Dir(p.path), 0o700)
	if err == nil {
		err = durable.WriteFile(p.path, []byte(h.phc()+"\n"), 0o600)
	}
	if err != nil {
		return fmt.Errorf("keep the passphrase: %w", err)
	}
	return nil
}

// Check returns nil if this is the passphrase. from is the address of who tries
// it, see [From]. Whoever tries wrong ones is slowed down: the error is a *[Slow]
// and the passphrase was not looked at.
func (p *Passphrase) Check(ctx context.Context, passphrase string, from netip.Addr) error {
	kept, err := p.read()
	if err != nil {
		return err
	}
	if slow := p.turnstile.enter(from, p.of, p.now()); slow != nil {
		return slow
	}
	// Refused without working out a hash: that it cannot be right is not a secret.
	text, err := prepare(passphrase)
	if err != nil {
		return ErrWrongPassphrase
	}
	if err := p.wait(ctx); err != nil {
		return err
	}
	defer p.done()
	if !kept.fits(text) {
		return ErrWrongPassphrase
	}
	p.turnstile.welcome(from, p.of)
	return nil
}

func (p *Passphrase) read() (hash, error) {
	raw, err := os.ReadFile(p.path)
	if errors.Is(err, fs.ErrNotExist) {
		return hash{}, ErrNoPassphrase
	}
	if err != nil {
		return hash{}, fmt.Errorf("read the passphrase: %w", err)
	}
	return parsePHC(strings.TrimSuffix(string(raw), "\n"))
}

// Mark is the same as long as the passphrase is. It tells nothing of it.
func (p *Passphrase) Mark() (string, error) {
	h, err := p.read()
	if err != nil {
		return "", err
	}
	sum := sha256.Sum256([]byte(h.phc()))
	return hex.EncodeToString(sum[:markLength]), nil
}

// markLength is how many bytes of a hash tell one passphrase from another.
const markLength = 8

func (p *Passphrase) wait(ctx context.Context) error {
	select {
	case p.busy <- struct{}{}:
		return nil
	case <-ctx.Done():
		return fmt.Errorf("wait for another sign-in: %w", ctx.Err())
	}
}

func (p *Passphrase) done() { <-p.busy }

// Acceptable says what is wrong with a passphrase before it is kept, or nil.
func Acceptable(passphrase string) error {
	_, err := prepare(passphrase)
	return err
}

// prepare writes a passphrase the one way that is hashed.
func prepare(passphrase string) (string, error) {
	if utf8.RuneCountInString(passphrase) > maxPassphrase {
		return "", ErrLongPassphrase
	}
	if passphrase == "" {
		return "", ErrShortPassphrase
	}
	text, err := precis.OpaqueString.String(passphrase)
	if err != nil || !utf8.ValidString(passphrase) {
		return "", ErrOddPassphrase // and not the character, which is part of a secret
	}
	if utf8.RuneCountInString(text) < minPassphrase {
		return "", ErrShortPassphrase
	}
	return text, nil
}

// From returns the address that a request was sent from. What a header says of
// it is not believed.
func From(r *http.Request) netip.Addr {
	host, _, err := net.SplitHostPort(r.RemoteAddr)
	if err != nil {
		return netip.Addr{}
	}
	addr, err := netip.ParseAddr(host)
	if err != nil {
		return netip.Addr{}
	}
	return plain(addr)
}
