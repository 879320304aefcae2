// Package day has the tests of the pages of a day that was worked: every page of them is
// looked at, and people who have never seen one are given tasks.
package day_test

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
