package dossier_test

import (
	"bytes"
	"context"
	"errors"
	"io"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
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
	"fettlebook/media"
)

// changed is a log in which somebody changed one entry.
type changed struct {
	*sqlitelog.DB
	at          journal.Position
	by, becomes string // who wrote it, and who is said to have
}

func (c changed) Pick(ctx context.Context, at []journal.Position) ([]journal.Logged, error) {
	list, err := c.DB.Pick(ctx, at)
	for i := range list {
		if list[i].Position == c.at {
			list[i].Bytes = bytes.Replace(list[i].Bytes, []byte(`"by":"`+c.by+`"`), []byte(`"by":"`+c.becomes+`"`), 1)
		}
	}
	return list, err
}

// change returns the office with one entry under a job's seal changed.
func (o *office) change(j *record.Job) changed {
	o.t.Helper()
	for _, l := range j.Timeline() {
		if (l.By == "jr" || l.By == "mk") && l.Subject.Run() == "" {
			return changed{o.log, l.Position(), string(l.By), map[journal.PersonID]string{"jr": "mk", "mk": "jr"}[l.By]}
		}
	}
	o.t.Fatal("nobody wrote anything")
	return changed{}
}

// A seal that does not fit stops the build with a sentence, unless somebody
// insists; then whoever checks it finds it out.
func TestBrokenSeal(t *testing.T) {
	o := newOffice(t, 700)
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
	o := newOffice(t, 700)
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
	o := newOffice(t, 700)
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

// weighty says of photographs that each has so many bytes.
type weighty struct {
	dossier.Originals
	each int64
}

func (w weighty) Open(ctx context.Context, ref media.Ref) (io.ReadSeekCloser, int64, error) {
	in, _, err := w.Originals.Open(ctx, ref)
	return in, w.each, err
}

// What no bag holds is refused before a photograph is read, with a sentence
// that does not contradict itself.
func TestTooLarge(t *testing.T) {
	o := newOffice(t, 700)
	j := o.jobs(record.Sealed)[0]
	b := o.builder()
	_, d := o.unpack(o.build(dossier.OfJob(j.ID), originals()))
	packed := int64(0)
	for _, p := range d.Photos {
		if p.Original || !p.Copy.IsZero() {
			packed++
		}
	}
	b.Originals = weighty{o.photos, (bag.MaxBytes - 200<<20) / packed}
	var large *dossier.TooLarge
	if _, err := b.Build(o.ctx, o.folded.View(o.ctx), dossier.OfJob(j.ID), originals(), io.Discard); !errors.As(err, &large) || !strings.Contains(large.Sentence, "come to 4.1 GB, and a dossier takes at most 4.0 GB") {
		t.Errorf("built: %v", err)
	}
}

// sparse is a log that counts what is read of the hub's signatures, and may
// have lost entries.
type sparse struct {
	*sqlitelog.DB
	read int
	lost bool
}

func (s *sparse) CountersignedSince(ctx context.Context, device journal.DeviceID, size int64, most int) ([]journal.Countersigned, error) {
	list, err := s.DB.CountersignedSince(ctx, device, size, most)
	s.read += len(list)
	return list, err
}

func (s *sparse) Pick(ctx context.Context, at []journal.Position) ([]journal.Logged, error) {
	list, err := s.DB.Pick(ctx, at)
	if s.lost && len(list) > 0 {
		list = list[1:]
	}
	return list, err
}

// Of the hub's signatures only those are read that are taken along, however
// many there are by now.
func TestReadsFewSignatures(t *testing.T) {
	o := newOffice(t, 900)
	b, log := o.builder(), &sparse{DB: o.log}
	b.Log = log
	d, err := b.Build(o.ctx, o.folded.View(o.ctx), dossier.OfJob(o.jobs(record.Sealed)[0].ID), originals(), io.Discard)
	o.must(err)
	states := 0
	for _, l := range d.Logs {
		states += len(l.States)
	}
	if log.read > states {
		t.Errorf("%d signatures were read for %d states", log.read, states)
	}
}

// Entries that are gone from the journal are told as such.
func TestEntriesGone(t *testing.T) {
	o := newOffice(t, 700)
	b := o.builder()
	b.Log = &sparse{DB: o.log, lost: true}
	if _, err := b.Build(o.ctx, o.folded.View(o.ctx), dossier.OfJob(o.jobs(record.Open)[0].ID), originals(), io.Discard); !errors.Is(err, shop.ErrGone) {
		t.Errorf("built: %v", err)
	}
}
