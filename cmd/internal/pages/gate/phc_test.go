package gate_test

import (
	"bytes"
	"context"
	"errors"
	"net/netip"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"fettlebook/cmd/internal/pages/gate"
	"fettlebook/media/mediatest"
)

// From src/test.c of the reference implementation (github.com/P-H-C/phc-winner-argon2).
const (
	password64MiB  = "$argon2id$v=19$m=65536,t=2,p=1$c29tZXNhbHQ$CTFhFdXPJO1aFaMaO6Mm5c8y7cJHAph8ArZWb2GRPPc"
	password256KiB = "$argon2id$v=19$m=256,t=2,p=1$c29tZXNhbHQ$nf65EOgLrQMR/uIPnA4rEsF5h7TKyQwu9U1bMCHGi/4"
	password2Lanes = "$argon2id$v=19$m=256,t=2,p=2$c29tZXNhbHQ$bQk8UB/VmZZF4Oo79iDXuL5/0ttZwg2f/5U52iv1cDc"
)

func TestHashPublished(t *testing.T) {
	for _, phc := range []string{password64MiB, password256KiB, password2Lanes} {
		for passphrase, want := range map[string]bool{"password": true, "passwore": false, "": false} {
			if got, err := gate.HashFits(phc, passphrase); err != nil || got != want {
				t.Errorf("%q fits %s: %v, %v, want %v", passphrase, phc, got, err, want)
			}
		}
		if got, err := gate.RewriteHash(phc); err != nil || got != phc {
			t.Errorf("%s was read and written as %s, %v", phc, got, err)
		}
	}
}

// The reference implementation's own program writes what the hub writes, and the
// hub takes what it writes.
func TestHashReference(t *testing.T) {
	program, err := exec.LookPath("argon2")
	if err != nil {
		mediatest.Missing(t, "argon2 is missing; install it (Debian: apt-get install argon2)")
	}
	const passphrase, salt = "grey primer on the left", "salt of 16 bytes"
	reference := func(args ...string) string {
		cmd := exec.Command(program, append([]string{salt, "-id", "-e"}, args...)...)
		cmd.Stdin = strings.NewReader(passphrase)
		out, err := cmd.Output()
		if err != nil {
			t.Fatal(err)
		}
		return string(out)
	}
	ctx, path := context.Background(), filepath.Join(t.TempDir(), "keys", "desk")
	p := gate.NewPassphrase(path, time.Now, strings.NewReader(salt))
	if err := p.Set(ctx, passphrase); err != nil {
		t.Fatal(err)
	}
	ours, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if want := reference("-t", "2", "-k", "19456", "-p", "1", "-l", "32"); string(ours) != want {
		t.Errorf("wrote %q, the reference %q", ours, want)
	}
	for _, args := range [][]string{{"-t", "3", "-k", "65536", "-p", "4", "-l", "32"}, {"-t", "1", "-k", "1024", "-p", "2", "-l", "64"}} {
		if err := os.WriteFile(path, []byte(reference(args...)), 0o600); err != nil {
			t.Fatal(err)
		}
		if err := p.Check(ctx, passphrase, netip.Addr{}); err != nil {
			t.Errorf("of %q: %v", args, err)
		}
		if err := p.Check(ctx, passphrase+".", netip.Addr{}); !errors.Is(err, gate.ErrWrongPassphrase) {
			t.Errorf("wrong one of %q: %v", args, err)
		}
	}
}

func TestHashDamaged(t *testing.T) {
	for name, phc := range map[string]string{
		"empty":           "",
		"plain text":      "grey primer on the left",
		"other function":  strings.Replace(password256KiB, "argon2id", "argon2i", 1),
		"other version":   strings.Replace(password256KiB, "v=19", "v=16", 1),
		"no memory":       strings.Replace(password256KiB, "m=256", "m=0", 1),
		"all the memory":  strings.Replace(password256KiB, "m=256", "m=4194304", 1),
		"much too much":   strings.Replace(password256KiB, "m=256", "m=99999999999", 1),
		"no pass":         strings.Replace(password256KiB, "t=2", "t=0", 1),
		"a day of passes": strings.Replace(password256KiB, "t=2", "t=4000000", 1),
		"no thread":       strings.Replace(password256KiB, "p=1", "p=0", 1),
		"many threads":    strings.Replace(password256KiB, "p=1", "p=200", 1),
		"a plus sign":     strings.Replace(password256KiB, "t=2", "t=+2", 1),
		"cut":             password256KiB[:len(password256KiB)-30],
		"no tag":          password256KiB[:strings.LastIndex(password256KiB, "$")+1],
		"no salt":         strings.Replace(password256KiB, "c29tZXNhbHQ", "", 1),
		"more":            password256KiB + "$AAAA",
		"stray bits":      password256KiB[:len(password256KiB)-1] + "5",
		"a line more":     password256KiB + "\n",
	} {
		if got, err := gate.RewriteHash(phc); !errors.Is(err, gate.ErrPassphraseFile) {
			t.Errorf("%s: %q, %v", name, got, err)
		}
	}
}

func FuzzHash(f *testing.F) {
	for _, s := range []string{password64MiB, password256KiB, password2Lanes, "", "$argon2id$v=19$m=8,t=1,p=1$$"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		got, err := gate.RewriteHash(text)
		if err == nil && got != text || err != nil && !errors.Is(err, gate.ErrPassphraseFile) {
			t.Errorf("%q read and written: %q, %v", text, got, err)
		}
	})
}

// Each flipped bit of the kept line shuts the desk; none opens it.
func TestHashFlipped(t *testing.T) {
	phc := []byte(password256KiB)
	for i := range phc {
		for bit := range 8 {
			flipped := bytes.Clone(phc)
			flipped[i] ^= 1 << bit
			if fits, err := gate.HashFits(string(flipped), "password"); fits {
				t.Errorf("%s fits, %v", flipped, err)
			}
		}
	}
}
