package mediatest

import (
	"bytes"
	"context"
	"errors"
	"io"
	"sync"
	"testing"

	"fettlebook/media"
)

// TestOriginals checks the contract of [media.Originals] on stores that open
// gives, a new and empty one at each call.
func TestOriginals(t *testing.T, open func(t *testing.T) media.Originals) {
	ctx := t.Context()
	photo := JPEG(Corners(64, 48), 90, nil)
	ref := media.RefOf(photo)

	t.Run("empty store", func(t *testing.T) {
		wantAbsent(t, open(t), ref)
	})

	t.Run("stored whole and found again", func(t *testing.T) {
		s := open(t)
		put(t, s, ref, photo)
		wantPresent(t, s, ref, photo)
		wantAbsent(t, s, media.RefOf([]byte("another")))
	})

	t.Run("nothing to see before Commit", func(t *testing.T) {
		s := open(t)
		d := begin(t, s, photo)
		wantAbsent(t, s, ref)
		if err := d.Commit(ctx, ref); err != nil {
			t.Fatal(err)
		}
		wantPresent(t, s, ref, photo)
	})

	t.Run("nothing to see after Abort", func(t *testing.T) {
		s := open(t)
		d := begin(t, s, photo)
		for range 2 {
			if err := d.Abort(); err != nil {
				t.Fatal(err)
			}
		}
		wantAbsent(t, s, ref)
	})

	t.Run("Abort after Commit does nothing", func(t *testing.T) {
		s := open(t)
		d := begin(t, s, photo)
		if err := d.Commit(ctx, ref); err != nil {
			t.Fatal(err)
		}
		if err := d.Abort(); err != nil {
			t.Errorf("Abort after Commit: %v", err)
		}
		wantPresent(t, s, ref, photo)
	})

	t.Run("stored twice", func(t *testing.T) {
		s := open(t)
		put(t, s, ref, photo)
		put(t, s, ref, photo)
		wantPresent(t, s, ref, photo)
	})

	t.Run("several at once", func(t *testing.T) {
		s := open(t)
		var wg sync.WaitGroup
		for i := range 16 {
			wg.Go(func() {
				p := JPEG(Noise(8, 8, uint64(i%4)), 90, nil)
				d, err := s.Create(ctx)
				if err != nil {
					t.Error(err)
					return
				}
				if _, err := d.Write(p); err != nil {
					t.Error(err)
				}
				if err := d.Commit(ctx, media.RefOf(p)); err != nil {
					t.Error(err)
				}
			})
		}
		wg.Wait()
		for i := range 4 {
			p := JPEG(Noise(8, 8, uint64(i)), 90, nil)
			wantPresent(t, s, media.RefOf(p), p)
		}
	})

	t.Run("context at its end", func(t *testing.T) {
		s := open(t)
		put(t, s, ref, photo)
		over, cancel := context.WithCancel(ctx)
		cancel()
		if _, err := s.Create(over); !errors.Is(err, context.Canceled) {
			t.Errorf("Create: %v, want %v", err, context.Canceled)
		}
		if _, _, err := s.Open(over, ref); !errors.Is(err, context.Canceled) {
			t.Errorf("Open: %v, want %v", err, context.Canceled)
		}
		if _, err := s.Has(over, ref); !errors.Is(err, context.Canceled) {
			t.Errorf("Has: %v, want %v", err, context.Canceled)
		}
		d := begin(t, s, []byte("draft"))
		if err := d.Commit(over, media.RefOf([]byte("draft"))); !errors.Is(err, context.Canceled) {
			t.Errorf("Commit: %v, want %v", err, context.Canceled)
		}
		if err := d.Abort(); err != nil {
			t.Error(err)
		}
		wantAbsent(t, s, media.RefOf([]byte("draft")))
	})
}

// begin writes b in two pieces and leaves the draft open.
func begin(t *testing.T, s media.Originals, b []byte) media.Draft {
	t.Helper()
	d, err := s.Create(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	for _, part := range [][]byte{b[:len(b)/2], b[len(b)/2:]} {
		if n, err := d.Write(part); n != len(part) || err != nil {
			t.Fatalf("Write of %d bytes: %d, %v", len(part), n, err)
		}
	}
	return d
}

func put(t *testing.T, s media.Originals, ref media.Ref, b []byte) {
	t.Helper()
	if err := begin(t, s, b).Commit(t.Context(), ref); err != nil {
		t.Fatal(err)
	}
}

func wantAbsent(t *testing.T, s media.Originals, ref media.Ref) {
	t.Helper()
	if here, err := s.Has(t.Context(), ref); here || err != nil {
		t.Errorf("Has: %v, %v, want false", here, err)
	}
	f, _, err := s.Open(t.Context(), ref)
	if !errors.Is(err, media.ErrNotHere) {
		t.Errorf("Open: %v, want %v", err, media.ErrNotHere)
	}
	if err == nil {
		f.Close()
	}
}

func wantPresent(t *testing.T, s media.Originals, ref media.Ref, want []byte) {
	t.Helper()
	if here, err := s.Has(t.Context(), ref); !here || err != nil {
		t.Errorf("Has: %v, %v, want true", here, err)
	}
	f, size, err := s.Open(t.Context(), ref)
	if err != nil {
		t.Errorf("Open: %v", err)
		return
	}
	defer f.Close()
	if size != int64(len(want)) {
		t.Errorf("size %d, want %d", size, len(want))
	}
	for range 2 { // the second time after a Seek
		got, err := io.ReadAll(f)
		if err != nil || !bytes.Equal(got, want) {
			t.Errorf("read %d bytes (%v), want the %d that were stored", len(got), err, len(want))
		}
		if _, err := f.Seek(0, io.SeekStart); err != nil {
			t.Error(err)
		}
	}
}
