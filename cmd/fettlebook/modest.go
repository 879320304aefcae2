package main

import (
	"os"
	"runtime/debug"
)

// What a running program should get along with. These are no hard limits:
// beyond them the collector works harder before memory grows further. The
// pages keep the whole record in memory, some 200 MiB for 90 000 entries; a
// limit below what is in use would have the collector run all the time.
const (
	hubMemory    = 480 << 20
	tabletMemory = 320 << 20
)

// modest keeps a long-running program small: a tablet has little memory and
// other things to do. Who sets GOMEMLIMIT decides otherwise.
func modest(bytes int64) {
	if os.Getenv("GOMEMLIMIT") == "" {
		debug.SetMemoryLimit(bytes)
	}
}
