package bag

import (
	"archive/zip"
	"bytes"
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"path"
	"slices"
	"strings"
	"time"

	"fettlebook/media/until"
)

// Writer streams a bag. Files are added in an order that the caller chooses
// and that is the same every time; after an error the bag is of no use.
type Writer struct {
	zip    *zip.Writer
	out    *counted
	folder string
	files  []listed
	bytes  int64
	names  map[string]bool // squashed, so that no two meet on any machine
}

// listed is a line of a manifest.
type listed struct {
	path string
	hash Hash
}

// NewWriter begins a bag that unpacks into a folder of the given name.
func NewWriter(w io.Writer, folder string) (*Writer, error) {
	if !plain(folder) || strings.Contains(folder, "/") {
		return nil, fmt.Errorf("%q is not a name for a folder", folder)
	}
	out := &counted{w: w, most: MaxBytes}
	return &Writer{zip: zip.NewWriter(out), out: out, folder: folder, names: make(map[string]bool)}, nil
}

// ErrFull is wrapped when more is put into a bag than one may hold.
var ErrFull = errors.New("a bag holds no more")

// counted stops before a bag is larger than one that can be read.
type counted struct {
	w       io.Writer
	n, most int64
}

func (c *counted) Write(p []byte) (int, error) {
	if c.n+int64(len(p)) > c.most {
		return 0, fmt.Errorf("%w than %d bytes", ErrFull, c.most)
	}
	n, err := c.w.Write(p)
	c.n += int64(n)
	return n, err
}

// Add streams one file of the payload into the bag, by its path below data/,
// and returns the hash of what came. Pictures are stored as they are, all else
// is deflated.
func (w *Writer) Add(ctx context.Context, path string, r io.Reader) (Hash, error) {
	squashed := strings.ToLower(path)
	switch {
	case !plain(w.folder+"/"+payload+path) || w.names[squashed]:
		return Hash{}, fmt.Errorf("pack %s: the name is taken or not plain", path)
	case len(w.names) >= MaxFiles-tagFiles:
		return Hash{}, fmt.Errorf("pack %s: %w than %d files", path, ErrFull, MaxFiles)
	}
	w.names[squashed] = true
	hash, n, err := w.put(payload+path, until.Done(ctx, r))
	if err != nil {
		return Hash{}, err
	}
	w.files = append(w.files, listed{payload + path, hash})
	w.bytes += n
	if w.bytes > MaxUnpacked {
		return Hash{}, fmt.Errorf("pack %s: %w than %d bytes unpacked", path, ErrFull, int64(MaxUnpacked))
	}
	return hash, nil
}

// AddBytes is [Writer.Add] for what is at hand.
func (w *Writer) AddBytes(ctx context.Context, path string, b []byte) (Hash, error) {
	return w.Add(ctx, path, bytes.NewReader(b))
}

// Close writes the manifests and ends the bag. Lines of bag-info.txt are
// "Label", "text", as many as wanted; the payload's size is among them anyway.
func (w *Writer) Close(info ...[2]string) error {
	tags := []struct{ name, text string }{
		{declaration, "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n"},
		{infoFile, written(append(info, [2]string{"Payload-Oxum", fmt.Sprintf("%d.%d", w.bytes, len(w.files))}))},
		{manifest, list(w.files)},
	}
	var beside []listed
	for _, t := range tags {
		sum, _, err := w.put(t.name, strings.NewReader(t.text))
		if err != nil {
			return err
		}
		beside = append(beside, listed{t.name, sum})
	}
	if _, _, err := w.put(tagManifest, strings.NewReader(list(beside))); err != nil {
		return err
	}
	if err := w.zip.Close(); err != nil {
		return fmt.Errorf("end the bag: %w", err)
	}
	return nil
}

// The first day that a ZIP file can name: a bag holds no time of its making.
func epoch() time.Time { return time.Date(1980, time.January, 1, 0, 0, 0, 0, time.UTC) }

func (w *Writer) put(name string, r io.Reader) (Hash, int64, error) {
	h := &zip.FileHeader{Name: w.folder + "/" + name, Method: zip.Deflate, Modified: epoch()}
	if slices.Contains([]string{".jpg", ".png"}, path.Ext(name)) {
		h.Method = zip.Store
	}
	h.SetMode(0o644)
	to, err := w.zip.CreateHeader(h)
	if err != nil {
		return Hash{}, 0, fmt.Errorf("pack %s: %w", name, err)
	}
	sum := sha256.New()
	n, err := io.Copy(io.MultiWriter(to, sum), r)
	if err != nil {
		return Hash{}, n, fmt.Errorf("pack %s: %w", name, err)
	}
	return Hash(sum.Sum(nil)), n, nil
}

// list writes a manifest as sha256sum does, sorted by path.
func list(files []listed) string {
	slices.SortFunc(files, func(a, b listed) int { return strings.Compare(a.path, b.path) })
	var text strings.Builder
	for _, f := range files {
		fmt.Fprintf(&text, "%s  %s\n", f.hash.Hex(), f.path)
	}
	return text.String()
}

func written(info [][2]string) string {
	var text strings.Builder
	for _, line := range info {
		fmt.Fprintf(&text, "%s: %s\n", line[0], strings.Join(strings.Fields(line[1]), " "))
	}
	return text.String()
}
