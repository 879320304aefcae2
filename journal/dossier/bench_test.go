package dossier_test

import (
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"io"
	"path/filepath"
	"runtime/metrics"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/dossier"
	"fettlebook/journal/proof"
	"fettlebook/journal/worktest"
	"fettlebook/media"
	"fettlebook/media/mediatest"
	"fettlebook/media/photodir"
)

// The job of the benchmark.
const large journal.JobID = "l4rgej0b"

// How much it has.
const (
	largeEntries = 400
	largePhotos  = 120
)

// largeJob writes a job of many entries and photographs of 4 MB into an office
// and returns where the originals are.
func largeJob(b *testing.B, o *office) *photodir.Dir {
	b.Helper()
	dir, err := photodir.Open(b.TempDir())
	o.must(err)
	picture := mediatest.JPEG(mediatest.Noise(2300, 1750, 1), 89, mediatest.Exif(mediatest.ExifTags{Orientation: 6, Location: true}))
	if n := len(picture); n < 35<<17 || n > 45<<17 {
		b.Logf("a photograph has %d bytes", n)
	}
	about := journal.About(large, "", "")
	o.write(journal.Draft{Subject: about, By: "io", Data: &journal.Job{Vehicle: journal.Vehicle{Plate: "LG 4000"}}})
	at := []journal.Position{}
	for i := range largeEntries {
		d := journal.Draft{Subject: journal.About(large, journal.LeftFront, "caliper"), By: "jr", Data: &journal.Remark{Evidence: journal.Evidence{Note: fmt.Sprintf("step %d", i)}}}
		if i < largePhotos {
			thumb := mediatest.JPEG(mediatest.Noise(120, 90, uint64(i)), 80, nil)
			// The end of the notes' place makes each another file.
			raw := bytes.Clone(picture)
			raw = append(raw[:2], append([]byte{0xff, 0xfe, 0, 6, 0, 0, 0, 0}, raw[2:]...)...)
			binary.BigEndian.PutUint32(raw[6:], uint32(i))
			p, err := media.Receive(o.ctx, dir, bytes.NewReader(raw), media.DefaultLimits())
			o.must(err)
			d.Data = &journal.Snapshot{Evidence: journal.Evidence{Photos: []journal.Photo{{Ref: p.Ref, Thumb: media.RefOf(thumb), Role: "step"}}}}
			d.Thumbs = [][]byte{thumb}
		}
		_, err := o.log.Append(o.ctx, d)
		o.must(err)
		if i%9 == 0 {
			o.countersign(worktest.Office)
		}
	}
	o.countersign(worktest.Office)
	o.must(o.folded.CatchUp(o.ctx))
	var entries [][]byte
	for _, l := range o.folded.View(o.ctx).Job(large).Timeline() {
		at = append(at, l.Position())
	}
	logged, err := o.log.Pick(o.ctx, at)
	o.must(err)
	by := make(map[journal.Position][]byte)
	for _, l := range logged {
		by[l.Position] = l.Bytes
	}
	for _, p := range at {
		entries = append(entries, by[p])
	}
	o.write(journal.Draft{Subject: about, By: "hub", Data: &journal.Seal{Root: proof.Seal(entries), Entries: len(entries), Covers: journal.Stretches(at)}})
	return dir
}

// BenchmarkBuild builds the dossier of a large job, without location and with
// it. What reading the photographs once takes is measured beside it.
func BenchmarkBuild(b *testing.B) {
	o := newOffice(b, "bench", 3000)
	dir := largeJob(b, o)
	for _, location := range []bool{false, true} {
		b.Run(fmt.Sprintf("location=%v", location), func(b *testing.B) {
			asked := originals()
			asked.Location = location
			builder := o.builder()
			builder.Originals = dir
			begin := time.Now()
			o.must(readAll(b.Context(), dir))
			reading := time.Since(begin)
			peak := watchMemory(b)
			for b.Loop() {
				o.done(builder.Write(b.Context(), o.folded.View(b.Context()), dossier.OfJob(large), asked, filepath.Join(b.TempDir(), "large.zip")))
			}
			b.ReportMetric(reading.Seconds(), "s-reading")
			b.ReportMetric(b.Elapsed().Seconds()/float64(b.N)-reading.Seconds(), "s-beyond")
			b.ReportMetric(float64(peak())/(1<<20), "MiB-peak")
		})
	}
}

func readAll(ctx context.Context, dir *photodir.Dir) error {
	for ref, err := range dir.All(ctx) {
		if err != nil {
			return err
		}
		in, _, err := dir.Open(ctx, ref)
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

// watchMemory samples how much memory the program has from the system, until
// it is asked for the most.
func watchMemory(b *testing.B) func() uint64 {
	sample := []metrics.Sample{{Name: "/memory/classes/heap/objects:bytes"}}
	var most uint64
	done, stopped := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(stopped)
		tick := time.NewTicker(5 * time.Millisecond)
		defer tick.Stop()
		for {
			metrics.Read(sample)
			most = max(most, sample[0].Value.Uint64())
			select {
			case <-done:
				return
			case <-tick.C:
			}
		}
	}()
	return func() uint64 { close(done); <-stopped; return most }
}
