package media_test

import (
	"bytes"
	"context"
	"errors"
	"io"
	"slices"
	"testing"
	"testing/iotest"

	"fettlebook/media"
	"fettlebook/media/mediatest"
)

func TestReceiveBrokenStream(t *testing.T) {
	broken := errors.New("the phone went out of reach")
	whole := sampleJPEG()
	for n := range len(whole) {
		store := mediatest.NewMemory()
		r := io.MultiReader(bytes.NewReader(whole[:n]), iotest.ErrReader(broken))
		_, err := media.Receive(t.Context(), store, r, media.DefaultLimits())
		if !errors.Is(err, broken) || errors.As(err, new(*media.Refused)) {
			t.Fatalf("broken after %d bytes: %v, want %v and no refusal", n, err, broken)
		}
		if store.Len() != 0 || store.Drafts() != 0 {
			t.Fatalf("broken after %d bytes: %d originals and %d open drafts are left", n, store.Len(), store.Drafts())
		}
	}
}

func TestReceiveCancelled(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	body := sampleJPEG()
	r := io.MultiReader(bytes.NewReader(body[:len(body)/2]), cancelling{cancel}, bytes.NewReader(body[len(body)/2:]))
	dir, files := onDisk(t)
	if _, err := media.Receive(ctx, dir, r, media.DefaultLimits()); !errors.Is(err, context.Canceled) {
		t.Errorf("error %v, want %v", err, context.Canceled)
	}
	if left := files(); len(left) > 0 {
		t.Errorf("left in the folder: %q", left)
	}
}

type cancelling struct{ cancel func() }

func (c cancelling) Read([]byte) (int, error) { c.cancel(); return 0, io.EOF }

func TestReceiveIntoAFailingStore(t *testing.T) {
	whole := sampleJPEG()
	ref := media.RefOf(whole)
	for _, fault := range mediatest.Faults() {
		t.Run(fault.String(), func(t *testing.T) {
			dir, files := onDisk(t)
			store := mediatest.Faulty{Originals: dir, Fault: fault}
			body := whole
			if fault == mediatest.AbortFails {
				body = whole[:100] // only what is refused is aborted
			}
			photo, err := media.Receive(t.Context(), store, bytes.NewReader(body), media.DefaultLimits())
			if !errors.Is(err, mediatest.ErrFault) || photo != (media.Photo{}) {
				t.Errorf("%+v, %v, want %v", photo, err, mediatest.ErrFault)
			}
			var want []string
			if fault == mediatest.CommitStoresAll {
				want = []string{ref.Hex()}
			}
			if got := files(); !slices.Equal(got, want) {
				t.Errorf("files %q, want %q", got, want)
			}
			// Whatever happened, doing it again puts it right.
			if _, err := media.Receive(t.Context(), dir, bytes.NewReader(whole), media.DefaultLimits()); err != nil {
				t.Errorf("again: %v", err)
			}
			if err := dir.Verify(t.Context(), ref); err != nil {
				t.Error(err)
			}
			if got := files(); len(got) != 1 {
				t.Errorf("files %q, want one", got)
			}
		})
	}
}
