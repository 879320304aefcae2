package photodir_test

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"fettlebook/media"
	"fettlebook/media/mediatest"
	"fettlebook/media/photodir"
)

// travelling is a photo of several pieces, the last one short.
func travelling(t testing.TB) (b []byte, ref media.Ref, size int64) {
	t.Helper()
	b = mediatest.JPEG(mediatest.Noise(900, 900, 3), 95, nil)
	if n := media.Chunks(int64(len(b))); n < 3 || len(b)%media.ChunkSize == 0 {
		t.Fatalf("%d bytes in %d pieces", len(b), n)
	}
	return b, media.RefOf(b), int64(len(b))
}

func piece(b []byte, i int) []byte {
	start := i * media.ChunkSize
	return b[start : start+media.ChunkLen(int64(len(b)), i)]
}

// From one folder to another in pieces, with the receiver restarted at each.
func TestPiecesSurviveRestarts(t *testing.T) {
	b, ref, size := travelling(t)
	from := open(t, t.TempDir())
	want := receive(t, from, b)
	root := t.TempDir()
	for turns := 0; ; turns++ {
		to := open(t, root)
		missing, err := to.Missing(t.Context(), ref, size)
		if err != nil {
			t.Fatal(err)
		}
		if len(missing) != media.Chunks(size)-turns {
			t.Fatalf("turn %d: missing %v", turns, missing)
		}
		if len(missing) == 0 {
			break
		}
		if _, err := to.Finish(t.Context(), ref, size); !errors.Is(err, photodir.ErrIncomplete) {
			t.Fatalf("Finish too early: %v, want %v", err, photodir.ErrIncomplete)
		}
		i := missing[len(missing)-1] // any order will do
		data, err := from.Chunk(t.Context(), ref, i)
		if err != nil || !bytes.Equal(data, piece(b, i)) {
			t.Fatalf("piece %d: %d bytes, %v", i, len(data), err)
		}
		if err := to.PutChunk(t.Context(), ref, size, i, data); err != nil {
			t.Fatal(err)
		}
	}
	to := open(t, root)
	for range 2 { // the answer may get lost, and Finish come again
		got, err := to.Finish(t.Context(), ref, size)
		if err != nil || got != want {
			t.Fatalf("Finish: %+v, %v, want %+v", got, err, want)
		}
	}
	if err := to.Verify(t.Context(), ref); err != nil {
		t.Error(err)
	}
	if got := files(t, root); len(got) != 1 {
		t.Errorf("files %q, want one", got)
	}
	// Late pieces of what is here change nothing.
	if err := to.PutChunk(t.Context(), ref, size, 0, piece(b, 0)); err != nil {
		t.Error(err)
	}
	if missing, err := to.Missing(t.Context(), ref, size); len(missing) > 0 || err != nil {
		t.Errorf("missing %v, %v, want none", missing, err)
	}
	if got := files(t, root); len(got) != 1 {
		t.Errorf("files %q, want one", got)
	}
}

func TestPutChunkRefuses(t *testing.T) {
	b, ref, size := travelling(t)
	last := media.Chunks(size) - 1
	tests := []struct {
		name  string
		size  int64
		index int
		data  []byte
		want  error // nil: a *media.Refused
	}{
		{"before the first", size, -1, piece(b, 0), photodir.ErrBadChunk},
		{"behind the last", size, last + 1, piece(b, 0), photodir.ErrBadChunk},
		{"too short", size, 0, piece(b, 0)[1:], photodir.ErrBadChunk},
		{"too long", size, 0, append(piece(b, 0), 0), photodir.ErrBadChunk},
		{"empty", size, 0, nil, photodir.ErrBadChunk},
		{"last as long as the others", size, last, piece(b, 0), photodir.ErrBadChunk},
		{"no size", 0, 0, nil, nil},
		{"negative size", -1, 0, nil, nil},
		{"size over the limit", media.MaxBytes + 1, 0, piece(b, 0), nil},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			root := t.TempDir()
			dir := open(t, root)
			err := dir.PutChunk(t.Context(), ref, tt.size, tt.index, tt.data)
			if tt.want != nil && !errors.Is(err, tt.want) {
				t.Errorf("%v, want %v", err, tt.want)
			}
			if tt.want == nil {
				if !errors.As(err, new(*media.Refused)) {
					t.Errorf("%v, want it refused", err)
				}
				if _, err := dir.Missing(t.Context(), ref, tt.size); !errors.As(err, new(*media.Refused)) {
					t.Errorf("Missing: %v, want it refused", err)
				}
				if _, err := dir.Finish(t.Context(), ref, tt.size); !errors.As(err, new(*media.Refused)) {
					t.Errorf("Finish: %v, want it refused", err)
				}
			}
			if left := files(t, root); len(left) > 0 {
				t.Errorf("left in the folder: %q", left)
			}
		})
	}
}

