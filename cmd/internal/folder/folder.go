package folder

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"path/filepath"
	"sync"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/index"
	"fettlebook/journal/shop"
	"fettlebook/journal/sqlitelog"
	"fettlebook/media"
	"fettlebook/media/durable"
	"fettlebook/media/photodir"

	"github.com/gofrs/flock"
)

// Folder is a data folder, open for writing.
type Folder struct {
	Identity
	Dir    string
	Log    *sqlitelog.DB
	Photos *photodir.Dir
	Folded *shop.Shop // the one folded shop of this process

	// Took is what was taken over from earlier logs of this machine since the
	// folder was opened.
	Took sqlitelog.Haul

	index  *index.DB
	owing  sync.Mutex // held while work is taken over, and whenever shop.json is written
	naming sync.Mutex // held from the naming of a run until it has begun

	now  func() time.Time
	rand io.Reader

	limits media.Limits
	room   *media.Room // in which pictures are decoded
	smalls smalls
	lock   *flock.Flock
}

// Options bring in what a folder must not take for itself.
type Options struct {
	Now func() time.Time
	// SetClock says that Now is not the machine's own clock: the running time
	// of the machine tells nothing of times by it.
	SetClock bool
	Rand     io.Reader
	// Free returns the bytes free on the disk that holds the folder; nil asks
	// the system.
	Free func() (uint64, error)
	// Meet compares a tablet's log with what its hub holds of it, if the hub is in reach: one
	// that was put back from an older copy is closed before anything is written to it. nil for
	// who has no line.
	Meet   func(context.Context, *Folder) error
	Logger *slog.Logger // nil for none
}

// Open takes the folder and opens all that is in it.
func Open(ctx context.Context, dir string, o Options) (*Folder, error) {
	id, err := ReadIdentity(dir)
	if err != nil {
		return nil, err
	}
	if id.Role == Joining {
		return nil, fmt.Errorf("%w: the last `tablet join` did not finish; run it again with the same invitation", ErrNoFolder)
	}
	lock, err := await(ctx, dir)
	if err != nil {
		return nil, err
	}
	f := &Folder{Identity: id, Dir: dir, lock: lock}
	return f, f.open(ctx, o, true)
}

// Held opens a folder of which the caller holds the lock.
func Held(ctx context.Context, dir string, id Identity, o Options) (*Folder, error) {
	f := &Folder{Identity: id, Dir: dir}
	return f, f.open(ctx, o, true)
}

// Found opens a folder that is being made: its keys are there, its journal need
// not be. The caller holds the lock.
func Found(ctx context.Context, dir string, id Identity, o Options) (*Folder, error) {
	f := &Folder{Identity: id, Dir: dir}
	return f, f.open(ctx, o, false)
}

// open opens what is in the folder; all of it or nothing.
func (f *Folder) open(ctx context.Context, o Options, begun bool) error {
	f.limits, f.room, f.now, f.rand = media.DefaultLimits(), media.NewRoom(), o.Now, o.Rand
	if err := f.openAll(ctx, o, begun); err != nil {
		return errors.Join(Lost(f.Dir, f.Identity, err), f.Close())
	}
	return nil
}

func (f *Folder) openAll(ctx context.Context, o Options, begun bool) error {
	if f.Role == Hub && begun {
		var err error
		if f.Identity, err = settleKeys(ctx, f.Dir, f.Identity); err != nil {
			return err
		}
	}
	key, err := ReadProofKey(f.Dir, LogKey)
	if err != nil {
		return err
	}
	if o.Free == nil {
		o.Free = func() (uint64, error) { return durable.Free(f.Dir) }
	}
	boot, up, err := sinceBoot(o)
	if err != nil {
		return err
	}
	f.Log, err = sqlitelog.Open(ctx, DatabasePath(f.Dir), sqlitelog.Options{
		Shop: f.Shop, Own: f.Device, Key: key, Hub: f.Hub, HubKey: f.HubKey, CosignKey: f.CosignKey, Agreed: f.agreed(),
		Boot: boot, Clock: journal.NewClock(o.Now, o.Rand), Now: o.Now, Started: o.Now().Add(-up),
		Begun: begun, Free: o.Free,
	})
	if err != nil {
		return err
	}
	if f.Photos, err = openPhotos(f.Dir); err != nil {
		return err
	}
	if o.Logger == nil {
		o.Logger = slog.New(slog.DiscardHandler)
	}
	if f.Role == Tablet && begun && o.Meet != nil {
		if err := o.Meet(ctx, f); err != nil {
			o.Logger.DebugContext(ctx, "meet the hub before anything is written", "error", err)
		}
	}
	if f.Role == Tablet {
		// Before anything is written here. What cannot be done now stays owed.
		if err := f.settle(ctx); err != nil {
			o.Logger.WarnContext(ctx, "take over the work of an earlier log", "error", err)
		}
	}
	if f.index, err = OpenIndex(ctx, f.Dir, f.Log, o.Logger); err != nil {
		return err
	}
	f.Folded = shop.Open(f.Authority(), f.Log, f.index, o.Logger)
	return nil
}

// OpenIndex opens the index beside a folder's logs, or begins it. One that is
// of other logs, such as after a backup was put back, is begun anew. Only who
// holds the folder may open it so.
func OpenIndex(ctx context.Context, dir string, log *sqlitelog.DB, logger *slog.Logger) (*index.DB, error) {
	idx, _, err := index.Open(ctx, IndexPath(dir), logger)
	if err != nil {
		return nil, err
	}
	same, err := idx.Agrees(ctx, log)
	if err != nil {
		return nil, errors.Join(err, idx.Close())
	}
	if same {
		return idx, nil
	}
	if err := idx.Discard(); err != nil {
		return nil, err
	}
	idx, _, err = index.Open(ctx, IndexPath(dir), logger)
	return idx, err
}

// DatabasePath is where a folder's logs lie.
func DatabasePath(dir string) string { return filepath.Join(dir, "journal.db") }

// IndexPath is where the index of a folder's logs lies. It may be deleted while
// no program holds the folder.
func IndexPath(dir string) string { return filepath.Join(dir, "index.db") }

// PhotosPath is where a folder's originals lie, unless they were moved; see [Originals].
func PhotosPath(dir string) string { return filepath.Join(dir, "photos") }

// WitnessedPath is the folder beside the log of what others said of it.
func WitnessedPath(dir string) string { return filepath.Join(dir, "witnessed") }

// BrokerPath is where a hub's message store lies.
func BrokerPath(dir string) string { return filepath.Join(dir, "broker") }

// Close gives the folder free.
func (f *Folder) Close() error {
	var errs []error
	if f.index != nil {
		errs = append(errs, f.index.Close())
		f.index = nil
	}
	if f.Log != nil {
		errs = append(errs, f.Log.Close())
	}
	if f.lock != nil {
		errs = append(errs, f.lock.Unlock())
	}
	return errors.Join(errs...)
}
