package draft

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"

	"fettlebook/journal"
	"fettlebook/media/durable"
)

// The caps on what is kept.
const (
	MaxDrafts = 400                 // many times what a shop has begun at once; the oldest go first
	MaxEach   = 60                  // of one person, so that nobody crowds out another
	MaxBytes  = 8 << 20             // of one draft: a form is a few kilobytes, a recorder's file the rest
	MaxAll    = 64 << 20            // of all drafts together
	Life      = 30 * 24 * time.Hour // then nobody comes back to it
)

// ErrTooBig is returned for a draft that holds more than [MaxBytes].
var ErrTooBig = errors.New("this is more than can be kept unstamped; stamp what is there first, or type less")

// ErrDamaged is wrapped when a draft's file cannot be read.
var ErrDamaged = errors.New("what was typed here before is damaged on the disk and lost; type it again, nothing else is touched")

// Options bring in what a store must not take for itself.
type Options struct {
	Now func() time.Time
}

// Store keeps drafts in a folder. It is safe for concurrent use, and the only
// one in its folder.
type Store struct {
	dir string
	now func() time.Time

	mu      sync.Mutex // guards what follows, and the files
	heads   map[string]head
	presses []press

	saving sync.Mutex // held while a press writes
}

// head is what is known of a draft without reading its file.
type head struct {
	Item
	by    journal.PersonID
	cards []journal.CardID
	size  int64
}

// Item is a draft in a list.
type Item struct {
	Path, Title string
	When        time.Time
}

// Open opens the store in a folder, which it makes if need be. Files that
// cannot be read stay where they are until they are old.
func Open(dir string, o Options) (*Store, error) {
	s := &Store{dir: dir, now: o.Now, heads: make(map[string]head)}
	if err := durable.MkdirAll(dir, 0o700); err != nil {
		return nil, fmt.Errorf("make the folder of drafts: %w", err)
	}
	if err := durable.Sweep(dir); err != nil {
		return nil, fmt.Errorf("tidy the folder of drafts: %w", err)
	}
	files, err := os.ReadDir(dir)
	if err != nil {
		return nil, fmt.Errorf("list drafts: %w", err)
	}
	for _, f := range files {
		if !strings.HasSuffix(f.Name(), suffix) || f.Name() == pressFile {
			continue
		}
		info, err := f.Info()
		if err != nil {
			return nil, fmt.Errorf("list drafts: %w", err)
		}
		h := head{Item: Item{When: info.ModTime()}, size: info.Size()}
		if d, err := s.read(f.Name()); err == nil {
			h = d.head(info.Size())
		}
		s.heads[f.Name()] = h
	}
	s.readPresses()
	return s, s.prune()
}

// Get returns the draft of a key; an empty one if there is none. The error
// wraps [ErrDamaged] if there was one.
func (s *Store) Get(k Key) (Draft, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.get(k)
}

func (s *Store) get(k Key) (Draft, error) {
	d, err := s.read(k.file())
	if errors.Is(err, fs.ErrNotExist) {
		err = nil
	}
	if err != nil || d.Path == "" {
		d = Draft{By: k.By, Path: k.Path}
	}
	if d.Values == nil {
		d.Values = make(map[string][]string)
	}
	return d, err
}

// Change changes the draft of a key and returns it as it then is on the disk.
// A damaged one counts as empty.
func (s *Store) Change(k Key, change func(*Draft)) (Draft, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	d, err := s.get(k)
	if err != nil && !errors.Is(err, ErrDamaged) {
		return d, err
	}
	change(&d)
	d.By, d.Path, d.When = k.By, k.Path, s.now()
	raw, err := d.encode()
	if err != nil {
		return d, err
	}
	if err := durable.WriteFile(filepath.Join(s.dir, k.file()), raw, 0o600); err != nil {
		return d, fmt.Errorf("keep a draft: %w", err)
	}
	s.heads[k.file()] = d.head(int64(len(raw)))
	return d, s.prune()
}

// Drop throws the draft of a key away.
func (s *Store) Drop(k Key) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.remove(k.file())
}

func (s *Store) remove(file string) error {
	delete(s.heads, file)
	if err := durable.Remove(filepath.Join(s.dir, file)); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("drop a draft: %w", err)
	}
	return nil
}

// Forget throws away the drafts in which something is typed of a customer whose card was
// erased, and returns how many those were.
func (s *Store) Forget(erased func(journal.CardID) bool) (gone int, err error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for file, h := range s.heads {
		if slices.ContainsFunc(h.cards, erased) {
			err = errors.Join(err, s.remove(file))
			gone++
		}
	}
	return gone, err
}

// List returns what a person has begun, and what was begun before anybody said
// who they are, the newest first.
func (s *Store) List(by journal.PersonID) []Item {
	s.mu.Lock()
	defer s.mu.Unlock()
	var list []Item
	for _, h := range s.heads {
		if h.Path != "" && (h.by == by || h.by == "") {
			list = append(list, h.Item)
		}
	}
	slices.SortFunc(list, func(a, b Item) int { return cmp.Or(-a.When.Compare(b.When), cmp.Compare(a.Path, b.Path)) })
	return list
}

// prune drops what is too old, and the oldest of what is too much.
func (s *Store) prune() error {
	files := slices.SortedFunc(maps.Keys(s.heads), func(a, b string) int {
		return cmp.Or(-s.heads[a].When.Compare(s.heads[b].When), cmp.Compare(a, b))
	})
	var all int64
	var errs []error
	each := make(map[journal.PersonID]int)
	for i, f := range files {
		h := s.heads[f]
		all += h.size
		each[h.by]++
		if i >= MaxDrafts || each[h.by] > MaxEach || i > 0 && all > MaxAll || s.now().Sub(h.When) > Life {
			errs = append(errs, s.remove(f))
		}
	}
	return errors.Join(errs...)
}
