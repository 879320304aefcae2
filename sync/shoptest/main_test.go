package shoptest_test

import (
	"os"
	"testing"

	"go.uber.org/goleak"
)

func TestMain(m *testing.M) {
	if os.Getenv(roleVariable) != "" {
		os.Exit(playRole())
	}
	goleak.VerifyTestMain(m)
}
