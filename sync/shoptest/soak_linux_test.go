package shoptest_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/sync/shoptest"
	"fettlebook/sync/uplink"
)

// soaked is what hub and tablets took of the machine when all was quiet.
type soaked struct {
	goroutines, handles, hubHandles, wal, hubWAL int
	memory, hubMemory                            float64 // MiB
	entries                                      int64
}

// soak is a hub in a process of its own and six tablets in this one.
type soak struct {
	t       *testing.T
	dice    *rand.Rand
	hubDir  string
	hub     *process
	tablets []*soakTablet
	wrote   uint64
}

type soakTablet struct {
	dir   string
	bench *shoptest.Bench
	line  *shoptest.Line // nil while it is not connected
}

// TestSoak has a hub and six tablets work while lines are cut, tablets are started anew and
// the hub is killed, again and again. Whenever it is quiet all is at the hub, once, and
// goroutines, open files, memory and write-ahead logs do not grow with the time. It takes a
// few seconds; FETTLEBOOK_SOAK=3m takes so long.
func TestSoak(t *testing.T) {
	journaltest.Long(t)
	long := 3 * time.Second
	if asked := os.Getenv("FETTLEBOOK_SOAK"); asked != "" {
		var err error
		if long, err = time.ParseDuration(asked); err != nil {
			t.Fatalf("FETTLEBOOK_SOAK is %q and not a duration such as 3m", asked)
		}
	}
	s := &soak{t: t, dice: rand.New(rand.NewPCG(2026, 12)), hubDir: t.TempDir()}
	if err := shoptest.Found(t.Context(), s.hubDir); err != nil {
		t.Fatal(err)
	}
	s.hub = start(t, "hub", s.hubDir)
	invitation := s.hub.line(t)
	t.Cleanup(s.end)
	for n := range 6 {
		s.join(invitation, fmt.Sprintf("bench %d", n+1))
		fmt.Fprintln(s.hub.in, "another")
		invitation = s.hub.line(t)
	}
	var list []soaked
	kills := 0
	for began := time.Now(); time.Since(began) < long || len(list) < 2; {
		for range 12 {
			s.act()
		}
		if s.dice.IntN(2) == 0 {
			kills++
			s.kill()
		}
		s.calm()
		list = append(list, s.measure())
	}
	first, last := list[:len(list)/2], list[len(list)/2:]
	t.Logf("%d rounds, %d kills of the hub, %d entries; first %+v, last %+v", len(list), kills, list[len(list)-1].entries, list[0], list[len(list)-1])
	if len(list) < 20 {
		return // too few to tell what grows
	}
	for name, of := range map[string]func(soaked) float64{
		"goroutines":                func(s soaked) float64 { return float64(s.goroutines) },
		"open files":                func(s soaked) float64 { return float64(s.handles) },
		"open files of the hub":     func(s soaked) float64 { return float64(s.hubHandles) },
		"memory":                    func(s soaked) float64 { return s.memory },
		"memory of the hub":         func(s soaked) float64 { return s.hubMemory },
		"write-ahead logs":          func(s soaked) float64 { return float64(s.wal) },
		"the hub’s write-ahead log": func(s soaked) float64 { return float64(s.hubWAL) },
	} {
		before, after := median(first, of), median(last, of)
		t.Logf("%s: %.0f in the first half, %.0f in the second", name, before, after)
		if after > 1.25*before+16 {
			t.Errorf("%s grew from %.0f to %.0f", name, before, after)
		}
	}
}

func median(list []soaked, of func(soaked) float64) float64 {
	values := make([]float64, len(list))
	for i, s := range list {
		values[i] = of(s)
	}
	slices.Sort(values)
	return values[len(values)/2]
}

func (s *soak) join(invitation, name string) {
	s.t.Helper()
	i := parse(s.t, invitation)
	a, err := shoptest.Applicant(journal.ShopID(i.Shop), name)
	if err != nil {
		s.t.Fatal(err)
	}
	tablet := &soakTablet{dir: s.t.TempDir()}
	if err := shoptest.Join(s.t.Context(), tablet.dir, i, a); err != nil {
		s.t.Fatal(err)
	}
	s.tablets = append(s.tablets, tablet)
	s.open(tablet)
	s.connect(tablet)
}

func (s *soak) open(tablet *soakTablet) {
	s.t.Helper()
	var err error
	if tablet.bench, err = shoptest.OpenBench(context.WithoutCancel(s.t.Context()), tablet.dir, nil); err != nil {
		s.t.Fatal(err)
	}
}

