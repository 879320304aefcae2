package evidence_test

import (
	"bytes"
	"context"
	"crypto/sha256"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"testing"
	"time"

	"fettlebook/journal/bag"
	"fettlebook/journal/evidence"
	"fettlebook/journal/evidence/evidencetest"
)

// BenchmarkVerify verifies a job of 400 entries and 120 photographs of 4 MB. It
// tells how much longer that takes than hashing the photographs alone, and how
// much memory is held.
func BenchmarkVerify(b *testing.B) {
	h := evidencetest.New(b, "benchmark", 400)
	d := h.Dossier(evidencetest.Options{})
	for i := range d.About.Photos {
		// As large as a camera's, and still with the hash that is cited: what
		// stands behind a picture's end belongs to its file.
		if p := &d.About.Photos[i]; p.Original {
			path := evidence.OriginalPath(p.Ref, p.Ext)
			p.Original, p.Copy = false, [32]byte{}
			large := append(bytes.Clone(d.Files[path]), bytes.Repeat([]byte{byte(i)}, 4<<20)...)
			delete(d.Files, path)
			p.Copy = sha256.Sum256(large)
			d.Files[evidence.CopyPath(p.Ref, p.Ext)] = large
		}
	}
	name := filepath.Join(b.TempDir(), "dossier.zip")
	packed := d.Pack()
	if err := os.WriteFile(name, packed, 0o600); err != nil {
		b.Fatal(err)
	}
	size, photos, entries := int64(len(packed)), len(d.About.Photos), len(d.About.Entries)
	receipt := h.Receipt()
	d, packed = nil, nil
	runtime.GC()
	file, err := os.Open(name)
	if err != nil {
		b.Fatal(err)
	}
	defer file.Close()
	start := time.Now()
	if _, err := io.Copy(sha256.New(), io.NewSectionReader(file, 0, size)); err != nil {
		b.Fatal(err)
	}
	hashing := time.Since(start)
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	for b.Loop() {
		opened, err := bag.Open(file, size)
		if err != nil {
			b.Fatal(err)
		}
		f, err := evidence.Verify(context.Background(), opened, evidence.Trusted{Receipt: &receipt}, nil)
		if err != nil || f.Verdict == evidence.No {
			b.Fatal(err, said(f))
		}
	}
	runtime.ReadMemStats(&after)
	b.ReportMetric(float64(entries), "entries")
	b.ReportMetric(float64(photos), "photographs")
	b.ReportMetric(hashing.Seconds(), "s-hashing")
	b.ReportMetric((b.Elapsed().Seconds()/float64(b.N))-hashing.Seconds(), "s-beyond-hashing")
	b.ReportMetric(float64(after.HeapSys>>20), "MiB-heap")
}
