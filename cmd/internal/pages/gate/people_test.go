package gate_test

import (
	"context"
	"crypto/rand"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"fettlebook/cmd/internal/pages/gate"
)

const ofJR, ofMK = "two brushes and a bucket", "the long way round"

// The desk's one passphrase opens it for everybody as long as nobody has one of their
// own; then it is the owner's, and each is asked for theirs. A session ends with the
// passphrase that it was begun with.
func TestPeople(t *testing.T) {
	ctx, dir, at := context.Background(), t.TempDir(), time.Date(2026, 3, 2, 8, 0, 0, 0, time.UTC)
	desk := gate.NewPassphrase(filepath.Join(dir, "desk"), func() time.Time { return at }, rand.Reader)
	if err := os.WriteFile(filepath.Join(dir, "desk"), []byte(cheap), 0o600); err != nil {
		t.Fatal(err)
	}
	p := gate.NewPeople(desk, filepath.Join(dir, "people"))
	checks := func(who gate.Person, passphrase string, want error) gate.Holder {
		t.Helper()
		at = at.Add(time.Minute) // nobody here tries in haste
		h, err := p.Check(ctx, who, passphrase, sender)
		if !errors.Is(err, want) || err == nil && h.Role != gate.Desk {
			t.Errorf("%q with %q: %+v, %v, want %v", who, passphrase, h, err, want)
		}
		return h
	}
	holds := func(h gate.Holder, want bool) {
		t.Helper()
		if ok, err := p.Holds(h); ok != want || err != nil {
			t.Errorf("the session of %+v holds: %t, %v", h, ok, err)
		}
	}
	shared := checks("", right, nil)
	checks("", ofJR, gate.ErrWrongPassphrase)
	holds(shared, true)

	// What cannot be kept changes nothing.
	if err := p.Give(ctx, "jr", "io", "short"); !errors.Is(err, gate.ErrShortPassphrase) {
		t.Errorf("a short one: %v", err)
	}
	holds(shared, true)

	if err := p.Give(ctx, "jr", "io", ofJR); err != nil {
		t.Fatal(err)
	}
	holds(shared, false)
	owner := checks("io", right, nil)
	jr := checks("jr", ofJR, nil)
	for _, wrong := range []struct {
		who        gate.Person
		passphrase string
	}{{"jr", right}, {"io", ofJR}} {
		checks(wrong.who, wrong.passphrase, gate.ErrWrongSignIn)
	}
	checks("io", right, nil) // and whoever was right before does not wait
	for _, nobody := range []gate.Person{"", "mk", "../desk"} {
		checks(nobody, right, gate.ErrWrongSignIn)
		checks("io", right, nil)
	}
	holds(owner, true)
	holds(jr, true)
	holds(gate.Holder{Role: gate.Desk, Person: "jr", Mark: owner.Mark}, false)
	holds(gate.Holder{Role: gate.Desk, Person: "mk", Mark: jr.Mark}, false)
	if set, err := desk.IsSet(); set || err != nil {
		t.Errorf("the desk’s own is still there: %v", err)
	}

	// A new one ends what was begun with the old one, and nothing else.
	if err := p.Give(ctx, "jr", "io", ofMK); err != nil {
		t.Fatal(err)
	}
	holds(jr, false)
	holds(owner, true)
	checks("jr", ofJR, gate.ErrWrongSignIn)
	jr = checks("jr", ofMK, nil)

	if err := p.TakeAway("jr"); err != nil {
		t.Fatal(err)
	}
	holds(jr, false)
	checks("jr", ofMK, gate.ErrWrongSignIn)
	if err := p.TakeAway("io"); !errors.Is(err, gate.ErrLastPassphrase) {
		t.Errorf("the last one: %v", err)
	}
	checks("io", right, nil)

	if err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		info, err := d.Info()
		if err != nil {
			return err
		}
		raw, err := os.ReadFile(path)
		if info.Mode().Perm() != 0o600 || strings.Contains(string(raw), "primer") || !strings.HasPrefix(string(raw), "$argon2id$") {
			t.Errorf("%s: %v, %q", path, info.Mode(), raw)
		}
		return err
	}); err != nil {
		t.Fatal(err)
	}
}

