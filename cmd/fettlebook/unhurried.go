package main

import (
	"os"
	"runtime"
	"runtime/debug"
)

// atFirst is how large the heap may become before it is collected for the first time, in
// percent of the 4 MiB from which Go counts: 32 MiB, in which most commands end.
const atFirst = 800

// unhurried puts the first collection off, behind which everything is as usual: of a command
// that looks at one job a fifth of its time went into collecting what ended with it a moment
// later. Who sets GOGC decides otherwise.
func unhurried() {
	if os.Getenv("GOGC") != "" {
		return
	}
	usual := debug.SetGCPercent(atFirst)
	type lost struct{ *lost } // small things that hold no pointer share a place, and are not lost one by one
	runtime.AddCleanup(new(lost), func(percent int) { debug.SetGCPercent(percent) }, usual)
}
