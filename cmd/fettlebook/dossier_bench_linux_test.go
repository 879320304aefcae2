package main

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/binary"
	"io"
	"iter"
	"log/slog"
	"os"
	"path/filepath"
	"slices"
	"syscall"
	"testing"
	"time"

	"fettlebook/cmd/internal/verdict"
	"fettlebook/journal"
	"fettlebook/journal/dossier"
	"fettlebook/journal/evidence"
	"fettlebook/journal/index"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/proof"
	"fettlebook/journal/shop"
	"fettlebook/journal/sqlitelog"
	"fettlebook/journal/worktest"
	"fettlebook/media"
	"fettlebook/media/mediatest"
	"fettlebook/media/photodir"
	"fettlebook/media/thumb"

	"github.com/disintegration/imaging"
)

// What the job of the benchmark has, about.
const (
	largeRounds        = 3
	largePhotos        = 120
	largeEntries       = 400
	largeCountersigned = 9
)

// bulk is a shop whose first job is a large one, with originals of 4 MB in a
// folder.
type bulk struct {
	*testing.B
	log    *sqlitelog.DB
	photos *photodir.Dir
	thumbs map[media.Ref][]byte
	shots  []journal.Photo
	raw    []byte    // of the newest scene
	small  media.Ref // its thumbnail
	job    journal.JobID
	folded *shop.Shop
}

// must ends the benchmark if something went wrong.
func (b *bulk) must(err error) {
	b.Helper()
	if err != nil {
		b.Fatal(err)
	}
}

func newBulk(tb *testing.B) *bulk {
	b := &bulk{B: tb, thumbs: make(map[media.Ref][]byte)}
	const seed = "a large job"
	var err error
	b.photos, err = photodir.Open(tb.TempDir())
	b.must(err)
	cosign, err := proof.NewKey(journaltest.Rand(seed+" cosign"), proof.CosignerName(worktest.Shop))
	b.must(err)
	watch := journaltest.NewWatch(journaltest.Morning().AddDate(1, 0, 0))
	b.log, err = worktest.Open(tb.Context(), filepath.Join(tb.TempDir(), "journal.db"), seed, watch)
	b.must(err)
	tb.Cleanup(func() { b.must(b.log.Close()) })
	history := decided(worktest.New(seed, worktest.Options{Cosign: cosign.Verifier(), Covers: true, Photo: b.shoot,
		Large: largeRounds, Opened: func(id journal.JobID) { b.job = id }}))
	b.must(worktest.Store(tb.Context(), withThumbs{b}, seed, history))
	for _, d := range worktest.Devices() {
		b.countersign(d, seed, cosign, watch)
	}
	idx, _, err := index.Open(tb.Context(), filepath.Join(tb.TempDir(), "index.db"), slog.New(slog.DiscardHandler))
	b.must(err)
	tb.Cleanup(func() { b.must(idx.Close()) })
	b.folded = shop.Open(journal.Authority{Shop: worktest.Shop, Hub: worktest.Office}, b.log, idx, slog.New(slog.DiscardHandler))
	b.must(b.folded.CatchUp(tb.Context()))
	return b
}

// decided ends a history with the decision on the complaint.
func decided(history iter.Seq2[journal.Logged, error]) iter.Seq2[journal.Logged, error] {
	return func(yield func(journal.Logged, error) bool) {
		for l, err := range history {
			if !yield(l, err) || err != nil || bytes.Contains(l.Bytes, []byte(`"`+journal.ClaimDecided)) {
				return
			}
		}
	}
}

// withThumbs brings the thumbnails along with what reaches the hub.
type withThumbs struct{ *bulk }

// Receive implements [journal.Receiver].
func (w withThumbs) Receive(ctx context.Context, s journal.Segment) (journal.Head, error) {
	s.Thumbs = w.thumbs
	return w.log.Receive(ctx, s)
}

// countersign has the hub sign a log every few entries, as when it came.
func (b *bulk) countersign(d journal.DeviceID, seed string, cosign proof.Key, watch *journaltest.Watch) {
	key, err := worktest.Key(seed, d)
	b.must(err)
	verifier, err := proof.Verifier(key.Verifier())
	b.must(err)
	head, err := b.log.Head(b.Context(), d)
	b.must(err)
	for size := int64(0); size < head.Size; {
		size = min(size+largeCountersigned, head.Size)
		root, err := b.log.RootAt(b.Context(), d, size)
		b.must(err)
		signed, err := proof.Sign(key.Signer(), size, root)
		b.must(err)
		c, err := proof.Open(signed, verifier)
		b.must(err)
		at := watch.Now().UTC().Truncate(time.Second)
		watch.Advance(time.Second)
		both, err := proof.Countersign(c, verifier, cosign.Cosigner(func() time.Time { return at }))
		b.must(err)
		b.must(b.log.SaveCountersigned(b.Context(), journal.Countersigned{Device: d, Size: size, At: at, Note: both}))
	}
}

