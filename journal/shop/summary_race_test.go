package shop_test

import (
	"context"
	"fmt"
	"runtime"
	"sync"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/record"
	"fettlebook/journal/shop"
)

// slow are logs whose reader lets everybody else work before each look.
type slow struct{ *logs }

func (l slow) Pick(ctx context.Context, at []journal.Position) ([]journal.Logged, error) {
	for range 200 {
		runtime.Gosched()
	}
	return l.logs.Pick(ctx, at)
}

// Summaries are worked out while the shop takes in what changes them. A job that
// was handed back is listed so afterwards: nothing else would ever have its
// record sealed.
func TestNoSummaryStaysOld(t *testing.T) {
	w := newWriters(t)
	s, idx := openWith(t, slow{w.logs}, t.TempDir())
	defer idx.Close()
	ctx, end := context.WithCancel(t.Context())
	var working sync.WaitGroup
	defer working.Wait()
	defer end()
	for range 2 {
		working.Go(func() {
			for ctx.Err() == nil {
				if _, err := shop.SummarizeAll(s, ctx); err != nil && ctx.Err() == nil {
					t.Error(err)
					return
				}
			}
		})
	}
	for n := range 40 {
		job := journal.JobID(fmt.Sprintf("j0b%05d", n))
		w.drafted("bench-1", opened(job, "", fmt.Sprint("AB ", n)))
		if err := s.Follow(t.Context()); err != nil {
			t.Fatal(err)
		}
		if j := s.View(t.Context()).Job(job); j == nil || j.State != record.Open { // and it is kept
			t.Fatalf("job %s is %+v", job, j)
		}
		w.drafted("bench-1", journal.Draft{Subject: journal.About(job, "", ""), Data: &journal.Release{}})
		if err := s.Follow(t.Context()); err != nil {
			t.Fatal(err)
		}
	}
	end()
	working.Wait()
	if _, err := shop.SummarizeAll(s, t.Context()); err != nil {
		t.Fatal(err)
	}
	v := s.View(t.Context())
	for n := range 40 {
		job := journal.JobID(fmt.Sprintf("j0b%05d", n))
		if one, ok := v.Summary(job); !ok || one.State != record.HandedBack {
			t.Errorf("job %s is listed as %q", job, one.State)
		}
	}
}

// A listing brings a part of many summaries up to date itself. Who listed is told
// when the background has done the rest, however few are left.
func TestWhoListedEarlyLooksAgain(t *testing.T) {
	w := newWriters(t)
	const jobs = 70
	for n := range jobs {
		w.drafted("bench-1", opened(journal.JobID(fmt.Sprintf("j0b%05d", n)), "", fmt.Sprint("AB ", n)))
	}
	s, idx := open(t, w.logs, t.TempDir())
	defer idx.Close()
	if err := s.Follow(t.Context()); err != nil {
		t.Fatal(err)
	}
	_, changed := s.Now()
	if n := len(s.View(t.Context()).Summaries(jobs, record.Open)); n == jobs || n == 0 {
		t.Fatalf("%d jobs are listed at once", n)
	}
	select {
	case <-shop.Due(s):
	default:
		t.Error("the background is not asked for the rest")
	}
	if err := shop.BringUp(s, t.Context()); err != nil {
		t.Fatal(err)
	}
	select {
	case <-changed:
	default:
		t.Error("nobody is told that there are more")
	}
	_, changed = s.Now()
	if n := len(s.View(t.Context()).Summaries(jobs, record.Open)); n != jobs {
		t.Errorf("%d jobs are listed, not %d", n, jobs)
	}
	if err := shop.BringUp(s, t.Context()); err != nil {
		t.Fatal(err)
	}
	select {
	case <-changed:
		t.Error("everybody is told of nothing")
	default:
	}
}
