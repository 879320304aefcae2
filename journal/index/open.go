package index

import (
	"context"
	"database/sql"
	_ "embed" // the schema
	"errors"
	"fmt"
	"hash/crc32"
	"io/fs"
	"log/slog"
	"net/url"
	"os"
	"path/filepath"
	"strconv"
	"sync/atomic"

	"fettlebook/journal"
	"fettlebook/journal/prepared"

	"modernc.org/sqlite"
	lib "modernc.org/sqlite/lib"
)

//go:embed schema.sql
var schema string

// form is raised whenever the schema or what is put into it changes.
const form = 12

// version tells what is in an index: its form, and the kinds that whoever made
// it could read, since of others only the place was put in. An index of any
// other version is begun anew.
func version() int {
	sum := crc32.NewIEEE()
	fmt.Fprint(sum, form)
	for k := range journal.Kinds() {
		fmt.Fprintf(sum, " %s/%d", k, k.Version())
	}
	return int(sum.Sum32() >> 1) // SQLite's own has a sign
}

// ErrDamaged is wrapped when SQLite finds the index damaged. Close it and
// open it again: the damaged file is then deleted and the index begun anew.
var ErrDamaged = errors.New("the index is damaged; it is rebuilt from the logs at the next start, and nothing is lost")

// DB is an open index. It is safe for concurrent use: one writes at a time,
// and readers never wait.
type DB struct {
	path  string
	write *sql.DB      // one connection
	read  *prepared.DB // many, read-only

	writing  turn // held over every write; guards what follows
	conn     *sql.Conn
	prepared map[string]*sql.Stmt
	stamp    int64
	unwiped  bool // erased words may still lie in the write-ahead log

	condemned atomic.Bool
}

// turn is a lock that can be waited for beside other things.
type turn chan struct{}

func (t turn) lock(ctx context.Context) error {
	select {
	case t <- struct{}{}:
		return nil
	case <-ctx.Done():
		return context.Cause(ctx)
	}
}

func (t turn) unlock() { <-t }

// synchronous=NORMAL: what a loss of power takes from the end, the mark loses
// with it, and the logs still have it. secure_delete serves erased cards.
const pragmas = "?_pragma=busy_timeout(10000)&_pragma=journal_mode(WAL)&_pragma=synchronous(NORMAL)" +
	"&_pragma=secure_delete(1)&_pragma=wal_autocheckpoint(2000)&_pragma=journal_size_limit(8388608)&_pragma=cache_size(-8000)"

const readOnly = "?mode=ro&_pragma=busy_timeout(10000)&_pragma=query_only(1)&_pragma=cache_size(-2000)"

// readers is how many may read at the same time.
const readers = 4

// Open opens the index at the path, or begins it. A file of another version,
// or one that SQLite finds damaged, is deleted and begun anew; begun says
// that the index is empty and has to be filled with [DB.Load].
func Open(ctx context.Context, path string, log *slog.Logger) (db *DB, begun bool, err error) {
	if _, err := os.Stat(condemnation(path)); err == nil {
		log.WarnContext(ctx, "index begun anew", "path", path, "reason", "found damaged")
		if err := remove(path); err != nil {
			return nil, false, err
		}
	}
	db, begun, err = open(ctx, path)
	if err == nil || !errors.Is(err, ErrDamaged) && !errors.Is(err, errVersion) {
		return db, begun, err
	}
	log.WarnContext(ctx, "index begun anew", "path", path, "reason", err)
	if err := remove(path); err != nil {
		return nil, false, err
	}
	return open(ctx, path)
}

var errVersion = errors.New("the index is of another version of fettlebook")

func open(ctx context.Context, path string) (db *DB, begun bool, err error) {
	file, err := os.OpenFile(path, os.O_CREATE|os.O_RDWR, 0o600) // private before SQLite opens it
	if err != nil {
		return nil, false, fmt.Errorf("open index: %w", err)
	}
	if err := file.Close(); err != nil {
		return nil, false, fmt.Errorf("open index: %w", err)
	}
	db = &DB{path: path, writing: make(turn, 1), prepared: map[string]*sql.Stmt{}, unwiped: true} // a crash may have come between an erasure and its wipe
	if db.write, err = pool(path, pragmas, 1); err != nil {
		return nil, false, err
	}
	if begun, err = db.prepare(ctx); err == nil {
		db.read, err = reading(path, readers)
	}
	if err == nil {
		err = db.look(ctx)
	}
	if err != nil {
		return nil, false, errors.Join(fmt.Errorf("open index: %w", err), db.close())
	}
	return db, begun, nil
}

// OpenToRead opens an index that another program may be writing, and keeps
// looking at it as it is now: that program may put it in order anew meanwhile,
// and half of it would read like a shop that lost the rest. One that is not
// there, damaged or of another version is an error that matters little: the
// logs say the same.
func OpenToRead(ctx context.Context, path string) (*DB, error) {
	if _, err := os.Stat(path); err != nil {
		return nil, fmt.Errorf("open index: %w", err)
	}
	db := &DB{path: path, writing: make(turn, 1)}
	var err error
	if db.read, err = reading(path, 1); err != nil {
		return nil, err
	}
	if _, err := db.read.ExecContext(ctx, `BEGIN`); err != nil { // ends with its one connection
		return nil, errors.Join(fmt.Errorf("open index: %w", err), db.close())
	}
	var have int
	err = db.read.QueryRowContext(ctx, `PRAGMA user_version`).Scan(&have)
	if err == nil && have != version() {
		err = fmt.Errorf("%w: %d", errVersion, have)
	}
	if err == nil {
		err = db.look(ctx)
	}
	if err != nil {
		return nil, errors.Join(fmt.Errorf("open index: %w", err), db.close())
	}
	return db, nil
}

