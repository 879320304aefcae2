package sqlitelog_test

import (
	"os"
	"testing"

	"fettlebook/journal/journaltest"

	"go.uber.org/goleak"
)

// TestMain also is the program that the kill test kills. In all other runs a
// goroutine that a closed database left behind fails the package.
func TestMain(m *testing.M) {
	if path := os.Getenv(victimPath); path != "" {
		os.Exit(victim(path))
	}
	journaltest.Roomy()
	goleak.VerifyTestMain(m)
}
