package gate

import (
	"context"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"fettlebook/media/durable"
)

// What can be wrong with a PIN.
var (
	ErrPIN      = errors.New("a PIN has 4 to 8 digits and nothing else; six are better than four")
	ErrNoPIN    = errors.New("there is no PIN of this person on this tablet")
	ErrWrongPIN = errors.New("this is not the right PIN; try again")
	ErrPINFile  = errors.New("the file of this PIN is damaged; set the PIN again with `fettlebook tablet pin` on this machine")
)

const minPIN, maxPIN = 4, 8

// PINs are those that people have at this tablet, each in a file of its own. They are
// known here only: whoever has a file tries all PINs of six digits within hours, so no
// other machine is given one. That same person has the tablet's keys, which lie beside
// it, and needs no PIN to write what they like in the tablet's name.
type PINs struct {
	dir  string
	now  func() time.Time
	rand io.Reader
	busy chan struct{} // holds one while a hash is worked out

	mu    sync.Mutex // guards tried
	tried map[Person]*tries
}

// NewPINs returns the PINs that are kept in a folder, which need not exist.
func NewPINs(dir string, now func() time.Time, rand io.Reader) *PINs {
	return &PINs{dir: dir, now: now, rand: rand, busy: make(chan struct{}, 1), tried: make(map[Person]*tries)}
}

func (p *PINs) file(who Person) string {
	return filepath.Join(p.dir, hex.EncodeToString([]byte(who)))
}

// Has reports whether a person has a PIN here, in whatever state its file is.
func (p *PINs) Has(who Person) (bool, error) {
	_, err := os.Stat(p.file(who))
	if errors.Is(err, fs.ErrNotExist) || who == "" {
		return false, nil
	}
	if err != nil {
		return false, fmt.Errorf("look for a PIN: %w", err)
	}
	return true, nil
}

// Set gives a person a PIN in the place of any other, and forgets wrong tries.
func (p *PINs) Set(ctx context.Context, who Person, pin string) error {
	if len(pin) < minPIN || len(pin) > maxPIN || strings.Trim(pin, "0123456789") != "" {
		return ErrPIN
	}
	if err := p.wait(ctx); err != nil {
		return err
	}
	h, err := newHash(p.rand, pin, deskCost())
	<-p.busy
	if err != nil {
		return err
	}
	if err = durable.MkdirAll(p.dir, 0o700); err == nil {
		err = durable.WriteFile(p.file(who), []byte(h.phc()+"\n"), 0o600)
	}
	if err != nil {
		return fmt.Errorf("keep a PIN: %w", err)
	}
	p.forget(who)
	return nil
}

// Check returns nil if this is the person's PIN. Wrong ones slow down whoever tries
// for that person, wherever they sit: the error is a *[Slow] and the PIN was not
// looked at.
func (p *PINs) Check(ctx context.Context, who Person, pin string) error {
	raw, err := os.ReadFile(p.file(who))
	if errors.Is(err, fs.ErrNotExist) || who == "" {
		return ErrNoPIN
	}
	if err != nil {
		return fmt.Errorf("read a PIN: %w", err)
	}
	kept, err := parsePHC(strings.TrimSuffix(string(raw), "\n"))
	if err != nil {
		return ErrPINFile
	}
	if slow := p.enter(who); slow != nil {
		return slow
	}
	if err := p.wait(ctx); err != nil {
		return err
	}
	fits := kept.fits(pin)
	<-p.busy
	if !fits {
		return ErrWrongPIN
	}
	p.forget(who)
	return nil
}

// enter counts a try as wrong before it is looked at.
func (p *PINs) enter(who Person) *Slow {
	p.mu.Lock()
	defer p.mu.Unlock()
	now, t := p.now(), p.tried[who]
	if t == nil {
		t = new(tries)
		p.tried[who] = t
	}
	if t.until.After(now) {
		return &Slow{Until: t.until, Wait: t.until.Sub(now), of: "PINs"}
	}
	t.add(now, freeEach, mostEach)
	return nil
}

func (p *PINs) forget(who Person) {
	p.mu.Lock()
	defer p.mu.Unlock()
	delete(p.tried, who)
}

func (p *PINs) wait(ctx context.Context) error {
	select {
	case p.busy <- struct{}{}:
		return nil
	case <-ctx.Done():
		return fmt.Errorf("wait for another PIN: %w", ctx.Err())
	}
}
