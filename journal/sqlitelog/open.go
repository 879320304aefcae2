package sqlitelog

import (
	"cmp"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/prepared"
	"fettlebook/journal/proof"

	"golang.org/x/mod/sumdb/note"
	_ "modernc.org/sqlite" // the driver
)

// Options say whose log this is. Reading needs none of them.
type Options struct {
	Shop journal.ShopID
	// Own is the device whose log is written here; Key signs it. Without Own
	// the database takes no entries of its own.
	Own journal.DeviceID
	Key proof.Key
	// Hub is the device whose log is the shop's register, HubKey its verifier
	// key. The keys of all other devices come from the entries of that log.
	Hub    journal.DeviceID
	HubKey string
	// CosignKey verifies the countersignatures of the hub that founded the
	// shop. It and HubKey are those of the founding; which came after them the
	// hub's log says.
	CosignKey string
	// Agreed lists the fingerprints of keys of the hub that are taken for its
	// own though the keys before them did not sign them.
	Agreed []journal.Digest

	Boot    journal.BootID
	Clock   *journal.Clock
	Now     func() time.Time // with a monotonic reading, if Uptime is to hold
	Started time.Time        // when this start of the program began

	// Begun says that the own log was begun before: a database that does not
	// hold it is refused with [ErrLost], and none is made. Whoever makes one where
	// a log was would begin a second history under the same keys.
	Begun bool

	// Free returns the bytes free on the disk; nil skips the check.
	Free func() (uint64, error)

	driver string // of the writing connection, if not SQLite itself
}

func (o *Options) authority() journal.Authority {
	return journal.Authority{Shop: o.Shop, Hub: o.Hub}
}

// valid refuses what would write entries that nobody can read.
func (o *Options) valid() error {
	switch {
	case o.Own == "":
		return nil
	case o.Key.IsZero():
		return fmt.Errorf("the key that signs the log of %s is missing; restore the key file from your backup or join the shop again", o.Own)
	case o.Shop == "" || o.Boot == "":
		return errors.New("open log: a log that is written needs the names of the shop and of this start")
	case o.Clock == nil || o.Now == nil:
		return errors.New("open log: a log that is written needs a clock")
	}
	return nil
}

// The free space below which photos, then entries, are no longer taken. The
// reserve pays for the transaction that is under way, its WAL and the copy
// back, and for the hub's receipts.
const (
	LowForPhotos  = 512 << 20
	LowForEntries = 64 << 20
)

// DB is an open database of logs. It is safe for concurrent use.
type DB struct {
	opts   Options
	write  *sql.DB      // one connection
	read   *prepared.DB // many, read-only
	insert *sql.Stmt

	queue   queue
	writing turn  // held over every write; guards what follows
	company bool  // the last batch had more than one member
	own     int64 // row of the own log
	tree    *proof.Tree
	closed  error
	signer  note.Signer

	agreed agreed
	seen   seenState
	citing citing
	rising rising
	wakes  wakes
}

// turn is a lock that can be waited for beside other things.
type turn chan struct{}

func (t turn) Lock()   { t <- struct{}{} }
func (t turn) Unlock() { <-t }

const pragmas = "?_pragma=busy_timeout(10000)&_pragma=journal_mode(WAL)&_pragma=synchronous(FULL)&_pragma=foreign_keys(1)" +
	"&_pragma=secure_delete(1)&_pragma=wal_autocheckpoint(2000)&_txlock=immediate"

const readOnly = "?mode=ro&_pragma=busy_timeout(10000)&_pragma=query_only(1)"

// Open opens or creates the database and makes it ready to append. A
// database of a newer fettlebook is refused with [journal.ErrNewer], one that
// lost its log with [ErrLost] if the log was begun.
func Open(ctx context.Context, path string, opts Options) (*DB, error) {
	if err := opts.valid(); err != nil {
		return nil, err
	}
	if err := opts.look(ctx, path); err != nil {
		return nil, err
	}
	db := &DB{opts: opts, writing: make(turn, 1), agreed: agreed{list: slices.Clone(opts.Agreed)}}
	var err error
	if db.write, err = openOn(cmp.Or(opts.driver, "sqlite"), path, pragmas, 1); err != nil {
		return nil, err
	}
	if err := db.prepare(ctx, path); err != nil {
		return nil, errors.Join(err, db.Close())
	}
	return db, nil
}

