package audit_test

import (
	"bytes"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"fettlebook/journal/audit"
	"fettlebook/journal/sqlitelog"
	"fettlebook/media"

	"pgregory.net/rapid"
)

// query reads all rows of a query as text.
func query(path, q string) ([]string, error) {
	db, err := sql.Open("sqlite", "file:"+path+"?mode=ro")
	if err != nil {
		return nil, err
	}
	defer db.Close()
	rows, err := db.Query(q)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var list []string
	for rows.Next() {
		var line string
		if err := rows.Scan(&line); err != nil {
			return nil, err
		}
		list = append(list, line)
	}
	return list, rows.Err()
}

// TestAnyBitOfAnyColumn flips one bit of one stored value: it is found, and
// the program that reads the row is none the worse.
func TestAnyBitOfAnyColumn(t *testing.T) {
	s := theShop(t)
	dir := t.TempDir()
	columns := []struct{ table, column, key string }{
		{"entries", "bytes", "pos"}, {"entries", "nodes", "pos"}, {"entries", "thumbs", "pos"}, {"entries", "checkpoint", "pos"},
		{"countersigned", "note", "size"}, {"thumbs", "ref", "id"}, {"thumbs", "bytes", "id"}, {"photos", "ref", "hex(ref)"},
		{"photos", "thumb", "hex(ref)"}, {"logs", "key", "log"}, {"logs", "device", "log"}, {"cards", "json", "card"}, {"cards", "written", "card"},
	}
	c := s.lay(t, dir, s.tablet)
	rows := map[string][]string{}
	for _, col := range columns {
		list, err := query(c.database(), fmt.Sprintf(`SELECT quote(%s) FROM %s WHERE length(%s) > 0`, col.key, col.table, col.column))
		if err != nil || len(list) == 0 {
			t.Fatalf("%s.%s has %d rows: %v", col.table, col.column, len(list), err)
		}
		rows[col.table+col.column] = list
	}
	rapid.Check(t, func(rt *rapid.T) {
		col := rapid.SampledFrom(columns).Draw(rt, "column")
		key := rapid.SampledFrom(rows[col.table+col.column]).Draw(rt, "row")
		at := rapid.IntRange(0, 4000).Draw(rt, "byte")
		bit := byte(1) << rapid.IntRange(0, 7).Draw(rt, "bit")
		c := s.lay(t, dir, s.tablet)
		c.tamper(t, flip(col.table, col.column, col.key+" = "+key, at, bit))
		if r := c.audit(t); !r.Damaged() {
			rt.Fatalf("nothing was found:\n%s", text(t, r))
		}
	})
}

// TestAnyByteOfAnEntryInTheFile looks for an entry's bytes in the database
// file and changes one of them there.
func TestAnyByteOfAnEntryInTheFile(t *testing.T) {
	s := theShop(t)
	dir := t.TempDir()
	places := entryPlaces(t, s.lay(t, dir, s.tablet))
	indexes := slices.Sorted(maps.Keys(places))
	if len(indexes) < size/2 {
		t.Fatalf("only %d entries were found in the file", len(indexes))
	}
	rapid.Check(t, func(rt *rapid.T) {
		index := rapid.SampledFrom(indexes).Draw(rt, "entry")
		span := places[index]
		at := rapid.IntRange(span[0], span[1]-1).Draw(rt, "byte")
		raw := slices.Clone(s.tablet.database)
		raw[at] ^= byte(rapid.IntRange(1, 255).Draw(rt, "bits"))
		k := s.tablet
		k.database = raw
		if r := s.lay(t, dir, k).audit(t); !found(r, atEntry(index)) {
			rt.Fatalf("entry %d is not listed:\n%s", index, text(t, r))
		}
	})
}

func atEntry(index int64) audit.Where { return at(audit.Entry, bench, index) }

