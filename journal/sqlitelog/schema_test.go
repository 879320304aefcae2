package sqlitelog_test

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
	"fettlebook/journal/sqlitelog"
)

// Whoever opens the file with any SQLite program is refused too.
func TestEntriesAreNeverChanged(t *testing.T) {
	r := newRig(t, journaltest.Bench)
	db := r.open(t)
	appendTo(t, db, note("one"), picture("two", 500), note("three"))
	before := r.check(t)
	closeDB(t, db)

	raw := rawPool(t, r.path, "")
	defer raw.Close()
	for _, statement := range []string{
		`DELETE FROM entries`,
		`DELETE FROM entries WHERE pos = (SELECT max(pos) FROM entries)`,
		`UPDATE entries SET bytes = x'00'`,
		`UPDATE entries SET checkpoint = NULL`,
		`UPDATE entries SET pos = pos + 1 WHERE pos = (SELECT max(pos) FROM entries)`,
		`UPDATE OR REPLACE entries SET nodes = x''`,
		`INSERT INTO entries (pos, bytes, nodes) SELECT pos, x'00', x'' FROM entries`,
		`INSERT OR REPLACE INTO entries (pos, bytes, nodes) SELECT pos, x'00', x'' FROM entries`,
		`REPLACE INTO entries (pos, bytes, nodes) SELECT pos, x'00', x'' FROM entries`,
		`INSERT INTO entries (pos, bytes, nodes) SELECT pos, x'00', x'' FROM entries WHERE true ON CONFLICT DO UPDATE SET bytes = x'00'`,
	} {
		if _, err := raw.ExecContext(t.Context(), statement); err == nil {
			t.Errorf("%s was done", statement)
		}
	}
	for i, e := range r.check(t) {
		if e.ID != before[i].ID {
			t.Errorf("entry %d is %v, want %v", i, e.ID, before[i].ID)
		}
	}
}

func TestPragmas(t *testing.T) {
	r := newRig(t, journaltest.Bench)
	db := r.open(t)
	for _, c := range []struct {
		writing    bool
		name, want string
	}{
		{true, "journal_mode", "wal"},
		{true, "synchronous", "2"}, // FULL
		{true, "foreign_keys", "1"},
		{true, "busy_timeout", "10000"},
		{true, "secure_delete", "1"},
		{true, "wal_autocheckpoint", "2000"},
		{false, "query_only", "1"},
		{false, "busy_timeout", "10000"},
		{false, "journal_mode", "wal"},
	} {
		if got, err := db.Pragma(t.Context(), c.writing, c.name); err != nil || got != c.want {
			t.Errorf("writing %v: %s is %s (%v), want %s", c.writing, c.name, got, err, c.want)
		}
	}
	if err := db.RawRead(t.Context(), `INSERT INTO marks (name, value) VALUES ('a', 'b')`); err == nil {
		t.Error("a reading connection writes")
	}
	if info, err := os.Stat(r.path); err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("the file is %v (%v), want for its owner only", info.Mode(), err)
	}
	weak := rawPool(t, filepath.Join(t.TempDir(), "weak.db"), "?_pragma=busy_timeout(10000)&_pragma=foreign_keys(1)")
	defer weak.Close()
	if err := sqlitelog.CheckPragmas(t.Context(), weak); err == nil || !strings.Contains(err.Error(), "journal_mode") {
		t.Errorf("a database without write-ahead log gave %v", err)
	}
}

// A path may hold what has a meaning in a URL.
func TestOddPaths(t *testing.T) {
	for _, name := range []string{"a b.db", "50%.db", "what?mode=ro.db", "number #1.db", "a&b=c.db", "Größe.db"} {
		r := newRig(t, journaltest.Bench)
		r.path = filepath.Join(t.TempDir(), name)
		db := r.open(t)
		appendTo(t, db, note("here"))
		closeDB(t, db)
		if _, err := os.Stat(r.path); err != nil {
			t.Error(err)
		}
		reader, err := sqlitelog.OpenToRead(t.Context(), r.path)
		if err != nil {
			t.Fatal(err)
		}
		if n := len(read(t, reader, journaltest.Bench)); n != 1 {
			t.Errorf("%s holds %d entries", name, n)
		}
		closeDB(t, reader)
	}
}

// newer makes the database that of a later version.
func newer(t *testing.T, r *rig, killed bool) {
	t.Helper()
	db := r.open(t)
	appendTo(t, db, note("one"), note("two"))
	if err := db.Raw(t.Context(), fmt.Sprintf(`PRAGMA user_version = %d`, sqlitelog.Steps()+1)); err != nil {
		t.Fatal(err)
	}
	if killed { // the files as they lie while the program runs
		file, wal := readFile(t, r.path), readFile(t, r.path+"-wal")
		r.path = filepath.Join(t.TempDir(), "log.db")
		writeFile(t, r.path, file)
		writeFile(t, r.path+"-wal", wal)
	}
	closeDB(t, db)
}

func TestNewerIsRefusedUntouched(t *testing.T) {
	for _, killed := range []bool{false, true} {
		r := newRig(t, journaltest.Bench)
		newer(t, r, killed)
		before := hashes(t, r.path)
		for name, open := range map[string]func() (*sqlitelog.DB, error){
			"Open":       func() (*sqlitelog.DB, error) { return sqlitelog.Open(t.Context(), r.path, r.options()) },
			"OpenToRead": func() (*sqlitelog.DB, error) { return sqlitelog.OpenToRead(t.Context(), r.path) },
		} {
			if db, err := open(); !errors.Is(err, journal.ErrNewer) {
				t.Errorf("killed %v, %s: got %v, %v", killed, name, db, err)
			}
			if after := hashes(t, r.path); after != before {
				t.Errorf("killed %v, %s: the files changed from %s to %s", killed, name, before, after)
			}
		}
	}
}