// Cut off after the owner's was written and before the other one was, or with the
// desk's still there, nobody is kept out who was let in before.
func TestPeopleCutOff(t *testing.T) {
	ctx, dir := context.Background(), t.TempDir()
	for name, text := range map[string]string{"desk": cheap, filepath.Join("people", "696f"): cheap} { // io
		path := filepath.Join(dir, name)
		if err := errors.Join(os.MkdirAll(filepath.Dir(path), 0o700), os.WriteFile(path, []byte(text), 0o600)); err != nil {
			t.Fatal(err)
		}
	}
	p := gate.NewPeople(gate.NewPassphrase(filepath.Join(dir, "desk"), time.Now, rand.Reader), filepath.Join(dir, "people"))
	if _, err := p.Check(ctx, "io", right, sender); err != nil {
		t.Error(err)
	}
	if _, err := p.Check(ctx, "", right, sender); !errors.Is(err, gate.ErrWrongSignIn) {
		t.Errorf("without a name: %v", err)
	}
	if err := p.Give(ctx, "jr", "io", ofJR); err != nil {
		t.Error(err)
	}
	for who, passphrase := range map[gate.Person]string{"io": right, "jr": ofJR} {
		if _, err := p.Check(ctx, who, passphrase, sender); err != nil {
			t.Errorf("%s: %v", who, err)
		}
	}
	if err := os.WriteFile(filepath.Join(dir, "people", "6a72"), []byte("damaged"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := p.Check(ctx, "jr", ofJR, sender); !errors.Is(err, gate.ErrPassphraseFile) {
		t.Errorf("a damaged file: %v", err)
	}
	if ok, err := p.Holds(gate.Holder{Role: gate.Desk, Person: "jr", Mark: "0123456789abcdef"}); ok || err == nil {
		t.Errorf("a damaged file lets in: %t, %v", ok, err)
	}
}

// Who tries names and passphrases is slowed down, whichever names those are.
func TestPeopleGuessed(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "people", "696f")
	if err := errors.Join(os.MkdirAll(filepath.Dir(path), 0o700), os.WriteFile(path, []byte(cheap), 0o600)); err != nil {
		t.Fatal(err)
	}
	p := gate.NewPeople(gate.NewPassphrase(filepath.Join(dir, "desk"), time.Now, rand.Reader), filepath.Join(dir, "people"))
	var slow *gate.Slow
	for i, who := range []gate.Person{"io", "mk", "io", "jr", "zz", "kl"} {
		_, err := p.Check(context.Background(), who, "guess number one", sender)
		if got := errors.As(err, &slow); got != (i == 5) { // the fourth of those that are nobody's
			t.Errorf("try %d, %s: %v", i+1, who, err)
		}
	}
	if _, err := p.Check(context.Background(), "io", right, sender); err != nil { // two tries before
		t.Errorf("the right one of who was guessed twice: %v", err)
	}
}

// Who has a passphrase of their own gains no free tries at another's by it.
func TestGuessedByAColleague(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "people")
	for _, name := range []string{"696f", "6a72"} { // io and jr, who have the same here
		path := filepath.Join(dir, name)
		if err := errors.Join(os.MkdirAll(dir, 0o700), os.WriteFile(path, []byte(cheap), 0o600)); err != nil {
			t.Fatal(err)
		}
	}
	p := gate.NewPeople(gate.NewPassphrase(filepath.Join(dir, "desk"), time.Now, rand.Reader), dir)
	var slow *gate.Slow
	for i := range 4 {
		if _, err := p.Check(context.Background(), "jr", right, sender); err != nil {
			t.Errorf("their own: %v", err)
		}
		if _, err := p.Check(context.Background(), "io", "guess number one", sender); errors.As(err, &slow) != (i == 3) {
			t.Errorf("try %d at another’s: %v", i+1, err)
		}
	}
}
