package folder_test

import (
	"crypto/rand"
	"testing"
	"time"

	"fettlebook/cmd/internal/folder"
	"fettlebook/journal"
)

// Under Linux the running clock is the machine's: it goes on from one start of
// the program to the next, so that a time between two commands is proven though
// nothing ran in between.
func TestTheMachinesClockRunsOnBetweenCommands(t *testing.T) {
	dir := found(t)
	var last *journal.Entry
	for range 2 {
		f, err := folder.Open(t.Context(), dir, folder.Options{Now: time.Now, Rand: rand.Reader})
		if err != nil {
			t.Fatal(err)
		}
		e, err := f.Append(t.Context(), journal.Draft{Subject: "job/4f7kk2m9", By: "io", Data: &journal.Remark{Evidence: journal.Evidence{Note: "looked"}}})
		if err != nil {
			t.Fatal(err)
		}
		if err := f.Close(); err != nil {
			t.Fatal(err)
		}
		if last != nil && (e.Boot != last.Boot || e.Uptime < last.Uptime) {
			t.Errorf("the second command wrote %s after %v, the first %s after %v", e.Boot, time.Duration(e.Uptime), last.Boot, time.Duration(last.Uptime))
		}
		last = e
	}
}
