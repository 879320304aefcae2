package main

import (
	"runtime"
	"runtime/debug"
	"runtime/metrics"
	"testing"
	"time"
)

// The first collection is put off, and no other.
func TestUnhurried(t *testing.T) {
	t.Setenv("GOGC", "")
	before := debug.SetGCPercent(77)
	defer debug.SetGCPercent(before)
	unhurried()
	percent := func() uint64 {
		sample := []metrics.Sample{{Name: "/gc/gogc:percent"}}
		metrics.Read(sample)
		return sample[0].Value.Uint64()
	}
	if got := percent(); got != atFirst {
		t.Errorf("at first it collects at %d %%, want %d %%", got, atFirst)
	}
	runtime.GC()
	limit, again := time.After(3*time.Minute), time.NewTicker(time.Millisecond)
	defer again.Stop()
	for percent() != 77 {
		select {
		case <-limit:
			t.Fatalf("after a collection it collects at %d %%, want 77 %%", percent())
		case <-again.C:
		}
	}

	t.Setenv("GOGC", "50") // read at the start of a program; here it only says that somebody chose
	unhurried()
	if got := percent(); got != 77 {
		t.Errorf("where GOGC is set it collects at %d %%", got)
	}
}
