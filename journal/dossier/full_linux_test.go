package dossier_test

import (
	"errors"
	"os"
	"path/filepath"
	"syscall"
	"testing"

	"fettlebook/journal/dossier"
	"fettlebook/journal/record"
)

// A disk that is full in the middle leaves no half file, and what was there
// before stays. The system is told to let no file grow beyond some size.
func TestFullDisk(t *testing.T) {
	o := newOffice(t, 700)
	j := o.jobs(record.Sealed)[0]
	dir := t.TempDir()
	file := filepath.Join(dir, "a.zip")
	o.done(o.builder().Write(o.ctx, o.folded.View(o.ctx), dossier.OfJob(j.ID), originals(), file))
	whole, err := os.ReadFile(file)
	o.must(err)
	var was syscall.Rlimit
	o.must(syscall.Getrlimit(syscall.RLIMIT_FSIZE, &was))
	for _, size := range []int{0, len(whole) / 3, len(whole) - 10} {
		view := o.folded.View(o.ctx)
		o.must(view.Err())
		o.must(syscall.Setrlimit(syscall.RLIMIT_FSIZE, &syscall.Rlimit{Cur: uint64(size), Max: was.Max}))
		_, err := o.builder().Write(o.ctx, view, dossier.OfJob(j.ID), originals(), file)
		o.must(syscall.Setrlimit(syscall.RLIMIT_FSIZE, &was))
		if !errors.Is(err, syscall.EFBIG) {
			t.Errorf("at %d bytes of %d: %v", size, len(whole), err)
		}
		raw, err := os.ReadFile(file)
		if left, dirErr := os.ReadDir(dir); err != nil || dirErr != nil || len(raw) != len(whole) || len(left) != 1 {
			t.Errorf("at %d bytes of %d the file has %d, and in the folder lie %v (%v, %v)", size, len(whole), len(raw), left, err, dirErr)
		}
	}
}
