package browsertest

import (
	"context"
	"crypto/rand"
	"io"
	"net"
	"os"
	"path/filepath"
	"strconv"
	"sync"
	"testing"
	"time"

	"fettlebook/cmd/internal/demo"
	"fettlebook/cmd/internal/folder"
)

// Day is a shop of the test's own in which the demonstration was played to its
// end, with its two tablets.
type Day struct {
	*Shop
	Benches []*Program
}

// Sites are the addresses of the pages of the hub and of its tablets.
func (d *Day) Sites() []string {
	all := []string{d.Hub.Pages}
	for _, b := range d.Benches {
		all = append(all, b.Pages)
	}
	return all
}

// played is where the demonstration was played, which takes longer than what most
// tests do afterwards: so it is done once, and copied.
type played struct {
	mu  sync.Mutex
	dir string // "" until it was played
}

func (p *played) once(t *testing.T, program, dir string) string {
	t.Helper()
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.dir == "" {
		day, err := demo.Play(t.Context(), demo.Config{Dir: dir, Program: program, Out: io.Discard, Now: time.Now, Rand: rand.Reader})
		if err != nil {
			t.Fatal(err)
		}
		if err := day.Close(); err != nil {
			t.Fatal(err)
		}
		p.dir = dir
	}
	return p.dir
}

// Day starts the hub and the tablets of a copy of the demonstration's day, by its
// clock.
func (h *House) Day(t *testing.T) *Day {
	t.Helper()
	program := h.Program(t)
	s := &Shop{t: t, end: t.Cleanup, program: program, dir: filepath.Join(t.TempDir(), "day")}
	if err := os.CopyFS(s.dir, os.DirFS(h.day.once(t, program, filepath.Join(h.dir, "day")))); err != nil {
		t.Fatal(err)
	}
	s.env = []string{demo.ClockVariable + "=" + filepath.Join(s.dir, "clock")}
	hub := filepath.Join(s.dir, "hub")
	s.broker = moved(t, hub)
	s.Hub = s.start(hub, "hub", "run", "--data", hub, "--pages", "127.0.0.1:0")
	d := &Day{Shop: s}
	for _, name := range []string{"bench-1", "bench-2"} {
		d.Benches = append(d.Benches, s.plug(filepath.Join(s.dir, name)))
	}
	return d
}

// moved gives a hub ports of its own, and returns where its tablets find it.
func moved(t *testing.T, hub string) string {
	t.Helper()
	id, err := folder.ReadIdentity(hub)
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range []*int{&id.DeskPort, &id.BrokerPort} {
		if *p, err = strconv.Atoi(port(t)); err != nil {
			t.Fatal(err)
		}
	}
	if err := folder.WriteIdentity(hub, id); err != nil {
		t.Fatal(err)
	}
	return net.JoinHostPort(id.Host, strconv.Itoa(id.BrokerPort))
}

// plug starts the tablet of a folder behind a line of its own.
func (s *Shop) plug(dir string, more ...string) *Program {
	s.t.Helper()
	line, err := demo.Lay(context.WithoutCancel(s.t.Context()), s.broker)
	if err != nil {
		s.t.Fatal(err)
	}
	s.end(func() { line.Close() })
	p := s.start(dir, append([]string{"tablet", "run", "--data", dir, "--hub", line.Address(), "--pages", "127.0.0.1:" + port(s.t)}, more...)...)
	p.Line = line
	p.until("has what the hub has", func(s standing) bool { return s.CaughtUp })
	return p
}
