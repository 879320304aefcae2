//go:build unix

package shop_test

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"runtime/debug"
	"strings"
	"testing"
	"time"

	"fettlebook/journal/journaltest"
	"fettlebook/journal/record"
)

// serveFolder tells this program to be a process that serves a folder.
const serveFolder = "FETTLEBOOK_BENCH_SERVE"

func TestMain(m *testing.M) {
	begun := time.Now()
	if log := os.Getenv(serveFolder); log != "" {
		if err := serve(context.Background(), log, begun); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		return
	}
	journaltest.Histories(15)
	journaltest.Roomy()
	os.Exit(m.Run())
}

// visit is what a process that serves says of itself.
type visit struct {
	FirstPage time.Duration
	Spent     time.Duration // of it on processors
	Resident  int           // KiB
}

// serve serves a folder until somebody looked at the first page and at two
// hundred jobs.
func serve(ctx context.Context, log string, begun time.Time) error {
	debug.SetMemoryLimit(104 << 20) // as a tablet's program has it
	p, err := openProcess(ctx, log)
	if err != nil {
		return err
	}
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	ended := make(chan error, 1)
	go func() { ended <- p.shop.Run(ctx, p.log) }()
	if err := p.shop.Ready(ctx); err != nil {
		return err
	}
	var said visit
	v := p.shop.View(ctx)
	list := v.Open(40)
	for _, j := range list {
		v.Standing(j.ID)
	}
	said.FirstPage, said.Spent = time.Since(begun), spent()
	for _, j := range v.Summaries(200, record.Sealed) {
		page := p.shop.View(ctx) // as each page has one of its own, which keeps what it looked at
		page.Standing(j.Job)
		if err := page.Err(); err != nil {
			return err
		}
	}
	if said.Resident, err = resident(); err != nil {
		return err
	}
	stop()
	if err := errors.Join(v.Err(), <-ended, p.Close()); err != nil {
		return err
	}
	return json.NewEncoder(os.Stdout).Encode(said)
}

// resident is how much memory this process has, in KiB.
func resident() (n int, err error) {
	raw, err := os.ReadFile("/proc/self/status")
	if err != nil {
		return 0, err
	}
	for line := range strings.Lines(string(raw)) {
		if text, ok := strings.CutPrefix(line, "VmRSS:"); ok {
			_, err = fmt.Sscanf(text, "%d kB", &n)
			return n, err
		}
	}
	return 0, errors.New("the kernel does not say how much memory this process has")
}
