package main

import (
	"os"
	"runtime/debug"
)

// What a running program should get along with. These are no hard limits:
// beyond them the collector works harder before memory grows further.
const (
	hubMemory    = 180 << 20
	tabletMemory = 90 << 20
)

// modest keeps a long-running program small: a tablet has little memory and
// other things to do. Who sets GOMEMLIMIT decides otherwise.
func modest(bytes int64) {
	if os.Getenv("GOMEMLIMIT") == "" {
		debug.SetMemoryLimit(bytes)
	}
}
