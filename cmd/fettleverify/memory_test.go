//go:build linux

package main

import (
	"os"
	"regexp"
	"strconv"
	"testing"
)

// memory is the most that a program held in memory, by what the system says.
func memory(t *testing.T, file string) int64 {
	t.Helper()
	known, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	peak := regexp.MustCompile(`VmHWM:\s+(\d+) kB`).FindSubmatch(known)
	if peak == nil {
		t.Fatalf("the system does not say how much memory it was: %s", known)
	}
	n, err := strconv.ParseInt(string(peak[1]), 10, 64)
	if err != nil {
		t.Fatal(err)
	}
	return n << 10
}
