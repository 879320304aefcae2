package demo

import (
	"bytes"
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	mathrand "math/rand/v2"
	"os"
	"os/exec"
	"strconv"
	"sync"
	"testing"
	"time"

	"fettlebook/journal"
)

// rounds is how many times a machine is killed: 20 times, or as often as
// FETTLEBOOK_KILLS says.
func rounds(t *testing.T) int {
	t.Helper()
	asked := os.Getenv("FETTLEBOOK_KILLS")
	if asked == "" {
		return 20
	}
	n, err := strconv.Atoi(asked)
	if err != nil || n < 1 {
		t.Fatalf("FETTLEBOOK_KILLS is %q and no number of kills", asked)
	}
	return n
}

// TestKills kills the hub and the tablets with no warning, again and again,
// while entries are written and on their way, and starts them again. In the
// end every entry that was acknowledged is at the hub exactly once.
func TestKills(t *testing.T) {
	rounds := rounds(t)
	d := &Day{cfg: Config{Dir: t.TempDir(), Program: buildProgram(t), Out: new(bytes.Buffer), Now: time.Now, Rand: rand.Reader},
		benchs: map[string]*machine{}, names: names{}, begun: time.Now()}
	t.Cleanup(func() {
		if err := d.Close(); err != nil {
			t.Error(err)
		}
	})
	if err := d.setUp(t.Context()); err != nil {
		t.Fatal(err)
	}
	dice := mathrand.New(mathrand.NewPCG(2026, 11))
	books := map[string]*acknowledged{"bench 1": {}, "bench 2": {}}
	for round := range rounds {
		killOnce(t, d, dice, books, round)
	}
	if err := d.meet(t.Context(), "bench 1", "bench 2"); err != nil {
		t.Fatal(err)
	}
	total := 0
	for name, book := range books {
		total += len(book.ids)
		checkAtHub(t, d, name, book)
	}
	if total < rounds {
		t.Errorf("%d entries were acknowledged in %d rounds; the test hardly wrote anything", total, rounds)
	}
	t.Logf("%d kills, %d acknowledged entries", rounds, total)
	for _, m := range []*machine{d.hub, d.benchs["bench 1"], d.benchs["bench 2"]} {
		if out, err := exec.CommandContext(t.Context(), d.cfg.Program, "audit", "--data", m.dir).CombinedOutput(); err != nil {
			t.Errorf("audit of %s: %v\n%s", m.name, err, out)
		}
	}
}

// acknowledged is what a tablet said it had written.
type acknowledged struct {
	mu  sync.Mutex
	ids []journal.EntryID
}

func (a *acknowledged) add(id journal.EntryID) int {
	a.mu.Lock()
	defer a.mu.Unlock()
	a.ids = append(a.ids, id)
	return len(a.ids)
}

// killOnce writes on both tablets and kills one machine, or two, at the
// moment a random one of the writes is acknowledged; then starts it again.
func killOnce(t *testing.T, d *Day, dice *mathrand.Rand, books map[string]*acknowledged, round int) {
	t.Helper()
	victims := [][]*machine{{d.hub}, {d.benchs["bench 1"]}, {d.benchs["bench 2"]}, {d.hub, d.benchs["bench 2"]}}[dice.IntN(4)]
	after := dice.IntN(4)
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	reached := make(chan struct{})
	var (
		once    sync.Once
		count   sync.Mutex
		written int
		writers sync.WaitGroup
	)
	note := func() {
		count.Lock()
		defer count.Unlock()
		if written++; written > after {
			once.Do(func() { close(reached) })
		}
	}
	for name, book := range books {
		client := d.benchs[name].client
		writers.Go(func() {
			for i := range 6 {
				e, err := client.Append(ctx, journal.Draft{Subject: journal.About("4f7kk2m9", "", ""), By: "io",
					Data: &journal.Remark{Evidence: journal.Evidence{Note: fmt.Sprintf("round %d, %s, %d", round, name, i)}}})
				if err != nil {
					return // killed under our hands: not acknowledged
				}
				book.add(e.ID)
				note()
			}
		})
	}
	select {
	case <-reached:
	case <-time.After(5 * time.Minute):
		t.Fatalf("round %d: nothing was acknowledged", round)
	}
	for _, m := range victims {
		if err := m.kill(); err != nil {
			t.Fatalf("round %d: %v", round, err)
		}
	}
	writers.Wait()
	for _, m := range victims {
		if err := m.start(ctx); err != nil {
			t.Fatalf("round %d: %v", round, err)
		}
	}
}

// checkAtHub holds a tablet's log against the hub's copy and the
// acknowledgements.
func checkAtHub(t *testing.T, d *Day, name string, book *acknowledged) {
	t.Helper()
	hub, err := openShelf(t.Context(), d.hub.dir)
	if err != nil {
		t.Fatal(err)
	}
	tablet, err := openShelf(t.Context(), d.benchs[name].dir)
	if err != nil {
		t.Fatal(err)
	}
	defer func() {
		if err := errors.Join(hub.Close(), tablet.Close()); err != nil {
			t.Error(err)
		}
	}()
	here, there := readLog(t, tablet, tablet.Device), readLog(t, hub, tablet.Device)
	if len(here) != len(there) {
		t.Fatalf("%s wrote %d entries and the hub holds %d", name, len(here), len(there))
	}
	times := map[journal.EntryID]int{}
	for i := range there {
		if !bytes.Equal(here[i], there[i]) {
			t.Fatalf("%s: entry %d differs", name, i)
		}
		e, err := journal.Decode(there[i])
		if err != nil {
			t.Fatal(err)
		}
		times[e.ID]++
	}
	for _, id := range book.ids {
		if times[id] != 1 {
			t.Errorf("%s: acknowledged entry %s is %d times at the hub", name, id, times[id])
		}
	}
}

func readLog(t *testing.T, s *shelf, device journal.DeviceID) [][]byte {
	t.Helper()
	var list [][]byte
	for e, err := range s.Entries(t.Context(), device, 0) {
		if err != nil {
			t.Fatal(err)
		}
		list = append(list, e.Bytes)
	}
	return list
}
