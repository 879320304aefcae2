package dossier_test

import (
	"bytes"
	"context"
	"errors"
	"io"
	"log/slog"
	"os"
	"path/filepath"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/bag"
	"fettlebook/journal/dossier"
	"fettlebook/journal/evidence"
	"fettlebook/journal/index"
	"fettlebook/journal/record"
	"fettlebook/journal/shop"
	"fettlebook/journal/sqlitelog"
	"fettlebook/journal/worktest"
)

// changed is a log in which somebody changed one entry.
type changed struct {
	*sqlitelog.DB
	at journal.Position
}

func (c changed) Pick(ctx context.Context, at []journal.Position) ([]journal.Logged, error) {
	list, err := c.DB.Pick(ctx, at)
	for i := range list {
		if list[i].Position == c.at {
			list[i].Bytes = bytes.Replace(list[i].Bytes, []byte(`"by":"jr"`), []byte(`"by":"mk"`), 1)
		}
	}
	return list, err
}

// change returns the office with one entry under a job's seal changed.
func (o *office) change(j *record.Job) changed {
	o.t.Helper()
	for _, l := range j.Timeline() {
		if l.By == "jr" && l.Subject.Run() == "" {
			return changed{o.log, l.Position()}
		}
	}
	o.t.Fatal("JR wrote nothing")
	return changed{}
}

// A seal that does not fit stops the build with a sentence, unless somebody
// insists; then whoever checks it finds it out.
func TestBrokenSeal(t *testing.T) {
	o := newOffice(t, "broken", 700)
	j := o.jobs(record.Sealed)[0]
	log := o.change(j)
	idx, _, err := index.Open(o.ctx, filepath.Join(t.TempDir(), "index.db"), slog.New(slog.DiscardHandler))
	o.must(err)
	defer idx.Close()
	s := shop.Open(journal.Authority{Shop: worktest.Shop, Hub: worktest.Office}, log, idx, slog.New(slog.DiscardHandler))
	o.must(s.CatchUp(o.ctx))
	b := o.builder()
	b.Log = log
	file := filepath.Join(t.TempDir(), "a.zip")
	var broken *dossier.Broken
	if _, err := b.Write(o.ctx, s.View(o.ctx), dossier.OfJob(j.ID), originals(), file); !errors.As(err, &broken) {
		t.Fatalf("built: %v", err)
	}
	if _, err := os.Stat(file); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("the file is there: %v", err)
	}
	asked := originals()
	asked.Broken = true
	var out bytes.Buffer
	o.done(b.Build(o.ctx, s.View(o.ctx), dossier.OfJob(j.ID), asked, &out))
	packed, err := bag.Open(bytes.NewReader(out.Bytes()), int64(out.Len()))
	o.must(err)
	f, err := evidence.Verify(o.ctx, packed, evidence.Trusted{Receipt: o.receipt(j)}, nil)
	o.must(err)
	if f.Verdict != evidence.No || f.Answer(evidence.Complete).Verdict != evidence.No || f.Answer(evidence.Signed).Verdict != evidence.No {
		t.Errorf("verified all the same: %s", f.Says)
	}
}

// An entry that is not under any seal and is not the one that was signed stops
// it too.
func TestNotTheSignedOne(t *testing.T) {
	o := newOffice(t, "unsigned", 700)
	j := o.jobs(record.Open)[0]
	b := o.builder()
	b.Log = o.change(j)
	var broken *dossier.Broken
	if _, err := b.Build(o.ctx, o.folded.View(o.ctx), dossier.OfJob(j.ID), originals(), io.Discard); !errors.As(err, &broken) {
		t.Errorf("built: %v", err)
	}
}

// Cancelled anywhere it stops at once and leaves what was there.
func TestCancelled(t *testing.T) {
	o := newOffice(t, "cancelled", 700)
	j := o.jobs(record.Sealed)[0]
	dir := t.TempDir()
	file := filepath.Join(dir, "a.zip")
	if err := os.WriteFile(file, []byte("before"), 0o600); err != nil {
		t.Fatal(err)
	}
	steps := 0
	b := o.builder()
	b.Progress = func(dossier.Progress) { steps++ }
	o.done(b.Build(o.ctx, o.folded.View(o.ctx), dossier.OfJob(j.ID), originals(), io.Discard))
	for stop := 1; stop < steps; stop += max(1, steps/12) {
		ctx, cancel := context.WithCancel(o.ctx)
		n, after := 0, 0
		b.Progress = func(dossier.Progress) {
			if n++; n == stop {
				cancel()
			} else if n > stop {
				after++
			}
		}
		_, err := b.Write(ctx, o.folded.View(ctx), dossier.OfJob(j.ID), originals(), file)
		cancel()
		if !errors.Is(err, context.Canceled) {
			t.Errorf("cancelled at step %d of %d: %v", stop, steps, err)
		}
		if after > 1 {
			t.Errorf("cancelled at step %d, it went on for %d", stop, after)
		}
		if raw, err := os.ReadFile(file); err != nil || string(raw) != "before" {
			t.Errorf("cancelled at step %d, the file has %d bytes (%v)", stop, len(raw), err)
		}
		if left, err := os.ReadDir(dir); err != nil || len(left) != 1 {
			t.Errorf("cancelled at step %d, in the folder lie %v (%v)", stop, left, err)
		}
	}
	o.done(o.builder().Write(o.ctx, o.folded.View(o.ctx), dossier.OfJob(j.ID), originals(), file))
	if raw, err := os.ReadFile(file); err != nil || len(raw) < 1000 {
		t.Errorf("the file has %d bytes (%v)", len(raw), err)
	}
}