// hashes says what is in a database's files. The shared memory beside them
// is an index that every opening makes anew.
func hashes(t *testing.T, path string) string {
	t.Helper()
	wal, err := os.ReadFile(path + "-wal")
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		t.Fatal(err)
	}
	return fmt.Sprintf("%x %x", sha256.Sum256(readFile(t, path)), sha256.Sum256(wal))
}

func TestMigrations(t *testing.T) {
	r := newRig(t, journaltest.Bench)
	db := r.open(t)
	appendTo(t, db, note("before"))
	own := map[string]string{}
	for i := range sqlitelog.Steps() {
		own[fmt.Sprintf("schema/%04d_own.sql", i+1)] = `syntax error: a step that ran already must not run again`
	}
	version := func() string {
		t.Helper()
		v, err := db.Pragma(t.Context(), false, "user_version")
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	files := func(more ...string) fstest.MapFS {
		all := fstest.MapFS{}
		for name, text := range own {
			all[name] = &fstest.MapFile{Data: []byte(text)}
		}
		for i, text := range more {
			all[fmt.Sprintf("schema/%04d_more.sql", sqlitelog.Steps()+1+i)] = &fstest.MapFile{Data: []byte(text)}
		}
		return all
	}
	if got := version(); got != fmt.Sprint(sqlitelog.Steps()) {
		t.Fatalf("a new database is of version %s", got)
	}
	if err := db.Migrate(t.Context(), files()); err != nil {
		t.Fatalf("nothing to do: %v", err)
	}

	// The second step fails half-way: the first stays, of the second nothing.
	const first, second = `CREATE TABLE tried (n INTEGER) STRICT; INSERT INTO tried VALUES (1);`, `INSERT INTO tried VALUES (2); INSERT INTO nowhere VALUES (3);`
	if err := db.Migrate(t.Context(), files(first, second)); err == nil {
		t.Fatal("a step that fails was taken as done")
	}
	if got := version(); got != fmt.Sprint(sqlitelog.Steps()+1) {
		t.Errorf("after one good step the version is %s", got)
	}
	if err := db.Migrate(t.Context(), files(first, `INSERT INTO tried VALUES (10 * (SELECT max(n) FROM tried));`, `INSERT INTO tried VALUES (5 + (SELECT max(n) FROM tried));`)); err != nil {
		t.Fatal(err)
	}
	if got := version(); got != fmt.Sprint(sqlitelog.Steps()+3) {
		t.Errorf("after three steps the version is %s", got)
	}
	raw := rawPool(t, r.path, "?mode=ro")
	defer raw.Close()
	var sum string
	if err := raw.QueryRowContext(t.Context(), `SELECT group_concat(n) FROM tried`).Scan(&sum); err != nil || sum != "1,10,15" {
		t.Errorf("the steps left %s (%v), want 1,10,15", sum, err)
	}
	r.check(t)
}

// A page of garbage, anywhere in the file: what can still be read is what
// was written, and what cannot ends with the sentence for it.
func TestDamagedPages(t *testing.T) {
	r := newRig(t, journaltest.Bench)
	db := r.open(t)
	for i := range 150 {
		appendTo(t, db, notef("remark %d, %s", i, bytes.Repeat([]byte{'x'}, 400)))
	}
	want := read(t, db, journaltest.Bench)
	closeDB(t, db)
	good := readFile(t, r.path)
	const pageSize = 4096
	damagedPages := 0
	for page := range len(good) / pageSize {
		bad := bytes.Clone(good)
		for i := range pageSize {
			bad[page*pageSize+i] = 0xa5
		}
		hurt := *r
		hurt.path = filepath.Join(t.TempDir(), "log.db")
		writeFile(t, hurt.path, bad)
		if err := readAll(t, &hurt, want); err != nil {
			damagedPages++
			if !errors.Is(err, sqlitelog.ErrDamaged) {
				t.Errorf("page %d: %v", page+1, err)
			}
		}
	}
	if pages := len(good) / pageSize; damagedPages < pages/2 {
		t.Errorf("of %d pages only %d were missed", pages, damagedPages)
	}
}

// readAll opens a database, reads its own log and appends. Without an error
// it must have read all that was written.
func readAll(t *testing.T, r *rig, want []journal.Logged) error {
	t.Helper()
	db, err := sqlitelog.Open(t.Context(), r.path, r.options())
	if err != nil {
		return err
	}
	defer db.Close()
	i := 0
	for got, err := range db.Entries(t.Context(), r.own, 0) {
		if err != nil {
			return err
		}
		if i >= len(want) || !bytes.Equal(got.Bytes, want[i].Bytes) {
			t.Fatalf("entry %d is other than was written", i)
		}
		i++
	}
	if i != len(want) {
		t.Fatalf("%d of %d entries were read without an error", i, len(want))
	}
	_, err = db.Append(t.Context(), note("on"))
	return err
}

func TestNoDatabase(t *testing.T) {
	r := newRig(t, journaltest.Bench)
	writeFile(t, r.path, bytes.Repeat([]byte("no database. "), 1000))
	if _, err := sqlitelog.Open(t.Context(), r.path, r.options()); !errors.Is(err, sqlitelog.ErrDamaged) {
		t.Errorf("a text file gave %v", err)
	}
	if _, err := sqlitelog.OpenToRead(t.Context(), filepath.Join(t.TempDir(), "missing.db")); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("a missing file gave %v", err)
	}
	r.path = filepath.Join(t.TempDir(), "no such folder", "log.db")
	if _, err := sqlitelog.Open(t.Context(), r.path, r.options()); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("a missing folder gave %v", err)
	}
}