// entryPlaces finds where in the file the tablet's entries lie in one piece.
func entryPlaces(t *testing.T, c *copied) map[int64][2]int {
	places := map[int64][2]int{}
	for i := range int64(size) {
		list, err := query(c.database(), `SELECT bytes FROM entries WHERE pos = `+row(bench, i))
		if err != nil || len(list) != 1 {
			t.Fatalf("entry %d: %v", i, err)
		}
		if from := bytes.Index(c.tablet.database, []byte(list[0])); from >= 0 {
			places[i] = [2]int{from, from + len(list[0])}
		}
	}
	return places
}

func TestAnyByteOfAnyOriginal(t *testing.T) {
	s := theShop(t)
	dir := t.TempDir()
	refs := sortedRefs(s.tablet.originals)
	rapid.Check(t, func(rt *rapid.T) {
		ref := rapid.SampledFrom(refs).Draw(rt, "original")
		raw := slices.Clone(s.tablet.originals[ref])
		raw[rapid.IntRange(0, len(raw)-1).Draw(rt, "byte")] ^= byte(rapid.IntRange(1, 255).Draw(rt, "bits"))
		c := s.lay(t, dir, s.tablet)
		put(t, c.original(ref), raw)
		if r := c.audit(t); !found(r, audit.Where{Part: audit.Original, Photo: ref}) || damages(r) != 1 {
			rt.Fatalf("the original is not listed, or more than it:\n%s", text(t, r))
		}
	})
}

func sortedRefs(m map[media.Ref][]byte) []media.Ref {
	return slices.SortedFunc(maps.Keys(m), func(x, y media.Ref) int { return bytes.Compare(x[:], y[:]) })
}

// proven reads all that signatures, hashes or entries prove, through a plain
// reader of SQLite. Left out is what nothing proves: marks, why a log was
// closed, when the hub confirmed a photo, the order in which cards changed
// here, and row numbers of thumbnails.
func proven(path string) (string, error) {
	var all []string
	for _, q := range []string{
		`SELECT log || device || key FROM logs ORDER BY log`,
		`SELECT pos || quote(bytes) || quote(nodes) || quote(thumbs) || quote(checkpoint) FROM entries ORDER BY pos`,
		`SELECT log || ' ' || size || ' ' || at || note FROM countersigned ORDER BY log, size`,
		`SELECT quote(ref) || quote(bytes) FROM thumbs ORDER BY ref`,
		`SELECT quote(ref) || quote(thumb) || own || withdrawn FROM photos ORDER BY ref`,
		`SELECT card || quote(written) || quote(json) FROM cards ORDER BY card`,
	} {
		list, err := query(path, q)
		if err != nil {
			return "", err
		}
		all = append(all, list...)
	}
	return strings.Join(all, "\n"), nil
}

// TestAnyByteOfTheFile changes bytes of a random page. Either the audit finds
// it, or every row that anything rests on is as it was.
func TestAnyByteOfTheFile(t *testing.T) {
	s := theShop(t)
	dir := t.TempDir()
	whole, err := proven(s.lay(t, dir, s.tablet).database())
	if err != nil {
		t.Fatal(err)
	}
	const page = 4096
	pages := len(s.tablet.database) / page
	if len(s.tablet.database)%page != 0 || pages < 10 {
		t.Fatalf("the file has %d bytes", len(s.tablet.database))
	}
	seen := 0
	rapid.Check(t, func(rt *rapid.T) {
		raw := slices.Clone(s.tablet.database)
		from := page * rapid.IntRange(0, pages-1).Draw(rt, "page")
		for range rapid.IntRange(1, 4).Draw(rt, "changes") {
			at := rapid.OneOf(rapid.IntRange(0, page-1), rapid.IntRange(0, 120)).Draw(rt, "byte")
			raw[from+at] ^= byte(rapid.IntRange(1, 255).Draw(rt, "bits"))
		}
		k := s.tablet
		k.database = raw
		c := s.lay(t, dir, k)
		r, err := c.tryAudit(t)
		if err != nil || r.Damaged() { // not opened at all, or found
			seen++
			return
		}
		if now, err := proven(c.database()); err != nil || now != whole {
			rt.Fatalf("rows differ (%v) and nothing was found:\n%s", err, text(t, r))
		}
	})
	if seen == 0 {
		t.Error("no change of the file was ever found")
	}
}

