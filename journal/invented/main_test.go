package invented_test

import (
	"os"
	"testing"

	"fettlebook/journal/journaltest"
)

func TestMain(m *testing.M) {
	journaltest.Roomy()
	os.Exit(m.Run())
}
