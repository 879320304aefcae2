package dossier_test

import (
	"fmt"
	"os"
	"testing"

	"fettlebook/journal/journaltest"
)

func TestMain(m *testing.M) {
	journaltest.Roomy()
	os.Exit(run(m))
}

// run runs the tests beside a folder for the histories that they begin behind.
func run(m *testing.M) int {
	dir, err := os.MkdirTemp("", "dossier-*")
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	defer os.RemoveAll(dir)
	histories.dir = dir
	return m.Run()
}
