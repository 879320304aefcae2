package desk_test

import (
	"os"
	"testing"

	"fettlebook/cmd/internal/pages/browsertest"
	"fettlebook/journal/journaltest"
)

var house browsertest.House

func TestMain(m *testing.M) {
	journaltest.Roomy()
	os.Exit(house.Run(m))
}