func putAll(t *testing.T, dir *photodir.Dir, ref media.Ref, b []byte) {
	t.Helper()
	for i := range media.Chunks(int64(len(b))) {
		if err := dir.PutChunk(t.Context(), ref, int64(len(b)), i, piece(b, i)); err != nil {
			t.Fatal(err)
		}
	}
}

func TestFinishOfWrongBytes(t *testing.T) {
	b, ref, _ := travelling(t)
	flipped := bytes.Clone(b)
	flipped[len(b)/2] ^= 1
	tests := []struct {
		name  string
		bytes []byte
		check func(error) bool
	}{
		{"one bit flipped on the way", flipped, func(err error) bool { return errors.Is(err, photodir.ErrOtherPhoto) }},
		{"another photo", mediatest.JPEG(mediatest.Noise(700, 700, 4), 95, nil), func(err error) bool { return errors.Is(err, photodir.ErrOtherPhoto) }},
		{"a cut photo", b[:len(b)-2], func(err error) bool { return errors.As(err, new(*media.Refused)) }},
		{"no photo", bytes.Repeat([]byte("text "), 100_000), func(err error) bool { return errors.As(err, new(*media.Refused)) }},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			root := t.TempDir()
			dir := open(t, root)
			putAll(t, dir, ref, tt.bytes)
			photo, err := dir.Finish(t.Context(), ref, int64(len(tt.bytes)))
			if !tt.check(err) || photo != (media.Photo{}) {
				t.Errorf("%+v, %v", photo, err)
			}
			if left := files(t, root); len(left) > 0 {
				t.Errorf("left in the folder: %q", left)
			}
			// The true photo can still come.
			putAll(t, dir, ref, b)
			if _, err := dir.Finish(t.Context(), ref, int64(len(b))); err != nil {
				t.Errorf("the true photo: %v", err)
			}
		})
	}
}

// A liar about the size does not spoil what the honest one sent.
func TestSizesDoNotMix(t *testing.T) {
	b, ref, size := travelling(t)
	dir := open(t, t.TempDir())
	putAll(t, dir, ref, b)
	if err := dir.PutChunk(t.Context(), ref, 10, 0, make([]byte, 10)); err != nil {
		t.Fatal(err)
	}
	if _, err := dir.Finish(t.Context(), ref, size); err != nil {
		t.Error(err)
	}
}

// Pieces of which nothing came any more go after a while, and those that still come stay.
func TestDropOlder(t *testing.T) {
	b, ref, size := travelling(t)
	stale := media.RefOf([]byte("another"))
	root := t.TempDir()
	dir := open(t, root)
	if err := dir.PutChunk(t.Context(), stale, 10, 0, make([]byte, 10)); err != nil {
		t.Fatal(err)
	}
	long := time.Now().Add(-100 * time.Hour)
	folders, err := filepath.Glob(filepath.Join(root, "*", stale.Hex()+"-*"))
	if err != nil || len(folders) != 1 {
		t.Fatal(folders, err)
	}
	if err := os.Chtimes(folders[0], long, long); err != nil {
		t.Fatal(err)
	}
	if err := dir.PutChunk(t.Context(), ref, size, 0, piece(b, 0)); err != nil {
		t.Fatal(err)
	}
	if err := dir.DropOlder(t.Context(), time.Now().Add(-50*time.Hour)); err != nil {
		t.Fatal(err)
	}
	if missing, err := dir.Missing(t.Context(), stale, 10); err != nil || len(missing) != 1 {
		t.Errorf("of the stale one missing %v, %v", missing, err)
	}
	if missing, err := dir.Missing(t.Context(), ref, size); err != nil || len(missing) != media.Chunks(size)-1 {
		t.Errorf("of the other one missing %v, %v", missing, err)
	}
}

func TestDiscard(t *testing.T) {
	b, ref, size := travelling(t)
	other := media.RefOf([]byte("another"))
	root := t.TempDir()
	dir := open(t, root)
	putAll(t, dir, ref, b)
	if err := dir.PutChunk(t.Context(), ref, 10, 0, make([]byte, 10)); err != nil {
		t.Fatal(err)
	}
	if err := dir.PutChunk(t.Context(), other, 10, 0, make([]byte, 10)); err != nil {
		t.Fatal(err)
	}
	for range 2 {
		if err := dir.Discard(t.Context(), ref); err != nil {
			t.Fatal(err)
		}
	}
	if missing, err := dir.Missing(t.Context(), ref, size); err != nil || len(missing) != media.Chunks(size) {
		t.Errorf("missing %v, %v, want all", missing, err)
	}
	if missing, err := dir.Missing(t.Context(), other, 10); err != nil || len(missing) != 0 {
		t.Errorf("of the other missing %v, %v, want none", missing, err)
	}
}

