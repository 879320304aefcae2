package main

import (
	"context"
	"crypto/rand"
	"log/slog"
	"net/http"
	"os"
	"testing"
	"time"
)

// shutLine is a line to pages that say nothing, in a folder of its own.
func shutLine(t *testing.T) *phoneLine {
	t.Helper()
	terminal := &terminal{Now: time.Now, Rand: rand.Reader, Logger: slog.New(slog.DiscardHandler)}
	s := newServing(t.Context(), terminal.Logger)
	l := newPhoneLine(s, terminal, t.TempDir(), http.NotFoundHandler())
	t.Cleanup(func() {
		l.close(context.Background())
		s.close(context.Background())
	})
	return l
}

// Where the line was open last is no hindrance to opening it anew: a tablet gets another
// address in its network, and a file may be damaged.
func TestALineThatCannotBeOpenedWhereItWas(t *testing.T) {
	for name, was := range map[string]string{"an address of another network": "192.0.2.7:7463\n", "no address": "nonsense", "nothing": ""} {
		t.Run(name, func(t *testing.T) {
			l := shutLine(t)
			if err := os.WriteFile(l.keep, []byte(was), 0o600); err != nil {
				t.Fatal(err)
			}
			if err := l.begin(t.Context(), benchAt{PhonesAt: "127.0.0.1:0"}); err != nil {
				t.Fatalf("it keeps the bench from starting: %v", err)
			}
			if _, _, open := l.where(); open {
				t.Fatal("it is said to be open")
			}
			if err := l.opens(t.Context()); err != nil {
				t.Fatalf("it cannot be opened any more: %v", err)
			}
			if host, port, open := l.where(); host != "127.0.0.1" || port == 0 || !open {
				t.Errorf("it is open at %s, %d: %t", host, port, open)
			}
		})
	}
}

// What is pressed while the program ends opens nothing that would outlive it.
func TestALineIsNotOpenedWhileTheProgramEnds(t *testing.T) {
	l := shutLine(t)
	if err := l.begin(t.Context(), benchAt{Phones: "127.0.0.1:0"}); err != nil {
		t.Fatal(err)
	}
	l.close(t.Context())
	if err := l.opens(t.Context()); err == nil {
		t.Error("it is opened once more")
	}
	if _, _, open := l.where(); open {
		t.Error("it is open")
	}
	if _, err := os.Stat(l.keep); err == nil {
		t.Error("it is open after the next start")
	}
}
