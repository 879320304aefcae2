package main

import (
	"os"
	"regexp"
	"runtime/debug"
	"strconv"
	"testing"
)

// fresh gives memory back to the system, which then counts anew how much of it
// the program holds at most.
func fresh(tb testing.TB) {
	debug.FreeOSMemory()
	if err := os.WriteFile("/proc/self/clear_refs", []byte("5"), 0o600); err != nil {
		tb.Fatal(err)
	}
}

// resident is the most memory, in MiB, that the program held since.
func resident(tb testing.TB) float64 {
	status, err := os.ReadFile("/proc/self/status")
	if err != nil {
		tb.Fatal(err)
	}
	found := regexp.MustCompile(`VmHWM:\s+(\d+) kB`).FindSubmatch(status)
	if found == nil {
		tb.Fatal("the system does not say how much memory is held")
	}
	kb, err := strconv.ParseFloat(string(found[1]), 64)
	if err != nil {
		tb.Fatal(err)
	}
	return kb / 1024
}
