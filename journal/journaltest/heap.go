package journaltest

import (
	"flag"
	"os"
	"runtime/debug"
)

// Roomy lets garbage lie until it is four times what lives, here and in the programs that
// the tests start. Tests keep little and throw much away: where they fold again and again,
// up to a quarter of their work was to look for it. A TestMain calls it. What benchmarks measure is left as it
// is, and whoever sets GOGC has the last word.
func Roomy() {
	flag.Parse()
	if bench := flag.Lookup("test.bench"); bench != nil && bench.Value.String() != "" || os.Getenv("GOGC") != "" {
		return
	}
	debug.SetGCPercent(400)
	os.Setenv("GOGC", "400")
}
