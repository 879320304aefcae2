package backup

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"time"

	"fettlebook/cmd/internal/folder"
	"fettlebook/journal"
	"fettlebook/media/until"

	"github.com/go-json-experiment/json"
)

// Format names what set.json is written in.
const Format = "fettlebook-backup/1"

// Set is what a set says of itself.
type Set struct {
	Format    string           `json:"format"`
	Made      time.Time        `json:"made"`
	Role      folder.Role      `json:"role"`
	Shop      journal.ShopID   `json:"shop"`
	ShopName  string           `json:"shop_name,omitzero"`
	Device    journal.DeviceID `json:"device"`
	Logs      []Log            `json:"logs"`
	Originals int              `json:"originals"` // that the folder had
	Files     []File           `json:"files"`
	Bench     string           `json:"bench,omitzero"` // the set of the bench that the hub keeps

	Dir     string   `json:"-"` // where it lies
	Checked *Checked `json:"-"` // nil if it was not yet
}

// Checked is how a set came out when it was checked as a data folder is.
type Checked struct {
	At      time.Time `json:"at"`
	Damaged bool      `json:"damaged"`
}

// Log is a log in the set, by how many entries it has.
type Log struct {
	Device journal.DeviceID `json:"device"`
	Size   int64            `json:"entries"`
}

// File is a file of the set.
type File struct {
	Path   string `json:"path"` // with slashes
	Size   int64  `json:"size"`
	SHA256 string `json:"sha256"`
}

// Entries is how many entries the set holds.
func (s *Set) Entries() (n int64) {
	for _, l := range s.Logs {
		n += l.Size
	}
	return n
}

// What a set is called for its moment, and where sets and originals lie.
const (
	naming     = "20060102T150405Z"
	setsFolder = "sets"
	manifest   = "set.json"
	verdict    = "checked.json"
)

// ErrNone is returned where no set is.
var ErrNone = errors.New("there is no backup here")

// ErrDamaged is returned for a set that is not what it was.
var ErrDamaged = errors.New("this backup is damaged; take an older set of it with --set, or another copy")

// Names lists the sets of a backup, the oldest first.
func Names(dir string) ([]string, error) {
	found, err := os.ReadDir(filepath.Join(dir, setsFolder))
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("look for backups: %w", err)
	}
	var names []string
	for _, f := range found {
		if _, err := time.Parse(naming, f.Name()); err == nil && f.IsDir() {
			names = append(names, f.Name())
		}
	}
	slices.Sort(names)
	return names, nil
}

// Newest reads what the newest set of a backup says of itself.
func Newest(dir string) (*Set, error) {
	names, err := Names(dir)
	if err != nil {
		return nil, err
	}
	if len(names) == 0 {
		return nil, fmt.Errorf("%w: %s", ErrNone, dir)
	}
	return Read(dir, names[len(names)-1])
}

// Read reads what a set says of itself.
func Read(dir, name string) (*Set, error) {
	s := &Set{Dir: filepath.Join(dir, setsFolder, name)}
	raw, err := os.ReadFile(filepath.Join(s.Dir, manifest))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("%w: %s", ErrNone, s.Dir)
	}
	if err != nil {
		return nil, fmt.Errorf("read backup: %w", err)
	}
	if err := json.Unmarshal(raw, s); err != nil {
		return nil, fmt.Errorf("%w (%s: %w)", ErrDamaged, s.Dir, err)
	}
	if s.Format != Format {
		return nil, fmt.Errorf("%w (%s: it is of the form %q)", journal.ErrNewer, s.Dir, s.Format)
	}
	switch raw, err := os.ReadFile(filepath.Join(s.Dir, verdict)); {
	case err == nil:
		if err := json.Unmarshal(raw, &s.Checked); err != nil {
			s.Checked = nil // it is only said again
		}
	case !errors.Is(err, fs.ErrNotExist):
		return nil, fmt.Errorf("read backup: %w", err)
	}
	return s, nil
}

// measured reads a file's size and hash, and writes it on to who copies it.
func measured(ctx context.Context, root, name string, onto io.Writer) (File, error) {
	f, err := os.Open(filepath.Join(root, filepath.FromSlash(name)))
	if err != nil {
		return File{}, err
	}
	defer f.Close()
	sum := sha256.New()
	n, err := io.Copy(io.MultiWriter(sum, onto), until.Done(ctx, f))
	return File{Path: name, Size: n, SHA256: hex.EncodeToString(sum.Sum(nil))}, err
}
