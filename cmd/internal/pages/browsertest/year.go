package browsertest

import (
	"crypto/rand"
	"errors"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"fettlebook/cmd/internal/demo"
	"fettlebook/cmd/internal/folder"
	"fettlebook/journal/invented"
)

// Year starts the hub of a shop of its own that has a year behind it, in which
// about so many parts were coated, some of them after a soak that was too cool.
func (h *House) Year(t *testing.T, coats int) *Shop {
	t.Helper()
	s := &Shop{t: t, end: t.Cleanup, program: h.Program(t), dir: t.TempDir()}
	hub, desk, broker := filepath.Join(s.dir, "hub"), port(t), port(t)
	s.broker = net.JoinHostPort("127.0.0.1", broker)
	const days = 365
	plan := invented.Make(invented.Setting{Seed: 7, Parts: coats, Begun: time.Now().AddDate(0, 0, -days-60), Days: days, Cause: invented.CoolSoak, Also: invented.OneLot, Mixed: true})
	s.found(hub, plan.Begun.AddDate(0, 0, -10), "hub", "init", "--data", hub, "--shop", "Pin Bore Works", "--by", "io", "--host", "127.0.0.1", "--desk-port", desk, "--broker-port", broker)
	s.Command(Passphrase, "hub", "passphrase", "--data", hub)
	s.fill(hub, plan)
	s.Hub = s.start(hub, "hub", "run", "--data", hub, "--pages", "127.0.0.1:"+port(t))
	return s
}

// found runs a command on the clock of another day.
func (s *Shop) found(hub string, at time.Time, args ...string) {
	s.t.Helper()
	file := filepath.Join(s.dir, "clock")
	clock, err := demo.SetClock(file, at, time.Now)
	if err != nil {
		s.t.Fatal(err)
	}
	defer clock.Close()
	cmd := exec.Command(s.program, args...)
	cmd.Env = append(os.Environ(), demo.ClockVariable+"="+file)
	if out, err := cmd.CombinedOutput(); err != nil {
		s.t.Fatalf("fettlebook %s: %v\n%s", strings.Join(args, " "), err, out)
	}
}

// fill writes what was planned, without its photographs, into the folder of a hub that does
// not run.
func (s *Shop) fill(hub string, plan *invented.Plan) {
	s.t.Helper()
	now := plan.Begun
	f, err := folder.Open(s.t.Context(), hub, folder.Options{Now: func() time.Time { return now }, SetClock: true, Rand: rand.Reader})
	if err != nil {
		s.t.Fatal(err)
	}
	steps, err := plan.Steps()
	if err != nil {
		s.t.Fatal(err)
	}
	for i := range steps {
		steps[i].Shots = nil
	}
	year := &demo.Year{Hub: f, Steps: steps, Until: time.Now(), Set: func(at time.Time) { now = at }, Rand: rand.Reader}
	if _, err := year.Fill(s.t.Context()); err != nil {
		s.t.Fatal(err)
	}
	if err := f.Folded.Follow(s.t.Context()); err != nil {
		s.t.Fatal(err)
	}
	view := f.Folded.View(s.t.Context())
	view.Parts() // so that the hub finds all worked out
	if err := errors.Join(view.Err(), f.Close()); err != nil {
		s.t.Fatal(err)
	}
}