func (db *DB) prepare(ctx context.Context, path string) error {
	if err := checkPragmas(ctx, db.write); err != nil {
		return err
	}
	if err := migrate(ctx, db.write); err != nil {
		return err
	}
	pool, err := openPool(path, readOnly, 4)
	if err != nil {
		return err
	}
	db.read = prepared.On(pool)
	if db.insert, err = db.write.PrepareContext(ctx,
		`INSERT INTO entries (pos, bytes, nodes, thumbs, checkpoint) VALUES (?, ?, ?, ?, ?)`); err != nil {
		return fmt.Errorf("prepare insert: %w", damaged(err))
	}
	if db.opts.Hub != "" {
		if err := db.know(ctx, db.write, db.opts.Hub, db.opts.HubKey); err != nil {
			return err
		}
	}
	if err := db.resumeClock(ctx); err != nil {
		return err
	}
	if err := db.lookThrough(ctx); err != nil {
		return err
	}
	if db.opts.Own == "" {
		return nil
	}
	return db.openOwn(ctx)
}

// openOwn loads the edge of the own log's tree.
func (db *DB) openOwn(ctx context.Context) error {
	db.signer = db.opts.Key.Signer()
	if err := db.know(ctx, db.write, db.opts.Own, db.opts.Key.Verifier()); err != nil {
		return err
	}
	db.writing.Lock()
	defer db.writing.Unlock()
	if err := db.reload(ctx); err != nil {
		return err
	}
	if err := db.loadCiting(ctx); err != nil {
		return err
	}
	return db.loadSeen(ctx)
}

// OpenToRead opens an existing database for reading only, beside a program
// that writes it.
func OpenToRead(ctx context.Context, path string) (*DB, error) {
	if err := lies(path); err != nil {
		return nil, err
	}
	read, err := openPool(path, still(path, readOnly), 2)
	if err != nil {
		return nil, err
	}
	if err := known(ctx, read); err != nil {
		return nil, errors.Join(err, read.Close())
	}
	return &DB{read: prepared.On(read), writing: make(turn, 1)}, nil
}

// Close ends all use of the database.
func (db *DB) Close() error {
	var errs []error
	if db.insert != nil {
		errs = append(errs, db.insert.Close())
	}
	if db.read != nil {
		errs = append(errs, db.read.Close())
	}
	if db.write != nil {
		errs = append(errs, db.write.Close())
	}
	return errors.Join(errs...)
}

// create makes the file private before SQLite opens it.
func create(path string) error {
	f, err := os.OpenFile(path, os.O_CREATE|os.O_RDWR, 0o600)
	if err != nil {
		return fmt.Errorf("open log: %w", err)
	}
	return f.Close()
}

// look refuses what must not be opened before anything is written: a connection
// that writes may already copy the write-ahead log into the file.
func (o *Options) look(ctx context.Context, path string) error {
	if err := lies(path); !o.Begun && errors.Is(err, ErrLost) {
		return create(path)
	} else if err != nil {
		return err
	}
	pool, err := openPool(path, readOnly, 1)
	if err != nil {
		return err
	}
	err = checkVersion(ctx, pool)
	if err == nil && o.Begun {
		err = o.holdsOwn(ctx, pool)
	}
	return errors.Join(err, pool.Close())
}

// openPool opens connections that all carry the same pragmas: they stand in
// the name, so that every pooled connection has them.
func openPool(path, query string, most int) (*sql.DB, error) {
	return openOn("sqlite", path, query, most)
}

func openOn(driver, path, query string, most int) (*sql.DB, error) {
	abs, err := filepath.Abs(path)
	if err != nil {
		return nil, fmt.Errorf("open log: %w", err)
	}
	name := "file:" + (&url.URL{Path: filepath.ToSlash(abs)}).EscapedPath() + query
	pool, err := sql.Open(driver, name)
	if err != nil {
		return nil, fmt.Errorf("open log: %w", err)
	}
	pool.SetMaxOpenConns(most)
	pool.SetMaxIdleConns(most)
	pool.SetConnMaxIdleTime(0)
	return pool, nil
}

// checkPragmas reads back what durability rests on.
func checkPragmas(ctx context.Context, pool *sql.DB) error {
	for _, p := range []struct{ name, want string }{
		{"journal_mode", "wal"}, {"synchronous", "2"}, {"foreign_keys", "1"}, {"busy_timeout", "10000"},
	} {
		var got string
		if err := pool.QueryRowContext(ctx, "PRAGMA "+p.name).Scan(&got); err != nil {
			return damaged(err)
		}
		if !strings.EqualFold(got, p.want) {
			return fmt.Errorf("the database has %s=%s and must have %s; is the folder on a network share? Put it on a local disk", p.name, got, p.want)
		}
	}
	return nil
}
