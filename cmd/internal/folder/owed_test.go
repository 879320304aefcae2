package folder_test

import (
	"crypto/rand"
	"database/sql"
	"testing"
	"time"

	"fettlebook/cmd/internal/folder"
	"fettlebook/journal"

	_ "modernc.org/sqlite"
)

// An earlier log that cannot be taken over stays owed, and keeps no other
// waiting.
func TestOneOwedLogDoesNotKeepOthersWaiting(t *testing.T) {
	dir := found(t)
	o := folder.Options{Now: time.Now, Rand: rand.Reader}
	open := func() {
		t.Helper()
		f, err := folder.Open(t.Context(), dir, o)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := f.Append(t.Context(), journal.Draft{Subject: "job/4f7kk2m9", By: "io", Data: &journal.Remark{Evidence: journal.Evidence{Note: "looked"}}}); err != nil {
			t.Fatal(err)
		}
		if err := f.Close(); err != nil {
			t.Fatal(err)
		}
	}
	open()
	open()
	id, err := folder.ReadIdentity(dir)
	if err != nil {
		t.Fatal(err)
	}
	all := int64(0)
	id.Owed = []folder.Owed{
		{Device: "spoiled", Counts: &all, Branch: journal.RestoredBranch},
		{Device: "gone", Counts: &all, Branch: journal.RestoredBranch},
	}
	if err := folder.WriteIdentity(dir, id); err != nil {
		t.Fatal(err)
	}
	db, err := sql.Open("sqlite", "file:"+folder.DatabasePath(dir))
	if err != nil {
		t.Fatal(err)
	}
	for _, statement := range []string{ // a log of which a hash is lost
		`INSERT INTO logs (log, device, key) VALUES (99, 'spoiled', 'no key')`,
		`INSERT INTO entries (pos, bytes, nodes, checkpoint) SELECT 99<<40, bytes, x'', checkpoint FROM entries ORDER BY pos LIMIT 1`,
		`INSERT INTO entries (pos, bytes, nodes, checkpoint) SELECT 99<<40|1, bytes, nodes, checkpoint FROM entries WHERE pos < 99<<40 ORDER BY pos LIMIT 1 OFFSET 1`,
	} {
		if _, err := db.Exec(statement); err != nil {
			t.Fatal(err)
		}
	}
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	if f, err := folder.Open(t.Context(), dir, o); err == nil { // what is damaged is told there too
		if err := f.Close(); err != nil {
			t.Fatal(err)
		}
	}
	if id, err = folder.ReadIdentity(dir); err != nil || len(id.Owed) != 1 || id.Owed[0].Device != "spoiled" {
		t.Errorf("owed are %+v, %v", id.Owed, err)
	}
}
