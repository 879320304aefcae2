package bag_test

import (
	"archive/zip"
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"testing/iotest"

	"fettlebook/journal/bag"
)

// file is one to be packed.
type file struct{ path, text string }

func some() []file {
	return []file{{"dossier.json", `{"form":"x"}`}, {"entries/t3/0.json", "{}"}, {"photos/original/ab.jpg", "\xff\xd8\xff"}, {"empty", ""}}
}

func packed(t testing.TB, folder string, files ...file) []byte {
	t.Helper()
	var out bytes.Buffer
	w, err := bag.NewWriter(&out, folder)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		if _, err := w.AddBytes(context.Background(), f.path, []byte(f.text)); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Close([2]string{"Source-Organization", "Tin Lantern\nFinishing"}); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

func TestTheSameFilesGiveTheSameBytes(t *testing.T) {
	if !bytes.Equal(packed(t, "d", some()...), packed(t, "d", some()...)) {
		t.Error("two bags of the same files differ")
	}
}

// unpack unpacks with the standard library, as a stranger would.
func unpack(t *testing.T, raw []byte) string {
	t.Helper()
	r, err := zip.NewReader(bytes.NewReader(raw), int64(len(raw)))
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	if err := os.CopyFS(dir, r); err != nil {
		t.Fatal(err)
	}
	return dir
}

func TestUnpackedBagIsWhatTheStandardSays(t *testing.T) {
	dir := filepath.Join(unpack(t, packed(t, "dossier-4f7kk2m9", some()...)), "dossier-4f7kk2m9")
	for name, want := range map[string]string{
		"bagit.txt":         "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n",
		"bag-info.txt":      "Source-Organization: Tin Lantern Finishing\nPayload-Oxum: 17.4\n",
		"data/dossier.json": `{"form":"x"}`,
	} {
		if got, err := os.ReadFile(filepath.Join(dir, name)); err != nil || string(got) != want {
			t.Errorf("%s is %q (%v), want %q", name, got, err, want)
		}
	}
	for _, list := range []string{"manifest-sha256.txt", "tagmanifest-sha256.txt"} {
		sum := exec.Command("sha256sum", "--strict", "-c", list)
		sum.Dir = dir
		if out, err := sum.CombinedOutput(); err != nil {
			t.Errorf("sha256sum -c %s: %v\n%s", list, err, out)
		}
	}
	if err := os.WriteFile(filepath.Join(dir, "data/entries/t3/0.json"), []byte("{ }"), 0o600); err != nil {
		t.Fatal(err)
	}
	sum := exec.Command("sha256sum", "-c", "manifest-sha256.txt")
	sum.Dir = dir
	if out, err := sum.CombinedOutput(); err == nil || !strings.Contains(string(out), "data/entries/t3/0.json: FAILED") {
		t.Errorf("an entry was changed, and sha256sum says %s", out)
	}
}

func TestWriterRefuses(t *testing.T) {
	for _, folder := range []string{"", ".", "..", "a/b", "a b", "/a", strings.Repeat("a", 300)} {
		if _, err := bag.NewWriter(io.Discard, folder); err == nil {
			t.Errorf("a bag unpacks into %q", folder)
		}
	}
	ctx := context.Background()
	for _, path := range []string{"", "/a", "a/", "a//b", "../a", "a/..", "a b", "a\\b", "ä", "a\n", ".a", "DOSSIER.json", strings.Repeat("a", 200)} {
		w, err := bag.NewWriter(io.Discard, "d")
		if err != nil {
			t.Fatal(err)
		}
		if _, err := w.AddBytes(ctx, "dossier.json", nil); err != nil {
			t.Fatal(err)
		}
		if _, err := w.AddBytes(ctx, path, nil); err == nil {
			t.Errorf("a bag holds %q", path)
		}
	}
}

func TestWriterStops(t *testing.T) {
	w, err := bag.NewWriter(io.Discard, "d")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := w.Add(context.Background(), "a", iotest.ErrReader(iotest.ErrTimeout)); !errors.Is(err, iotest.ErrTimeout) {
		t.Errorf("a file that cannot be read: %v", err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := w.AddBytes(ctx, "b", []byte("b")); !errors.Is(err, context.Canceled) {
		t.Errorf("after it was cancelled: %v", err)
	}
}

// A bag that nobody could read is not written to its end.
func TestWriterIsFull(t *testing.T) {
	for _, most := range []int64{100, 3000, 40000} { // the last one holds all but the directory
		var out bytes.Buffer
		w, err := bag.NewWriter(&out, "d")
		if err != nil {
			t.Fatal(err)
		}
		w.Limit(most)
		for i := 0; i < 300 && err == nil; i++ {
			_, err = w.AddBytes(context.Background(), fmt.Sprintf("%d.jpg", i), []byte("x"))
		}
		if err == nil {
			err = w.Close()
		}
		if !errors.Is(err, bag.ErrFull) || int64(out.Len()) > most {
			t.Errorf("of at most %d bytes: %d (%v)", most, out.Len(), err)
		}
	}
}
