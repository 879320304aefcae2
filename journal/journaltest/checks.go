package journaltest

import (
	"flag"
	"fmt"
	"os"
	"strconv"
)

// Histories has the property tests of a package try so many histories, whose making
// takes long. With FETTLEBOOK_HISTORIES=all they try as many as they do elsewhere,
// and -rapid.checks has the last word. A TestMain calls it before all that reads
// flags.
func Histories(n int) {
	if os.Getenv("FETTLEBOOK_HISTORIES") == "all" {
		return
	}
	if err := flag.Set("rapid.checks", strconv.Itoa(n)); err != nil {
		panic(fmt.Sprintf("no test of this package is of properties: %v", err))
	}
}
