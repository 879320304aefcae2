package figure_test

import (
	"os"
	"testing"

	"fettlebook/journal/journaltest"
)

func TestMain(m *testing.M) {
	journaltest.Histories(25)
	journaltest.Roomy()
	os.Exit(m.Run())
}