// prepare makes the tables of an empty file and refuses those of another
// version.
func (db *DB) prepare(ctx context.Context) (begun bool, err error) {
	if db.conn, err = db.write.Conn(ctx); err != nil {
		return false, db.judge(err)
	}
	err = db.tx(ctx, func(b *batch) error {
		var have, tables int
		if err := db.conn.QueryRowContext(ctx, `SELECT user_version, (SELECT count(*) FROM sqlite_schema) FROM pragma_user_version`).Scan(&have, &tables); err != nil {
			return err
		}
		switch {
		case have == version():
			db.stamp, err = b.number(`SELECT max((SELECT coalesce(max(stamp), 0) FROM dirty), (SELECT coalesce(max(stamp), 0) FROM parts))`)
			return err
		case have != 0 || tables != 0:
			return fmt.Errorf("%w: %d", errVersion, have)
		}
		begun = true
		_, err := db.conn.ExecContext(ctx, schema+"\nPRAGMA user_version = "+strconv.Itoa(version()))
		return err
	})
	return begun, err
}

// look reads the edge of every log, so that a file that was cut or
// overwritten is found before anybody relies on it.
func (db *DB) look(ctx context.Context) error {
	marks, err := db.Marks(ctx)
	if err != nil {
		return err
	}
	for _, m := range marks {
		if m.Size == 0 {
			continue
		}
		r, err := db.At(ctx, m.last())
		if err != nil {
			return err
		}
		if r.ID != m.Last {
			return fmt.Errorf("%w: the mark of %s names another entry than is there", ErrDamaged, m.Device)
		}
	}
	return nil
}

// Close ends all use of the index.
func (db *DB) Close() error {
	var wipe error
	if db.unwiped && !db.condemned.Load() {
		wipe = db.wipe(context.Background())
	}
	return errors.Join(wipe, db.close())
}

func (db *DB) close() error {
	var errs []error
	for _, s := range db.prepared {
		errs = append(errs, s.Close())
	}
	if db.conn != nil {
		errs = append(errs, db.conn.Close())
	}
	if db.read != nil {
		errs = append(errs, db.read.Close())
	}
	if db.write != nil {
		errs = append(errs, db.write.Close())
	}
	return errors.Join(errs...)
}

// judge marks errors that mean damage, and sees to it that the next Open
// deletes the file.
func (db *DB) judge(err error) error {
	var e *sqlite.Error
	if !errors.As(err, &e) {
		return err
	}
	switch e.Code() & 0xff {
	case lib.SQLITE_CORRUPT, lib.SQLITE_NOTADB:
	default:
		return err
	}
	err = fmt.Errorf("%w: %w", ErrDamaged, err)
	if db.condemned.CompareAndSwap(false, true) {
		err = errors.Join(err, os.WriteFile(condemnation(db.path), nil, 0o600))
	}
	return err
}

// condemnation is the file that says that an index was found damaged.
func condemnation(path string) string { return path + "-damaged" }

// remove deletes an index. Its log goes first: without its file it is nothing,
// whereas it would be copied into a file that is begun anew.
func remove(path string) error {
	for _, name := range []string{path + "-wal", path + "-shm", path, condemnation(path)} {
		if err := os.Remove(name); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return fmt.Errorf("delete index: %w", err)
		}
	}
	return nil
}

// pool opens connections that all carry the same pragmas: they stand in the
// name, so that every pooled connection has them.
func pool(path, query string, most int) (*sql.DB, error) {
	abs, err := filepath.Abs(path)
	if err != nil {
		return nil, fmt.Errorf("open index: %w", err)
	}
	pool, err := sql.Open("sqlite", "file:"+(&url.URL{Path: filepath.ToSlash(abs)}).EscapedPath()+query)
	if err != nil {
		return nil, fmt.Errorf("open index: %w", err)
	}
	pool.SetMaxOpenConns(most)
	pool.SetMaxIdleConns(most)
	pool.SetConnMaxIdleTime(0)
	return pool, nil
}

func reading(path string, most int) (*prepared.DB, error) {
	pool, err := pool(path, readOnly, most)
	if err != nil {
		return nil, err
	}
	return prepared.On(pool), nil
}

// Clear empties the index, to be filled again; the words of customer cards,
// which no log gives back, stay.
func (db *DB) Clear(ctx context.Context) error {
	err := db.tx(ctx, func(b *batch) error {
		for _, table := range []string{"logs", "homes", "names", "entries", "citations", "amendments", "twins", "corrections", "astray", "uses", "keys", "keyed", "summaries", "parts", "dirty", "unsettled"} {
			if err := b.exec(`DELETE FROM ` + table); err != nil {
				return err
			}
		}
		for _, table := range []string{"words", "pieces"} {
			if err := b.exec(`INSERT INTO ` + table + ` (` + table + `) VALUES ('delete-all')`); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return fmt.Errorf("clear index: %w", err)
	}
	return nil
}
