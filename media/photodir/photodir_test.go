package photodir_test

import (
	"bytes"
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"fettlebook/media"
	"fettlebook/media/mediatest"
	"fettlebook/media/photodir"
)

func open(t *testing.T, root string) *photodir.Dir {
	t.Helper()
	dir, err := photodir.Open(root)
	if err != nil {
		t.Fatal(err)
	}
	return dir
}

func receive(t *testing.T, dir *photodir.Dir, b []byte) media.Photo {
	t.Helper()
	photo, err := media.Receive(t.Context(), dir, bytes.NewReader(b), media.DefaultLimits())
	if err != nil {
		t.Fatal(err)
	}
	return photo
}

// files lists every file below root, relative to it.
func files(t *testing.T, root string) []string {
	t.Helper()
	var out []string
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err == nil && !d.IsDir() {
			rel, relErr := filepath.Rel(root, path)
			out = append(out, filepath.ToSlash(rel))
			return relErr
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func photoBytes(seed uint64) []byte { return mediatest.JPEG(mediatest.Noise(32, 32, seed), 90, nil) }

func TestOriginals(t *testing.T) {
	mediatest.TestOriginals(t, func(t *testing.T) media.Originals { return open(t, t.TempDir()) })
}

func TestLayout(t *testing.T) {
	root := t.TempDir()
	photo := receive(t, open(t, root), photoBytes(1))
	name := photo.Ref.Hex()
	if got, want := files(t, root), []string{name[:2] + "/" + name}; !slices.Equal(got, want) {
		t.Errorf("files %q, want %q", got, want)
	}
}

func TestOpenClearsAwayWhatACrashLeft(t *testing.T) {
	root := t.TempDir()
	dir := open(t, root)
	photo := receive(t, dir, photoBytes(1))
	big := mediatest.JPEG(mediatest.Noise(600, 600, 1), 95, nil)
	bigRef, size := media.RefOf(big), int64(len(big))
	if err := dir.PutChunk(t.Context(), bigRef, size, 0, big[:media.ChunkSize]); err != nil {
		t.Fatal(err)
	}
	// A draft that nobody ended, and a piece cut while it was written.
	draft, err := dir.Create(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if _, err := draft.Write([]byte("half a photo")); err != nil {
		t.Fatal(err)
	}
	piecesDir := filepath.Dir(filepath.Join(root, files(t, root)[slices.IndexFunc(files(t, root), isPiece)]))
	if err := os.WriteFile(filepath.Join(piecesDir, ".new-1234"), []byte("half a piece"), 0o600); err != nil {
		t.Fatal(err)
	}
	// Pieces of a photo that is here: the crash came before they were thrown away.
	done := filepath.Join(root, "pieces", photo.Ref.Hex()+"-99")
	if err := os.Mkdir(done, 0o700); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(done, "000000"), []byte("x"), 0o600); err != nil {
		t.Fatal(err)
	}

	dir = open(t, root)
	if got := files(t, root); len(got) != 2 {
		t.Errorf("files %q, want the photo and one piece", got)
	}
	if err := dir.Verify(t.Context(), photo.Ref); err != nil {
		t.Error(err)
	}
	missing, err := dir.Missing(t.Context(), bigRef, size)
	if err != nil || slices.Contains(missing, 0) || len(missing) != media.Chunks(size)-1 {
		t.Errorf("missing %v, %v, want all but the first", missing, err)
	}
}

func isPiece(name string) bool { return filepath.Base(name) == "000000" }

func TestVerify(t *testing.T) {
	root := t.TempDir()
	dir := open(t, root)
	b := photoBytes(1)
	photo := receive(t, dir, b)
	path := filepath.Join(root, files(t, root)[0])

	if err := dir.Verify(t.Context(), photo.Ref); err != nil {
		t.Errorf("whole: %v", err)
	}
	if err := dir.Verify(t.Context(), media.RefOf([]byte("another"))); !errors.Is(err, media.ErrNotHere) {
		t.Errorf("absent: %v, want %v", err, media.ErrNotHere)
	}
	for name, rotten := range map[string][]byte{
		"one bit flipped": append([]byte{b[0] ^ 1}, b[1:]...),
		"cut":             b[:len(b)/2],
		"emptied":         {},
		"longer":          append(bytes.Clone(b), 0),
	} {
		t.Run(name, func(t *testing.T) {
			if err := os.WriteFile(path, rotten, 0o600); err != nil {
				t.Fatal(err)
			}
			if err := dir.Verify(t.Context(), photo.Ref); !errors.Is(err, photodir.ErrDamaged) {
				t.Errorf("%v, want %v", err, photodir.ErrDamaged)
			}
			if _, err := dir.Finish(t.Context(), photo.Ref, photo.Bytes); !errors.Is(err, photodir.ErrDamaged) {
				t.Errorf("Finish: %v, want %v", err, photodir.ErrDamaged)
			}
			// The same photo once more puts it right.
			receive(t, dir, b)
			if err := dir.Verify(t.Context(), photo.Ref); err != nil {
				t.Errorf("received again: %v", err)
			}
			if got := files(t, root); len(got) != 1 {
				t.Errorf("files %q, want one", got)
			}
		})
	}
}

func TestRemove(t *testing.T) {
	root := t.TempDir()
	dir := open(t, root)
	photo := receive(t, dir, photoBytes(1))
	if err := dir.Remove(t.Context(), photo.Ref); err != nil {
		t.Fatal(err)
	}
	if err := dir.Remove(t.Context(), photo.Ref); !errors.Is(err, media.ErrNotHere) {
		t.Errorf("removed twice: %v, want %v", err, media.ErrNotHere)
	}
	if got := files(t, root); len(got) > 0 {
		t.Errorf("files %q, want none", got)
	}
}

func TestAll(t *testing.T) {
	root := t.TempDir()
	dir := open(t, root)
	var want []media.Ref
	for seed := range 20 {
		want = append(want, receive(t, dir, photoBytes(uint64(seed))).Ref)
	}
	slices.SortFunc(want, func(a, b media.Ref) int { return bytes.Compare(a[:], b[:]) })
	// What an operating system may leave, and a photo in the wrong place.
	for _, stray := range []string{".index", "zz", want[0].Hex(), filepath.Join(want[0].Hex()[:2], "preview.db")} {
		if err := os.WriteFile(filepath.Join(root, stray), []byte("x"), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	var got []media.Ref
	for ref, err := range dir.All(t.Context()) {
		if err != nil {
			t.Fatal(err)
		}
		got = append(got, ref)
	}
	if !slices.Equal(got, want) {
		t.Errorf("%d originals in another order or number, want %d", len(got), len(want))
	}
	for range dir.All(t.Context()) {
		break // must not go on
	}

	over, cancel := context.WithCancel(t.Context())
	cancel()
	var last error
	for _, err := range dir.All(over) {
		last = err
	}
	if !errors.Is(last, context.Canceled) {
		t.Errorf("ended with %v, want %v", last, context.Canceled)
	}
}

// TestOpenToReadLeavesAll: looking beside a program that is taking photos in
// sweeps nothing of theirs away, and a folder that is not there is empty.
func TestOpenToReadLeavesAll(t *testing.T) {
	root := filepath.Join(t.TempDir(), "photos")
	for range photodir.OpenToRead(root).All(t.Context()) {
		t.Error("a folder that is not there holds something")
	}
	if _, err := os.Stat(root); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("looking made the folder: %v", err)
	}
	dir, err := photodir.Open(root)
	if err != nil {
		t.Fatal(err)
	}
	draft, err := dir.Create(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	original := []byte("half of it, half of it")
	if _, err := draft.Write(original[:11]); err != nil {
		t.Fatal(err)
	}
	for range photodir.OpenToRead(root).All(t.Context()) {
		t.Error("what is still arriving is shown")
	}
	if _, err := draft.Write(original[11:]); err != nil {
		t.Fatal(err)
	}
	if err := draft.Commit(t.Context(), media.RefOf(original)); err != nil {
		t.Fatalf("the draft did not survive a look: %v", err)
	}
	for ref, err := range photodir.OpenToRead(root).All(t.Context()) {
		if err != nil || ref != media.RefOf(original) {
			t.Errorf("%v, %v", ref, err)
		}
	}
}
