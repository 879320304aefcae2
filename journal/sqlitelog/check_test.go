package sqlitelog_test

import (
	"bytes"
	"crypto/sha256"
	"database/sql"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/proof"
	"fettlebook/media"

	"golang.org/x/mod/sumdb/tlog"
)

// inRow keeps tree hashes as package tlog itself does.
type inRow []tlog.Hash

func (r inRow) ReadHashes(indexes []int64) ([]tlog.Hash, error) {
	out := make([]tlog.Hash, len(indexes))
	for i, x := range indexes {
		out[i] = r[x]
	}
	return out, nil
}

// checkLog reads a database past package sqlitelog and holds a log to every
// invariant: it has no gap, its tree hashes and roots are those that package
// tlog computes, every checkpoint verifies and the last entry has one, ids
// rise, thumbnails are there unless withdrawn, and nothing lies about that
// belongs to no entry. It returns the entries.
func checkLog(t testing.TB, path string, device journal.DeviceID, key proof.Key) []*journal.Entry {
	t.Helper()
	pool := rawPool(t, path, "?mode=ro")
	defer pool.Close()
	whole(t, pool)

	verifier, err := proof.Verifier(key.Verifier())
	if err != nil {
		t.Fatal(err)
	}
	var list []*journal.Entry
	var row inRow
	var last sql.NullString
	rows := query(t, pool, `SELECT pos & (1 << 40) - 1, bytes, nodes, thumbs, checkpoint FROM entries
		WHERE pos >> 40 = (SELECT log FROM logs WHERE device = ?) ORDER BY pos`, string(device))
	for rows.Next() {
		var index int64
		var raw, nodes, thumbs []byte
		scan(t, rows, &index, &raw, &nodes, &thumbs, &last)
		if index != int64(len(list)) {
			t.Fatalf("entry %d follows entry %d", index, len(list)-1)
		}
		hashes, err := tlog.StoredHashes(index, raw, row)
		if err != nil {
			t.Fatal(err)
		}
		row = append(row, hashes...)
		if !bytes.Equal(nodes, proof.PackNodes(hashes)) {
			t.Fatalf("entry %d has the tree hashes %x, want %x", index, nodes, hashes)
		}
		if last.Valid {
			root, err := tlog.TreeHash(index+1, row)
			if err != nil {
				t.Fatal(err)
			}
			if c, err := proof.Open([]byte(last.String), verifier); err != nil || c.Size != index+1 || c.Root != root {
				t.Fatalf("the checkpoint beside entry %d is of size %d and root %v (%v), want root %v", index, c.Size, c.Root, err, root)
			}
		}
		e, err := journal.Decode(raw)
		if err != nil {
			t.Fatalf("entry %d: %v", index, err)
		}
		if n := len(list); n > 0 && bytes.Compare(e.ID[:], list[n-1].ID[:]) <= 0 {
			t.Fatalf("entry %d has id %v after %v", index, e.ID, list[n-1].ID)
		}
		checkThumbs(t, pool, e, thumbs)
		list = append(list, e)
	}
	ended(t, rows)
	if len(list) > 0 && !last.Valid {
		t.Fatalf("the last of %d entries has no checkpoint", len(list))
	}
	return list
}

func checkThumbs(t testing.TB, pool *sql.DB, e *journal.Entry, named []byte) {
	t.Helper()
	photos, err := e.Photos()
	if err != nil {
		t.Fatal(err)
	}
	var want []byte
	for _, p := range photos {
		want = append(want, p.Thumb[:]...)
		var withdrawn, kept bool
		if err := pool.QueryRowContext(t.Context(), `SELECT withdrawn, EXISTS (SELECT 1 FROM thumbs WHERE thumbs.ref = ?)
			FROM photos WHERE photos.ref = ?`, p.Thumb[:], p.Ref[:]).Scan(&withdrawn, &kept); err != nil {
			t.Fatalf("photo %v of entry %v: %v", p.Ref, e.ID, err)
		}
		if !withdrawn && !kept {
			t.Fatalf("the thumbnail of photo %v of entry %v is missing", p.Ref, e.ID)
		}
	}
	if !bytes.Equal(named, want) {
		t.Fatalf("beside entry %v are the thumbnails %x, want %x", e.ID, named, want)
	}
}

// whole checks what is not of one log.
func whole(t testing.TB, pool *sql.DB) {
	t.Helper()
	var verdict string
	var strays int
	if err := pool.QueryRowContext(t.Context(), `PRAGMA integrity_check`).Scan(&verdict); err != nil || verdict != "ok" {
		t.Fatalf("integrity check: %s %v", verdict, err)
	}
	if err := pool.QueryRowContext(t.Context(), `SELECT count(*) FROM pragma_foreign_key_check`).Scan(&strays); err != nil || strays > 0 {
		t.Fatalf("%d references go nowhere (%v)", strays, err)
	}
	if err := pool.QueryRowContext(t.Context(), `SELECT count(*) FROM entries WHERE pos >> 40 NOT IN (SELECT log FROM logs)`).Scan(&strays); err != nil || strays > 0 {
		t.Fatalf("%d entries belong to no log (%v)", strays, err)
	}
	named := map[media.Ref]bool{}
	rows := query(t, pool, `SELECT thumbs FROM entries WHERE thumbs IS NOT NULL`)
	for rows.Next() {
		var refs []byte
		scan(t, rows, &refs)
		for ; len(refs) > 0; refs = refs[32:] {
			named[media.Ref(refs[:32])] = true
		}
	}
	ended(t, rows)
	rows = query(t, pool, `SELECT ref, bytes FROM thumbs`)
	for rows.Next() {
		var ref, thumb []byte
		scan(t, rows, &ref, &thumb)
		if sum := sha256.Sum256(thumb); !bytes.Equal(ref, sum[:]) {
			t.Fatalf("thumbnail %x has other bytes", ref)
		}
		if !named[media.Ref(ref)] {
			t.Fatalf("thumbnail %x is of no entry", ref)
		}
	}
	ended(t, rows)
}

// rawPool opens a database past package sqlitelog.
func rawPool(t testing.TB, path, options string) *sql.DB {
	t.Helper()
	pool, err := sql.Open("sqlite", "file:"+path+options)
	if err != nil {
		t.Fatal(err)
	}
	pool.SetMaxOpenConns(2)
	return pool
}

func query(t testing.TB, pool *sql.DB, text string, args ...any) *sql.Rows {
	t.Helper()
	rows, err := pool.QueryContext(t.Context(), text, args...)
	if err != nil {
		t.Fatal(err)
	}
	return rows
}

func scan(t testing.TB, rows *sql.Rows, into ...any) {
	t.Helper()
	if err := rows.Scan(into...); err != nil {
		rows.Close()
		t.Fatal(err)
	}
}

func ended(t testing.TB, rows *sql.Rows) {
	t.Helper()
	if err := rows.Err(); err != nil {
		t.Fatal(err)
	}
}
