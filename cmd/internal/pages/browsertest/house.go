package browsertest

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"sync"
	"testing"
)

// House is what the tests of a package share: the program, a browser, and a
// shop with its hub. Each is there from the first time that a test asks for
// it until the last test has ended. Tests may ask at the same time.
type House struct {
	dir     string // is there before any test
	day     played
	mu      sync.Mutex // guards what follows
	bin     string
	browser *Browser
	shop    *Shop
	bench   *Program
	plates  int
	people  int
	ends    []func()
}

// Run runs the tests of a package and clears up behind them.
func (h *House) Run(m *testing.M) int {
	dir, err := os.MkdirTemp("", "fettlebook-house-")
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	h.dir = dir
	code := m.Run()
	for _, end := range slices.Backward(h.ends) {
		end()
	}
	if err := os.RemoveAll(dir); err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	return code
}

func (h *House) end(f func()) { h.ends = append(h.ends, f) }

// Program is the program's file.
func (h *House) Program(t *testing.T) string {
	t.Helper()
	h.mu.Lock()
	defer h.mu.Unlock()
	return h.build(t)
}

// build takes a copy of the program, which whoever builds it first leaves to the
// tests of other packages. What only serves to look into it is left out.
func (h *House) build(t *testing.T) string {
	t.Helper()
	program(t) // no browser, no need of it
	if h.bin == "" {
		file := filepath.Join(h.dir, "fettlebook")
		if out, err := exec.Command("go", "run", "-ldflags", "-s -w", "-exec", fmt.Sprintf(`sh -c 'cp "$0" %s'`, file), "fettlebook/cmd/fettlebook").CombinedOutput(); err != nil {
			t.Fatalf("build the program: %v\n%s", err, out)
		}
		h.bin = file
	}
	return h.bin
}

// Browser is the house's browser as somebody uses it who was never here
// before.
func (h *House) Browser(t *testing.T) *Browser {
	t.Helper()
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.browser == nil {
		h.browser = start(t, filepath.Join(h.dir, "profile"), h.end)
	}
	return h.browser.forSomebody(t)
}

// Shop is the house's shop, with its shelf stocked. What a test does in it
// the tests after it find there.
func (h *House) Shop(t *testing.T) *Shop {
	t.Helper()
	h.mu.Lock()
	defer h.mu.Unlock()
	s := *h.founded(t)
	s.t, s.end, s.dir = t, t.Cleanup, t.TempDir()
	return &s
}

// founded is the shop as it belongs to the house.
func (h *House) founded(t *testing.T) *Shop {
	t.Helper()
	if h.shop == nil {
		shop := open(t, h.build(t), filepath.Join(h.dir, "shop"), "Tin Lantern Finishing", h.end)
		shop.stock()
		h.shop = shop
	}
	return h.shop
}

// Bench is the tablet of the house's shop, at which tests work beside each other, each
// as somebody else. Who cuts its line, ends it, or counts what it holds takes a tablet
// of their own.
func (h *House) Bench(t *testing.T) *Program {
	t.Helper()
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.bench == nil {
		s := *h.founded(t)
		s.t = t
		h.bench = s.Tablet("bench 1")
	}
	b := *h.bench
	b.t = t
	return &b
}

// Somebody are the initials of one of the shop's people who did nothing yet.
func (h *House) Somebody(t *testing.T) string {
	t.Helper()
	h.mu.Lock()
	defer h.mu.Unlock()
	all := crew()
	if h.people == len(all) {
		t.Fatalf("all %d people of the shop are somebody already", len(all))
	}
	h.people++
	return all[h.people-1]
}

// Plate is the plate of a vehicle that was never here before.
func (h *House) Plate() string {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.plates++
	return fmt.Sprintf("TRL %d", 4470+h.plates)
}
