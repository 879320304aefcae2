package shoptest_test

import (
	"os"
	"testing"

	"fettlebook/journal/journaltest"

	"go.uber.org/goleak"
)

func TestMain(m *testing.M) {
	if os.Getenv(roleVariable) != "" {
		os.Exit(playRole())
	}
	journaltest.Roomy()
	goleak.VerifyTestMain(m)
}
