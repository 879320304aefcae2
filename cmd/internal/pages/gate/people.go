package gate

import (
	"context"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"net/netip"
	"os"
	"path/filepath"
	"sync"

	"fettlebook/media/durable"
)

// People are the passphrases of those who work at a desk, each in a file of its own.
// As long as nobody has one there is the desk's alone, which opens it for everybody;
// the first time somebody is given one, the desk's becomes that of the owner.
type People struct {
	desk *Passphrase
	dir  string

	giving sync.Mutex // held while files change
}

// NewPeople returns the passphrases that are kept in a folder, which need not exist, beside
// the one of the desk.
func NewPeople(desk *Passphrase, dir string) *People { return &People{desk: desk, dir: dir} }

// Person is whose passphrase is asked for, and by what name that person is kept.
type Person string

// of is the passphrase of a person.
func (p *People) of(who Person) *Passphrase {
	one := *p.desk
	one.of = who
	// Names may differ by case alone, which not every disk tells apart.
	one.path = filepath.Join(p.dir, hex.EncodeToString([]byte(who)))
	return &one
}

// Own tells who has a passphrase of their own.
func (p *People) Own() (map[Person]bool, error) {
	files, err := os.ReadDir(p.dir)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("look for passphrases: %w", err)
	}
	own := make(map[Person]bool)
	for _, f := range files {
		if who, err := hex.DecodeString(f.Name()); err == nil {
			own[Person(who)] = true
		}
	}
	return own, nil
}

// Check returns who signs in, if the passphrase is that person's: nobody in particular
// while nobody has one of their own. The errors are [ErrWrongPassphrase],
// [ErrWrongSignIn], *[Slow], and those of a file that cannot be read.
func (p *People) Check(ctx context.Context, who Person, passphrase string, from netip.Addr) (Holder, error) {
	own, err := p.Own()
	if err != nil {
		return Holder{}, err
	}
	if len(own) == 0 {
		return Holder{Role: Desk}, p.desk.Check(ctx, passphrase, from)
	}
	if !own[who] {
		return Holder{}, p.desk.checkNobody(ctx, passphrase, from)
	}
	err = p.of(who).Check(ctx, passphrase, from)
	if errors.Is(err, ErrWrongPassphrase) {
		err = ErrWrongSignIn
	}
	if err != nil {
		return Holder{}, err
	}
	mark, err := p.of(who).Mark()
	return Holder{Role: Desk, Person: who, Mark: mark}, err
}

// Holds reports whether a session still lets its holder in: not without a name once
// people have passphrases of their own, and not by one that was replaced or taken away.
func (p *People) Holds(h Holder) (bool, error) {
	own, err := p.Own()
	if err != nil {
		return false, err
	}
	if len(own) == 0 || !own[h.Person] {
		return len(own) == 0 && h.Person == "", nil
	}
	mark, err := p.of(h.Person).Mark()
	return err == nil && mark == h.Mark, err
}

// Give gives a person a passphrase, in the place of any other. The first time this is
// done, the desk's passphrase becomes the owner's; where it is the owner who is given
// one, it ends. Cut off at any point, it leaves nobody without the passphrase that they
// had.
func (p *People) Give(ctx context.Context, who, owner Person, passphrase string) error {
	p.giving.Lock()
	defer p.giving.Unlock()
	if err := Acceptable(passphrase); err != nil {
		return err
	}
	own, err := p.Own()
	if err != nil {
		return err
	}
	if len(own) == 0 && who != owner && owner != "" {
		if err := p.inherit(owner); err != nil {
			return err
		}
	}
	if err := p.of(who).Set(ctx, passphrase); err != nil {
		return err
	}
	if err := durable.Remove(p.desk.path); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("end the desk’s own passphrase: %w", err)
	}
	return nil
}

// inherit makes the desk's passphrase that of a person.
func (p *People) inherit(who Person) error {
	h, err := p.desk.read()
	if errors.Is(err, ErrNoPassphrase) {
		return nil
	}
	if err != nil {
		return err
	}
	return p.of(who).keep(h)
}

// ErrLastPassphrase says that somebody has to be able to sign in.
var ErrLastPassphrase = errors.New("nobody else can sign in at the desk, so this passphrase stays; give somebody else one first")

// TakeAway takes a person's passphrase away.
func (p *People) TakeAway(who Person) error {
	p.giving.Lock()
	defer p.giving.Unlock()
	own, err := p.Own()
	switch {
	case err != nil:
		return err
	case !own[who]:
		return nil
	case len(own) == 1:
		return ErrLastPassphrase
	}
	if err := durable.Remove(p.of(who).path); err != nil {
		return fmt.Errorf("take a passphrase away: %w", err)
	}
	return nil
}

// checkNobody costs as much as a check, so that nobody learns by the clock which names
// are known.
func (p *Passphrase) checkNobody(ctx context.Context, passphrase string, from netip.Addr) error {
	if slow := p.turnstile.enter(from, "", p.now()); slow != nil {
		return slow
	}
	text, err := prepare(passphrase)
	if err != nil {
		return ErrWrongSignIn
	}
	if err := p.wait(ctx); err != nil {
		return err
	}
	defer p.done()
	if _, err := newHash(p.rand, text, deskCost()); err != nil {
		return err
	}
	return ErrWrongSignIn
}
