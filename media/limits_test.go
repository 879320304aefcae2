package media_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"runtime"
	"slices"
	"testing"

	"fettlebook/media"
	"fettlebook/media/mediatest"
)

func TestReceiveLimits(t *testing.T) {
	b := sampleJPEG() // 64 x 48 = 3072 pixels
	size := int64(len(b))
	tests := []struct {
		lim    media.Limits
		reason media.Reason // "" where it is let in
	}{
		{media.Limits{Bytes: size, Pixels: 3072}, ""},
		{media.Limits{Bytes: size - 1}, media.TooManyBytes},
		{media.Limits{Pixels: 3071}, media.TooManyPixels},
		{media.Limits{}, ""},
	}
	for _, tt := range tests {
		t.Run(fmt.Sprintf("%+v", tt.lim), func(t *testing.T) {
			if tt.reason == "" {
				if _, err := media.Receive(t.Context(), mediatest.NewMemory(), bytes.NewReader(b), tt.lim); err != nil {
					t.Error(err)
				}
				return
			}
			if no := refusedFor(t, b, tt.lim); no.Reason != tt.reason {
				t.Errorf("reason %s, want %s", no.Reason, tt.reason)
			}
		})
	}
}

// counting counts what is read of it, and what is written to a store.
type counting struct {
	io.Reader
	media.Originals
	read, written int64
}

func (c *counting) Read(p []byte) (int, error) {
	n, err := c.Reader.Read(p)
	c.read += int64(n)
	return n, err
}

func (c *counting) Create(ctx context.Context) (media.Draft, error) {
	d, err := c.Originals.Create(ctx)
	return countingDraft{d, c}, err
}

type countingDraft struct {
	media.Draft
	c *counting
}

func (d countingDraft) Write(p []byte) (int, error) {
	d.c.written += int64(len(p))
	return d.Draft.Write(p)
}

func TestReceiveStopsAtTheLimit(t *testing.T) {
	const slack = 128 // the first look, and the one byte that is too many
	const total = 100 << 20
	body := sampleJPEG()
	tests := []struct {
		name   string
		start  []byte
		limit  int64
		reason media.Reason
	}{
		{"JPEG whose scan never ends", body[:len(body)-2], 5 << 20, media.TooManyBytes},
		{"JPEG with endless bytes behind it", body, 5 << 20, media.TooManyBytes},
		{"PNG with an endless part", slices.Concat(samplePNG()[:33], []byte("\x7f\xff\xff\xffIDAT")), 5 << 20, media.TooManyBytes},
		{"JPEG at the default limit", body, media.MaxBytes, media.TooManyBytes},
		// These need only the start.
		{"TIFF", []byte("II*\x00"), 0, media.WrongFormat},
		{"JPEG of 60000 × 60000", mediatest.HeaderJPEG(60000, 60000), 64 << 10, media.TooManyPixels},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			rest := int64(total - len(tt.start))
			dir, files := onDisk(t)
			c := &counting{Originals: dir, Reader: io.MultiReader(bytes.NewReader(tt.start), io.LimitReader(zeros{}, rest))}
			lim := media.Limits{Bytes: tt.limit}
			if tt.reason != media.TooManyBytes {
				lim = media.Limits{}
			}
			_, err := media.Receive(t.Context(), c, c, lim)
			var no *media.Refused
			if !errors.As(err, &no) || no.Reason != tt.reason {
				t.Errorf("error %v, want it refused as %s", err, tt.reason)
			}
			if c.read > tt.limit+slack {
				t.Errorf("read %d bytes, want no more than %d", c.read, tt.limit+slack)
			}
			if c.written > tt.limit {
				t.Errorf("wrote %d bytes, want no more than %d", c.written, tt.limit)
			}
			if left := files(); len(left) > 0 {
				t.Errorf("left in the folder: %q", left)
			}
		})
	}
}

type zeros struct{}

func (zeros) Read(p []byte) (int, error) { clear(p); return len(p), nil }

// The header claims 3600 million pixels; making room for them would take at
// least that many bytes.
func TestReceiveMakesNoRoomForAClaim(t *testing.T) {
	b := mediatest.HeaderJPEG(60000, 60000)
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	_, err := media.Inspect(t.Context(), bytes.NewReader(b), media.Limits{Pixels: 1 << 62})
	runtime.ReadMemStats(&after)
	if err != nil {
		t.Fatal(err)
	}
	if got := after.TotalAlloc - before.TotalAlloc; got > 1<<20 {
		t.Errorf("the gate took %d bytes of memory", got)
	}
}

func TestChunks(t *testing.T) {
	const c = media.ChunkSize
	tests := []struct {
		size    int64
		n, last int
	}{
		{-1, 0, 0}, {0, 0, 0}, {1, 1, 1}, {c - 1, 1, c - 1}, {c, 1, c}, {c + 1, 2, 1}, {3 * c, 3, c},
		{media.MaxBytes, 160, c},
	}
	for _, tt := range tests {
		n := media.Chunks(tt.size)
		if n != tt.n || media.ChunkLen(tt.size, n-1) != tt.last {
			t.Errorf("%d bytes: %d pieces, the last of %d bytes, want %d, %d", tt.size, n, media.ChunkLen(tt.size, n-1), tt.n, tt.last)
		}
		if media.ChunkLen(tt.size, -1) != 0 || media.ChunkLen(tt.size, n) != 0 {
			t.Errorf("%d bytes: has pieces before its first or behind its last", tt.size)
		}
		sum := int64(0)
		for i := range n {
			sum += int64(media.ChunkLen(tt.size, i))
		}
		if sum != max(0, tt.size) {
			t.Errorf("%d bytes: the pieces are %d bytes together", tt.size, sum)
		}
	}
}