func (s *soak) connect(tablet *soakTablet) {
	s.t.Helper()
	faults, seed := shoptest.Faults{Drop: 0.02, Twice: 0.02, Late: 0.02}, s.dice.Uint64()
	err := tablet.bench.Connect(context.WithoutCancel(s.t.Context()), shoptest.Connection{Every: 200 * time.Millisecond, Retry: 20 * time.Millisecond,
		Line: func(inner uplink.Line) uplink.Line {
			tablet.line = shoptest.NewLine(inner, faults, seed)
			return tablet.line
		}})
	if err != nil {
		s.t.Fatal(err)
	}
}

// act does one thing at a tablet.
func (s *soak) act() {
	s.t.Helper()
	tablet := s.tablets[s.dice.IntN(len(s.tablets))]
	switch n := s.dice.IntN(12); {
	case n < 8:
		s.wrote++
		drafts, err := shoptest.Drafts(1+s.dice.IntN(6), 3000, s.wrote)
		if err != nil {
			s.t.Fatal(err)
		}
		if _, err := tablet.bench.DB.AppendAll(context.WithoutCancel(s.t.Context()), drafts); err != nil {
			s.t.Fatal(err)
		}
	case n == 8 && tablet.line != nil:
		tablet.line.Cut()
	case n == 9 && tablet.line != nil:
		tablet.line.Mend()
	case n == 10 && tablet.line != nil:
		tablet.line = nil
		if err := tablet.bench.Disconnect(); err != nil {
			s.t.Fatal(err)
		}
	case n == 11: // started anew
		tablet.line = nil
		if err := tablet.bench.Close(); err != nil {
			s.t.Fatal(err)
		}
		s.open(tablet)
	}
}

// kill ends the hub without a word and starts it again.
func (s *soak) kill() {
	s.t.Helper()
	if err := s.hub.cmd.Process.Kill(); err != nil {
		s.t.Fatal(err)
	}
	s.hub.in.Close()
	_ = s.hub.cmd.Wait() // it was killed
	s.hub = start(s.t, "hub", s.hubDir)
	s.hub.line(s.t)
}

// calm mends all and waits until every tablet holds the hub's word on all that it wrote,
// and every other tablet's entries.
func (s *soak) calm() {
	s.t.Helper()
	for _, tablet := range s.tablets {
		if tablet.line == nil {
			s.connect(tablet)
		}
		tablet.line.Mend()
	}
	ctx := context.WithoutCancel(s.t.Context())
	for _, from := range s.tablets {
		own := s.size(from, from.bench.ID.Device)
		shoptest.WaitUntil(s.t, "the hub's word on what "+string(from.bench.ID.Device)+" wrote", func() bool {
			c, err := from.bench.DB.LastCountersigned(ctx, from.bench.ID.Device)
			return err == nil && c.Size == own
		})
		for _, to := range s.tablets {
			shoptest.WaitUntil(s.t, "the entries at every tablet", func() bool { return s.size(to, from.bench.ID.Device) == own })
		}
	}
}

func (s *soak) size(tablet *soakTablet, device journal.DeviceID) int64 {
	s.t.Helper()
	head, err := tablet.bench.DB.Head(context.WithoutCancel(s.t.Context()), device)
	if err != nil {
		s.t.Fatal(err)
	}
	return head.Size
}

func (s *soak) measure() (m soaked) {
	s.t.Helper()
	runtime.GC()
	m.goroutines, m.handles, m.memory = runtime.NumGoroutine(), handles(s.t, os.Getpid()), resident(s.t, os.Getpid())
	m.hubHandles, m.hubMemory = handles(s.t, s.hub.cmd.Process.Pid), resident(s.t, s.hub.cmd.Process.Pid)
	m.hubWAL = wal(s.hubDir)
	for _, tablet := range s.tablets {
		m.wal += wal(tablet.dir)
		m.entries += s.size(tablet, tablet.bench.ID.Device)
	}
	return m
}

// wal is how many KiB a folder's write-ahead log has.
func wal(dir string) int {
	info, err := os.Stat(filepath.Join(dir, "log.db-wal"))
	if err != nil {
		return 0
	}
	return int(info.Size() >> 10)
}

func handles(t *testing.T, pid int) int {
	t.Helper()
	list, err := os.ReadDir(fmt.Sprintf("/proc/%d/fd", pid))
	if err != nil {
		t.Fatal(err)
	}
	return len(list)
}

// resident is how much memory of a process is in use, in MiB.
func resident(t *testing.T, pid int) float64 {
	t.Helper()
	raw, err := os.ReadFile(fmt.Sprintf("/proc/%d/statm", pid))
	if err != nil {
		t.Fatal(err)
	}
	var size, in float64
	if _, err := fmt.Sscan(string(raw), &size, &in); err != nil {
		t.Fatal(err)
	}
	return in * float64(os.Getpagesize()) / (1 << 20)
}

func (s *soak) end() {
	for _, tablet := range s.tablets {
		if err := tablet.bench.Close(); err != nil {
			s.t.Error(err)
		}
	}
	s.hub.end(s.t)
}
