package main

import (
	"os"
	"runtime/debug"
)

// What a running program should get along with. These are not hard limits:
// beyond them the collector works harder before memory grows further. What is
// kept for the next reader is bounded, however large the shop is; the database
// keeps its pages beside this.
const (
	hubMemory    = 256 << 20
	tabletMemory = 104 << 20
)

// modest keeps a long-running program small: a tablet has little memory and
// other things to do. Who sets GOMEMLIMIT decides otherwise.
func modest(bytes int64) {
	if os.Getenv("GOMEMLIMIT") == "" {
		debug.SetMemoryLimit(bytes)
	}
}