func TestChunkOfNoPiece(t *testing.T) {
	dir := open(t, t.TempDir())
	photo := receive(t, dir, photoBytes(1))
	for _, i := range []int{-1, 1, 1 << 30} {
		if _, err := dir.Chunk(t.Context(), photo.Ref, i); !errors.Is(err, photodir.ErrBadChunk) {
			t.Errorf("piece %d: %v, want %v", i, err, photodir.ErrBadChunk)
		}
	}
	if _, err := dir.Chunk(t.Context(), media.RefOf([]byte("another")), 0); !errors.Is(err, media.ErrNotHere) {
		t.Errorf("%v, want %v", err, media.ErrNotHere)
	}
}

// An error of the disk is none of the photo: the pieces wait for a better day.
func TestFinishWithABrokenDisk(t *testing.T) {
	b, ref, size := travelling(t)
	root := t.TempDir()
	dir := open(t, root)
	putAll(t, dir, ref, b)
	before := files(t, root)
	if err := os.Remove(filepath.Join(root, "arriving")); err != nil {
		t.Fatal(err)
	}
	if _, err := dir.Finish(t.Context(), ref, size); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("%v, want %v", err, fs.ErrNotExist)
	}
	if got := files(t, root); !slices.Equal(got, before) {
		t.Errorf("files %q, want %q", got, before)
	}
	if _, err := open(t, root).Finish(t.Context(), ref, size); err != nil {
		t.Errorf("on the mended disk: %v", err)
	}
}

// A piece that was cut on the disk is asked for again.
func TestMissingNamesACutPiece(t *testing.T) {
	b, ref, size := travelling(t)
	root := t.TempDir()
	dir := open(t, root)
	putAll(t, dir, ref, b)
	if err := os.Truncate(filepath.Join(root, files(t, root)[1]), 100); err != nil {
		t.Fatal(err)
	}
	missing, err := dir.Missing(t.Context(), ref, size)
	if err != nil || !slices.Equal(missing, []int{1}) {
		t.Errorf("missing %v, %v, want [1]", missing, err)
	}
}

// Any sequence of pieces, repeats, restarts and discards ends with the photo once
// the missing ones are sent, and never with anything else.
func TestArrivalSequences(t *testing.T) {
	b, ref, size := travelling(t)
	n := media.Chunks(size)
	rapid.Check(t, func(rt *rapid.T) {
		root, err := os.MkdirTemp(t.TempDir(), "")
		if err != nil {
			rt.Fatal(err)
		}
		dir := open(t, root)
		have := map[int]bool{}
		for range rapid.IntRange(0, 12).Draw(rt, "steps") {
			switch rapid.SampledFrom([]string{"put", "put", "put", "restart", "discard", "finish"}).Draw(rt, "step") {
			case "put":
				i := rapid.IntRange(0, n-1).Draw(rt, "piece")
				if err := dir.PutChunk(t.Context(), ref, size, i, piece(b, i)); err != nil {
					rt.Fatal(err)
				}
				have[i] = true
			case "restart":
				dir = open(t, root)
			case "discard":
				if err := dir.Discard(t.Context(), ref); err != nil {
					rt.Fatal(err)
				}
				here, err := dir.Has(t.Context(), ref)
				if err != nil {
					rt.Fatal(err)
				}
				if !here {
					clear(have)
				}
			case "finish":
				if _, err := dir.Finish(t.Context(), ref, size); (err == nil) != (len(have) == n) {
					rt.Fatalf("with %d of %d pieces: %v", len(have), n, err)
				}
			}
			missing, err := dir.Missing(t.Context(), ref, size)
			if err != nil || len(missing) != n-len(have) || slices.ContainsFunc(missing, func(i int) bool { return have[i] }) {
				rt.Fatalf("missing %v, %v, have %v", missing, err, have)
			}
		}
		missing, err := dir.Missing(t.Context(), ref, size)
		if err != nil {
			rt.Fatal(err)
		}
		for _, i := range missing {
			if err := dir.PutChunk(t.Context(), ref, size, i, piece(b, i)); err != nil {
				rt.Fatal(err)
			}
		}
		if _, err := dir.Finish(t.Context(), ref, size); err != nil {
			rt.Fatal(err)
		}
		if err := dir.Verify(t.Context(), ref); err != nil {
			rt.Fatal(err)
		}
	})
}

func TestOpenWhereNoFolderCanBe(t *testing.T) {
	path := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(path, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := photodir.Open(path); err == nil || errors.Is(err, fs.ErrNotExist) {
		t.Errorf("opened a file as a folder: %v", err)
	}
}
