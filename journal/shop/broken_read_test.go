package shop_test

import (
	"context"
	"errors"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/record"
)

// fragile are logs of which a read fails once.
type fragile struct {
	*logs
	breaks bool
}

var errRead = errors.New("the disk did not answer")

func (l *fragile) Pick(ctx context.Context, at []journal.Position) ([]journal.Logged, error) {
	if l.breaks {
		l.breaks = false
		return nil, errRead
	}
	return l.logs.Pick(ctx, at)
}

// A read that fails while the shop takes something in leaves nothing behind that
// is of before.
func TestAReadThatFailsOnce(t *testing.T) {
	const job = journal.JobID("j0b00001")
	w := newWriters(t)
	l := &fragile{logs: w.logs}
	s, idx := openWith(t, l, t.TempDir())
	defer idx.Close()
	follow := func() {
		t.Helper()
		if err := s.Follow(t.Context()); err != nil {
			t.Fatal(err)
		}
	}
	breaks := func() {
		t.Helper()
		l.breaks = true
		if err := s.Follow(t.Context()); !errors.Is(err, errRead) {
			t.Fatalf("it followed (%v)", err)
		}
		follow()
	}
	w.drafted("hub", opened(job, "", "AB 1"))
	w.drafted("hub", journal.Draft{Subject: "person/io", Data: &journal.Person{Person: "io", Initials: "IO"}})
	follow()
	if j := s.View(t.Context()).Job(job); j == nil || j.State != record.Open {
		t.Fatalf("the job is %+v", j)
	}

	w.drafted("hub", journal.Draft{Subject: journal.About(job, "", ""), Data: &journal.Release{}})
	breaks()
	if j := s.View(t.Context()).Job(job); j.State != record.HandedBack {
		t.Errorf("the job is %s", j.State)
	}

	l.countersign("hub", w.watch.Now())
	breaks()
	if p := s.View(t.Context()).Shop.People[0]; p.Lines[0].Clocks.Received == (journal.Stamp{}) {
		t.Error("nobody knows when the hub had the person's entry")
	}
}
