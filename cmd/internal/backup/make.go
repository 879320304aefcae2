package backup

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"fettlebook/cmd/internal/folder"
	"fettlebook/journal"
	"fettlebook/journal/sqlitelog"
	"fettlebook/media/durable"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
	"github.com/gofrs/flock"
)

// Asked is what a backup is made of, and where.
type Asked struct {
	From, To string
	Now      func() time.Time
	Keep     int                     // how many sets stay, this one among them
	Progress func(done, total int64) // bytes of originals; nil for nobody
	Free     func() (uint64, error)  // bytes free where it goes; nil for the disk's
}

// ErrBusy is returned while another backup is written to the same place.
var ErrBusy = errors.New("another backup is being written to this place; try again when it has ended")

// room is what stays free on the disk that a backup goes to.
const room = 64 << 20

// Make copies a folder, beside whoever writes it, as a new set. When it returns
// without an error, all of the set is on the disk. Whatever happens, the sets
// that were there before are whole.
func Make(ctx context.Context, a Asked) (*Set, error) {
	id, err := folder.ReadIdentity(a.From)
	if err != nil {
		return nil, err
	}
	if id.Role == folder.Joining {
		return nil, fmt.Errorf("%w: this folder has not joined a shop yet", folder.ErrNoFolder)
	}
	if within(a.To, a.From) {
		return nil, &misplaced{a.To}
	}
	sets := filepath.Join(a.To, setsFolder)
	if err := durable.MkdirAll(sets, 0o700); err != nil {
		return nil, fmt.Errorf("make a backup: %w", err)
	}
	lock := flock.New(filepath.Join(a.To, "lock"), flock.SetPermissions(0o600))
	switch got, err := lock.TryLock(); {
	case err != nil:
		return nil, fmt.Errorf("make a backup: %w", err)
	case !got:
		return nil, ErrBusy
	}
	s, err := a.make(ctx, id, sets)
	return s, errors.Join(err, lock.Unlock())
}

// bench makes a backup of the bench that a hub keeps, and names its set.
func (a Asked) bench(ctx context.Context) (string, error) {
	a.From, a.To = filepath.Join(a.From, benchFolder), filepath.Join(a.To, benchFolder)
	s, err := Make(ctx, a)
	if errors.Is(err, folder.ErrNoFolder) {
		return "", nil
	}
	if err != nil {
		return "", err
	}
	return filepath.Base(s.Dir), nil
}

// benchFolder is where a hub keeps the bench that runs in its own process.
const benchFolder = "bench"

// misplaced says that a backup was to lie in the folder that it is of.
type misplaced struct{ to string }

func (m *misplaced) Error() string {
	return fmt.Sprintf("%s lies in the data folder itself; name a place on another disk", m.to)
}

// Is makes it one of what is refused.
func (m *misplaced) Is(target error) bool { return target == fs.ErrInvalid }

func within(path, dir string) bool {
	rel, err := filepath.Rel(resolved(dir), resolved(path))
	return err == nil && rel != ".." && !strings.HasPrefix(rel, ".."+string(filepath.Separator))
}

// resolved follows links as far as the path is there.
func resolved(path string) string {
	abs, err := filepath.Abs(path)
	if err != nil {
		return path
	}
	for at, rest := abs, ""; ; at, rest = filepath.Dir(at), filepath.Join(filepath.Base(at), rest) {
		if is, err := filepath.EvalSymlinks(at); err == nil {
			return filepath.Join(is, rest)
		}
		if at == filepath.Dir(at) {
			return abs
		}
	}
}

func (a Asked) make(ctx context.Context, id folder.Identity, sets string) (*Set, error) {
	if err := a.vacant(id.Device); err != nil {
		return nil, err
	}
	if err := sweep(sets); err != nil {
		return nil, err
	}
	if err := a.fits(ctx); err != nil {
		return nil, err
	}
	made := a.Now().UTC().Truncate(time.Second)
	name, err := a.next(made)
	if err != nil {
		return nil, err
	}
	s := &Set{Format: Format, Made: made, Role: id.Role, Shop: id.Shop, ShopName: id.ShopName, Device: id.Device, Dir: filepath.Join(sets, name)}
	if s.Bench, err = a.bench(ctx); err != nil {
		return nil, err
	}
	unfinished := filepath.Join(sets, unnamed+name)
	if err := a.fill(ctx, s, unfinished); err != nil {
		return nil, errors.Join(err, os.RemoveAll(unfinished))
	}
	if err := durable.MoveFolder(unfinished, s.Dir); err != nil {
		return nil, fmt.Errorf("make a backup: %w", err)
	}
	return s, a.prune()
}

// unnamed begins the name of a set that is being written.
const unnamed = ".new-"

// sweep removes what was being written when the power went.
func sweep(sets string) error {
	left, err := filepath.Glob(filepath.Join(sets, unnamed+"*"))
	if err != nil {
		return err
	}
	for _, dir := range left {
		if err := os.RemoveAll(dir); err != nil {
			return fmt.Errorf("clear away an unfinished backup: %w", err)
		}
	}
	return nil
}

