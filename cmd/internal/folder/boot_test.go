package folder_test

import (
	"crypto/rand"
	"testing"
	"time"

	"fettlebook/cmd/internal/folder"
	"fettlebook/journal"
)

// By a clock that was set, each start of the program is a start of its own, and
// the running time counts from there: that of the machine would say that hours
// passed in no time, or run back after the program was started again.
func TestASetClockIsAStartOfItsOwn(t *testing.T) {
	dir := found(t)
	now := time.Date(2026, 5, 12, 8, 10, 0, 0, time.UTC)
	o := folder.Options{Now: func() time.Time { return now }, SetClock: true, Rand: rand.Reader}
	write := func(f *folder.Folder) *journal.Entry {
		t.Helper()
		e, err := f.Append(t.Context(), journal.Draft{Subject: "job/4f7kk2m9", By: "io", Data: &journal.Remark{Evidence: journal.Evidence{Note: "looked"}}})
		if err != nil {
			t.Fatal(err)
		}
		return e
	}
	var starts []*journal.Entry
	for range 2 {
		f, err := folder.Open(t.Context(), dir, o)
		if err != nil {
			t.Fatal(err)
		}
		first := write(f)
		now = now.Add(25 * time.Minute)
		then := write(f)
		if first.Boot != then.Boot || time.Duration(then.Uptime-first.Uptime) != 25*time.Minute || first.Uptime != 0 {
			t.Errorf("start %s at %v, then %s at %v", first.Boot, first.Uptime, then.Boot, then.Uptime)
		}
		starts = append(starts, then)
		if err := f.Close(); err != nil {
			t.Fatal(err)
		}
	}
	if starts[0].Boot == starts[1].Boot {
		t.Error("two starts by a clock that was set are one")
	}
}
