package gate_test

import (
	"context"
	"crypto/rand"
	"errors"
	"os"
	"path/filepath"
	"testing"
	"time"

	"fettlebook/cmd/internal/pages/gate"
)

// A PIN is digits, is known at the tablet where it was set and for the person it was set
// for, and lies there as a hash that only its owner reads.
func TestPINs(t *testing.T) {
	ctx, dir := context.Background(), filepath.Join(t.TempDir(), "pins")
	p := gate.NewPINs(dir, time.Now, rand.Reader)
	for _, pin := range []string{"", "123", "123456789", "12a4", "١٢٣٤", " 1234", "12-34"} {
		if err := p.Set(ctx, "jr", pin); !errors.Is(err, gate.ErrPIN) {
			t.Errorf("%q is set: %v", pin, err)
		}
	}
	if err := p.Check(ctx, "jr", "1234"); !errors.Is(err, gate.ErrNoPIN) {
		t.Errorf("without one: %v", err)
	}
	for _, pin := range []string{"4711", "20618"} {
		if err := p.Set(ctx, "jr", pin); err != nil {
			t.Fatal(err)
		}
	}
	for _, c := range []struct {
		who  gate.Person
		pin  string
		want error
	}{{"jr", "20618", nil}, {"jr", "4711", gate.ErrWrongPIN}, {"jr", "", gate.ErrWrongPIN}, {"mk", "20618", gate.ErrNoPIN}, {"", "20618", gate.ErrNoPIN}, {"jr", "20618", nil}} {
		if err := gate.NewPINs(dir, time.Now, rand.Reader).Check(ctx, c.who, c.pin); !errors.Is(err, c.want) {
			t.Errorf("%s with %q: %v, want %v", c.who, c.pin, err, c.want)
		}
	}
	for who, want := range map[gate.Person]bool{"jr": true, "mk": false, "": false} {
		if has, err := p.Has(who); has != want || err != nil {
			t.Errorf("%q has one: %t, %v", who, has, err)
		}
	}
	file := filepath.Join(dir, "6a72")
	if info, err := os.Stat(file); err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("%v, %v", info, err)
	}
	if err := os.WriteFile(file, []byte("20618"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := p.Check(ctx, "jr", "20618"); !errors.Is(err, gate.ErrPINFile) {
		t.Errorf("a damaged file: %v", err)
	}
}

// Who guesses is slowed down, for the person that is guessed at and nobody else.
func TestPINGuessed(t *testing.T) {
	ctx, dir, at := context.Background(), t.TempDir(), time.Date(2026, 3, 2, 8, 0, 0, 0, time.UTC)
	for _, name := range []string{"6a72", "6d6b"} { // jr and mk
		if err := os.WriteFile(filepath.Join(dir, name), []byte(cheap), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	p := gate.NewPINs(dir, func() time.Time { return at }, rand.Reader)
	var slow *gate.Slow
	for i := range 4 {
		if err := p.Check(ctx, "jr", "0000"); errors.As(err, &slow) != (i == 3) {
			t.Errorf("try %d: %v", i+1, err)
		}
	}
	if says := slow.Error(); says != "too many wrong PINs were tried; wait 2 seconds and try again" {
		t.Errorf("it says %q", says)
	}
	if err := p.Check(ctx, "jr", right); !errors.As(err, &slow) {
		t.Errorf("the right one at once: %v", err)
	}
	if err := p.Check(ctx, "mk", right); err != nil {
		t.Errorf("somebody else: %v", err)
	}
	at = at.Add(time.Minute)
	if err := p.Check(ctx, "jr", right); err != nil {
		t.Errorf("the right one later: %v", err)
	}
	tries := 0
	for end := at.Add(24 * time.Hour); at.Before(end); at = at.Add(time.Minute) {
		if err := p.Check(ctx, "jr", "0000"); errors.Is(err, gate.ErrWrongPIN) {
			tries++
		}
	}
	if tries > 120 {
		t.Errorf("%d tries in a day", tries)
	}
}