// shoot takes the n-th photograph; those beyond the last are taken again, as
// entries cite one photograph several times. Each is a file of its own. Some show
// the same scene, since to draw and encode 120 would take longer than all else.
func (b *bulk) shoot(n int) journal.Photo {
	if n >= largePhotos {
		return b.shots[n%largePhotos]
	}
	if n%largeScenes == 0 {
		b.raw = scene(uint64(n / largeScenes))
	}
	// The end of a note makes each another file.
	raw := append([]byte{0xff, 0xd8, 0xff, 0xfe, 0, 6, 0, 0, 0, 0}, b.raw[2:]...)
	binary.BigEndian.PutUint32(raw[6:], uint32(n))
	p, err := media.Receive(b.Context(), b.photos, bytes.NewReader(raw), media.DefaultLimits())
	b.must(err)
	if n%largeScenes == 0 {
		small, _, err := thumb.FromOriginal(b.Context(), b.photos, p)
		b.must(err)
		b.thumbs[small.Ref], b.small = small.Bytes, small.Ref
	}
	shot := journal.Photo{Ref: p.Ref, Thumb: b.small}
	b.shots = append(b.shots, shot)
	return shot
}

// largeScenes is how many photographs are of one scene.
const largeScenes = 20

// scene is a photograph of about 4 MB: fields of colour with a camera's grain,
// where it was taken, and lying on its side.
func scene(seed uint64) []byte {
	img := imaging.Resize(mediatest.Fields(40, 30, seed), 3200, 2400, imaging.Linear)
	grain := mediatest.Noise(3200, 2400, seed)
	for i := range img.Pix {
		img.Pix[i] = byte(min(max(int(img.Pix[i])+int(grain.Pix[i])/8-16, 0), 255))
	}
	return mediatest.JPEG(img, 92, mediatest.Exif(mediatest.ExifTags{Orientation: 6, Location: true}))
}

// BenchmarkDossier builds the dossier of a large job, with its report as page and
// as PDF and the open formats, and checks it. What reading the photographs once
// takes and what hashing the file takes is measured in the same run and taken
// off. "s" is time, "cpu-s" the processor's, which other work on the machine does
// not lengthen; memory is the most that the system had given the program
// (VmHWM), counted anew before each of the two.
func BenchmarkDossier(tb *testing.B) {
	b := newBulk(tb)
	name := filepath.Join(tb.TempDir(), "large.zip")
	builder := dossier.Builder{Log: b.log, Thumbs: b.log, Originals: b.photos, Cards: b.log,
		Papers: []dossier.Papers{report{b.log, b.photos}, openForms{b.log}}}
	asked := dossier.Asked{Asked: evidence.Asked{Photos: evidence.Originals}}
	for tb.Loop() {
		var d *evidence.Dossier
		reading := spent(tb, func() { b.must(b.readAll()) })
		fresh(tb)
		build := spent(tb, func() {
			var err error
			d, err = builder.Write(tb.Context(), b.folded.View(tb.Context()), dossier.OfJob(b.job), asked, name)
			b.must(err)
		})
		built := resident(tb)
		hashing := spent(tb, func() { b.must(hashed(name)) })
		fresh(tb)
		var f evidence.Findings
		check := spent(tb, func() {
			var err error
			f, err = verdict.OfFile(tb.Context(), name, evidence.Trusted{}, nil)
			b.must(err)
		})
		checked := resident(tb)
		told := slices.ContainsFunc(f.Answer(evidence.Beyond).Findings, func(f evidence.Finding) bool { return f.Code == evidence.PapersUnknown })
		if says := f.Answer(evidence.Pictured).Says; f.Verdict == evidence.No || !told || len(d.Entries) < largeEntries || len(d.Photos) < largePhotos {
			tb.Fatalf("%d entries, %d photographs: %s %s %v", len(d.Entries), len(d.Photos), f.Says, says, d.Left)
		}
		tb.ReportMetric(float64(len(d.Entries)), "entries")
		tb.ReportMetric(float64(len(d.Photos)), "photographs")
		for name, took := range map[string][2]took{"build": {build, reading}, "verify": {check, hashing}} {
			tb.ReportMetric((took[0].time - took[1].time).Seconds(), "s-"+name+"-beyond")
			tb.ReportMetric((took[0].processor - took[1].processor).Seconds(), "cpu-s-"+name+"-beyond")
		}
		tb.ReportMetric(reading.processor.Seconds(), "cpu-s-reading")
		tb.ReportMetric(hashing.processor.Seconds(), "cpu-s-hashing")
		tb.ReportMetric(built, "MiB-build")
		tb.ReportMetric(checked, "MiB-verify")
	}
}

func (b *bulk) readAll() error {
	for ref, err := range b.photos.All(b.Context()) {
		if err != nil {
			return err
		}
		in, _, err := b.photos.Open(b.Context(), ref)
		if err != nil {
			return err
		}
		if _, err := io.Copy(io.Discard, in); err != nil {
			return err
		}
		if err := in.Close(); err != nil {
			return err
		}
	}
	return nil
}

func hashed(name string) error {
	f, err := os.Open(name)
	if err != nil {
		return err
	}
	defer f.Close()
	_, err = io.Copy(sha256.New(), f)
	return err
}

// took is how long something took, and how long the processor worked on it.
type took struct{ time, processor time.Duration }

func spent(tb testing.TB, do func()) took {
	begin, used := time.Now(), processor(tb)
	do()
	return took{time.Since(begin), processor(tb) - used}
}

func processor(tb testing.TB) time.Duration {
	var used syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &used); err != nil {
		tb.Fatal(err)
	}
	return time.Duration(used.Utime.Nano() + used.Stime.Nano())
}
