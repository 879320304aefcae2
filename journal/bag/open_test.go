package bag_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"
	"testing"

	"fettlebook/journal/bag"
)

func opened(t testing.TB, raw []byte) *bag.Bag {
	t.Helper()
	b, err := bag.Open(bytes.NewReader(raw), int64(len(raw)))
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func TestReadsWhatWasWritten(t *testing.T) {
	b := opened(t, packed(t, "dossier-1", some()...))
	if b.Folder != "dossier-1" || b.Size() < 17 || !slices.Contains(b.Paths(), "empty") || slices.Contains(b.Paths(), "full") {
		t.Errorf("the bag unpacks into %q and has %d bytes", b.Folder, b.Size())
	}
	if want := []string{"dossier.json", "empty", "entries/t3/0.json", "photos/original/ab.jpg"}; !slices.Equal(b.Paths(), want) {
		t.Errorf("the bag holds %q, want %q", b.Paths(), want)
	}
	for _, f := range some() {
		if got, err := b.Bytes(f.path, 20); err != nil || string(got) != f.text {
			t.Errorf("%s is %q, %v", f.path, got, err)
		}
		if got, err := b.Head(f.path, 2); err != nil || string(got) != f.text[:min(2, len(f.text))] {
			t.Errorf("%s begins with %q, %v", f.path, got, err)
		}
	}
	if _, err := b.Bytes("dossier.json", 5); !errors.Is(err, bag.ErrBroken) {
		t.Errorf("a file that is too large: %v", err)
	}
	if _, err := b.Bytes("full", 5); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("a file that is not here: %v", err)
	}
	last := int64(0)
	c, err := b.Check(context.Background(), func(n int64) { last = n })
	if err != nil || len(c.Faults) > 0 || len(c.Hashes) != 4 || last != b.Size() {
		t.Errorf("checked: %+v, %v, %d bytes", c, err, last)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := b.Check(ctx, nil); !errors.Is(err, context.Canceled) {
		t.Errorf("after it was cancelled: %v", err)
	}
}

func ExampleBag_Check() {
	var out bytes.Buffer
	w, err := bag.NewWriter(&out, "dossier-1")
	if err != nil {
		fmt.Println(err)
		return
	}
	if _, err := w.AddBytes(context.Background(), "a.txt", []byte("hello")); err != nil {
		fmt.Println(err)
	}
	if err := w.Close(); err != nil {
		fmt.Println(err)
	}
	b, err := bag.Open(bytes.NewReader(out.Bytes()), int64(out.Len()))
	if err != nil {
		fmt.Println(err)
		return
	}
	c, err := b.Check(context.Background(), nil)
	fmt.Println(b.Paths(), c.Faults, err)
	// Output: [a.txt] [] <nil>
}

// Whatever the bytes are: they are refused with a sentence, or can be checked.
func FuzzOpen(f *testing.F) {
	good := packed(f, "d", some()...)
	f.Add(good)
	f.Add(good[:len(good)-30])
	f.Add(bytes.Replace(good, []byte("d/data/empty"), []byte("d/../../etc/"), -1))
	f.Add(bytes.Replace(good, []byte("  data/empty"), []byte("  data/other"), -1))
	f.Fuzz(func(t *testing.T, raw []byte) {
		b, err := bag.Open(bytes.NewReader(raw), int64(len(raw)))
		var refused *bag.Refusal
		if err != nil {
			if !errors.As(err, &refused) || refused.Reason == "" || !strings.HasSuffix(refused.Says, ".") {
				t.Errorf("refused without a sentence: %v", err)
			}
			return
		}
		c, err := b.Check(context.Background(), nil)
		if err != nil {
			t.Fatal(err)
		}
		for path := range c.Hashes {
			if strings.Contains(path, "..") || strings.HasPrefix(path, "/") || !slices.Contains(b.Paths(), path) {
				t.Errorf("a file called %q", path)
			}
		}
	})
}
