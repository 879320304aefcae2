package demo

import (
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"
)

// TestClock: all who read one clock agree, it runs between its steps, and
// neither a step back nor a broken line moves it back.
func TestClock(t *testing.T) {
	own := time.Date(2031, 1, 1, 3, 0, 0, 0, time.UTC)
	machine := func() time.Time { return own }
	file := filepath.Join(t.TempDir(), "clock")
	begin := time.Date(2026, 3, 24, 7, 40, 0, 0, time.UTC)
	set, err := SetClock(file, begin, machine)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { set.Close() })
	read, err := ReadClock(file, machine)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { read.Close() })
	both := func(want time.Time) {
		t.Helper()
		if a, b := set.Now(), read.Now(); !a.Equal(want) || !b.Equal(want) {
			t.Errorf("the clocks show %v and %v, want %v", a, b, want)
		}
	}
	both(begin)
	own = own.Add(1500 * time.Millisecond)
	both(begin.Add(1500 * time.Millisecond))
	if err := set.Until(begin.Add(25 * time.Minute)); err != nil {
		t.Fatal(err)
	}
	both(begin.Add(25 * time.Minute))
	if err := set.Until(begin); err != nil {
		t.Fatal(err)
	}
	both(begin.Add(25 * time.Minute))

	raw, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if lines := strings.Count(string(raw), "\n"); lines != 2 || len(raw) != 2*stepWidth {
		t.Errorf("two steps are %d lines and %d bytes", lines, len(raw))
	}
	if err := os.WriteFile(file, append(raw, "+0000"...), 0o600); err != nil {
		t.Fatal(err)
	}
	both(begin.Add(25 * time.Minute))
}

// TestClockNeverRunsBack reads while the clock is being set.
func TestClockNeverRunsBack(t *testing.T) {
	file := filepath.Join(t.TempDir(), "clock")
	begin := time.Date(2026, 3, 24, 7, 40, 0, 0, time.UTC)
	set, err := SetClock(file, begin, time.Now)
	if err != nil {
		t.Fatal(err)
	}
	defer set.Close()
	var readers sync.WaitGroup
	done := make(chan struct{})
	for range 2 {
		read, err := ReadClock(file, time.Now)
		if err != nil {
			t.Fatal(err)
		}
		readers.Go(func() {
			defer read.Close()
			for last := read.Now(); ; {
				select {
				case <-done:
					return
				default:
				}
				now := read.Now()
				if now.Before(last) || now.Sub(last) < 0 {
					t.Errorf("%v comes after %v", now, last)
					return
				}
				last = now
			}
		})
	}
	for i := range 500 {
		if err := set.Until(begin.Add(time.Duration(i) * time.Minute)); err != nil {
			t.Error(err)
		}
	}
	close(done)
	readers.Wait()
}

func TestReadClockRefuses(t *testing.T) {
	dir := t.TempDir()
	for name, text := range map[string]string{"empty": "", "short": "+00", "words": strings.Repeat("x", stepWidth)} {
		file := filepath.Join(dir, name)
		if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		if _, err := ReadClock(file, time.Now); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
	if _, err := ReadClock(filepath.Join(dir, "missing"), time.Now); err == nil {
		t.Error("a file that is not there: no error")
	}
	if _, err := SetClock(filepath.Join(dir, "words"), time.Now(), time.Now); err == nil {
		t.Error("a file that is there: no error")
	}
}