// fill writes all of a set: the logs first, so that each original that they name
// is on hand when the originals are copied.
func (a Asked) fill(ctx context.Context, s *Set, into string) error {
	if err := durable.MkdirAll(into, 0o700); err != nil {
		return fmt.Errorf("make a backup: %w", err)
	}
	logs := folder.DatabasePath(into)
	if err := sqlitelog.Copy(ctx, folder.DatabasePath(a.From), logs); err != nil {
		return err
	}
	is, err := measured(ctx, into, filepath.Base(logs), io.Discard)
	if err != nil {
		return fmt.Errorf("make a backup: %w", err)
	}
	s.Files = append(s.Files, is)
	if err := a.small(ctx, s, into); err != nil {
		return err
	}
	db, err := sqlitelog.OpenToRead(ctx, logs)
	if err != nil {
		return err
	}
	err = a.describe(ctx, s, db)
	if err := errors.Join(err, db.Close()); err != nil {
		return err
	}
	raw, err := json.Marshal(s, jsontext.WithIndent("  "))
	if err != nil {
		return fmt.Errorf("describe a backup: %w", err)
	}
	if err := durable.WriteFile(filepath.Join(into, manifest), append(raw, '\n'), 0o600); err != nil {
		return fmt.Errorf("make a backup: %w", err)
	}
	return nil
}

// describe says which logs the set has, and brings the originals up to it.
func (a Asked) describe(ctx context.Context, s *Set, db *sqlitelog.DB) error {
	heads, err := db.Heads(ctx)
	if err != nil {
		return err
	}
	for _, h := range heads {
		s.Logs = append(s.Logs, Log{h.Device, h.Size})
	}
	withdrawn, err := db.Withdrawals(ctx)
	if err != nil {
		return err
	}
	s.Originals, err = a.originals(ctx, withdrawn)
	return err
}

// madeAnew reports whether a file or folder of a data folder is left out of
// backups: it is made of the rest, is of one run of a program, or is copied otherwise.
func madeAnew(name string) bool {
	switch name {
	case "lock", "door.json", "drafts", "broker", "photos", folder.PhotosFile, benchFolder:
		return true
	}
	return strings.HasPrefix(name, "journal.db") || strings.HasPrefix(name, "index.db") || durable.IsTemp(name)
}

// small copies all other files.
func (a Asked) small(ctx context.Context, s *Set, into string) error {
	return filepath.WalkDir(a.From, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return fmt.Errorf("make a backup: %w", err)
		}
		name, err := filepath.Rel(a.From, path)
		if err != nil {
			return err
		}
		if top, _, _ := strings.Cut(filepath.ToSlash(name), "/"); madeAnew(top) || durable.IsTemp(name) {
			if d.IsDir() {
				return fs.SkipDir
			}
			return nil
		}
		if !d.Type().IsRegular() {
			return nil
		}
		is, err := carry(ctx, a.From, filepath.ToSlash(name), into)
		if errors.Is(err, fs.ErrNotExist) {
			return nil // it went while the folder was walked through
		}
		s.Files = append(s.Files, is)
		return err
	})
}

// carry copies a file to the same place below another folder.
func carry(ctx context.Context, from, name, into string) (File, error) {
	to := filepath.Join(into, filepath.FromSlash(name))
	if err := durable.MkdirAll(filepath.Dir(to), 0o700); err != nil {
		return File{}, fmt.Errorf("copy %s: %w", name, err)
	}
	f, err := durable.Create(filepath.Dir(to), 0o600)
	if err != nil {
		return File{}, fmt.Errorf("copy %s: %w", name, err)
	}
	is, err := measured(ctx, from, name, f)
	if err != nil {
		return File{}, errors.Join(fmt.Errorf("copy %s: %w", name, err), f.Abort())
	}
	return is, f.Commit(to)
}

// prune removes the oldest sets beyond those that are kept. Its name is taken
// from a set first, so that none that has one is half removed.
func (a Asked) prune() error {
	names, err := Names(a.To)
	if err != nil {
		return err
	}
	for _, name := range names[:max(0, len(names)-max(1, a.Keep))] {
		dir := filepath.Join(a.To, setsFolder, name)
		if err := durable.MoveFolder(dir, filepath.Join(filepath.Dir(dir), unnamed+name)); err != nil {
			return fmt.Errorf("remove an old backup: %w", err)
		}
	}
	return sweep(filepath.Join(a.To, setsFolder))
}

// fits refuses to begin what the disk has no room for.
func (a Asked) fits(ctx context.Context) error {
	free := a.Free
	if free == nil {
		free = func() (uint64, error) { return durable.Free(a.To) }
	}
	has, err := free()
	if err != nil {
		return fmt.Errorf("look for room: %w", err)
	}
	needs, err := a.missing(ctx)
	if err != nil {
		return err
	}
	if logs, err := os.Stat(folder.DatabasePath(a.From)); err == nil {
		needs += logs.Size()
	}
	if has < uint64(needs)+room {
		return fmt.Errorf("%w (%s has %d MB, and %d MB are needed)", journal.ErrDiskLow, a.To, has>>20, uint64(needs+room)>>20)
	}
	return nil
}