// A page that cannot be read is named, and everything outside of it is
// checked all the same.
func TestUnreadablePage(t *testing.T) {
	s := theShop(t)
	c := s.lay(t, t.TempDir(), s.tablet)
	places := entryPlaces(t, c)
	raw := slices.Clone(s.tablet.database)
	const page = 4096
	from := places[20][0] / page * page
	clear(raw[from : from+page])
	put(t, c.database(), raw)
	r := c.audit(t)
	if !found(r, atEntry(20)) || !found(r, audit.Where{Part: audit.Database}) {
		t.Errorf("entry 20 on page %d is not listed:\n%s", from/page+1, text(t, r))
	}
	if !strings.Contains(text(t, r), fmt.Sprintf("page %d", from/page+1)) {
		t.Errorf("page %d is not named:\n%s", from/page+1, text(t, r))
	}
	if n := r.Checked.Entries; n < size/2 || n >= size+hubs {
		t.Errorf("%d entries were read around the page", n)
	}
	t.Log(text(t, r))
}

// Each page in turn is wiped.
func TestAnyPage(t *testing.T) {
	s := theShop(t)
	whole, err := proven(s.lay(t, t.TempDir(), s.tablet).database())
	if err != nil {
		t.Fatal(err)
	}
	const page = 4096
	for from := 0; from < len(s.tablet.database); from += page {
		k := s.tablet
		k.database = slices.Clone(s.tablet.database)
		clear(k.database[from : from+page])
		c := s.lay(t, t.TempDir(), k)
		if r, err := c.tryAudit(t); err == nil && !r.Damaged() {
			if now, err := proven(c.database()); err != nil || now != whole {
				t.Errorf("page %d is gone (%v) and nothing was found:\n%s", from/page+1, err, text(t, r))
			}
		}
	}
}

// More rows than one query reads are all read.
func TestManyRows(t *testing.T) {
	s := theShop(t)
	c := s.lay(t, t.TempDir(), s.tablet)
	const many = 1300
	count := `WITH RECURSIVE n(i) AS (SELECT 1000 UNION ALL SELECT i + 1 FROM n WHERE i < 2299) `
	for _, q := range []string{
		`INSERT INTO photos (ref, thumb, own) ` + count + `SELECT CAST(format('%032d', i) AS BLOB), zeroblob(32), 0 FROM n`,
		`INSERT INTO countersigned (log, size, at, note) ` + count + `SELECT 1, i, 0, 'x' FROM n`,
		`INSERT INTO quarantine (at, device, reason, bytes) ` + count + `SELECT 0, 'x', 'odd', zeroblob(1) FROM n`,
	} {
		c.tamper(t, func(tx *sql.Tx) error { _, err := tx.Exec(q); return err })
	}
	r := c.audit(t)
	notes, held := 0, 0
	for _, f := range r.Findings {
		switch {
		case f.Where.Part == audit.PhotoNote && f.Severity == audit.Remark:
			notes++
		case f.Where.Part == audit.Quarantine:
			held++
		}
	}
	if notes != many || held != many || r.Checked.Countersignatures != many+6 {
		t.Errorf("%d notes, %d in quarantine, %d countersignatures; want %d and 6 more of the last", notes, held, r.Checked.Countersignatures, many)
	}
}

func TestNoDatabase(t *testing.T) {
	if _, err := sqlitelog.OpenToInspect(t.Context(), filepath.Join(t.TempDir(), "journal.db")); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("a missing file gives %v", err)
	}
}
