package audit_test

import (
	"database/sql"
	"fmt"
	"os"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/audit"
	"fettlebook/journal/proof"
	"fettlebook/media"
	"fettlebook/media/mediatest"

	"golang.org/x/mod/sumdb/tlog"
)

// row is the SQL that finds the row key of an entry.
func row(device journal.DeviceID, index int64) string {
	return fmt.Sprintf(`((SELECT log FROM logs WHERE device = '%s') << 40 | %d)`, device, index)
}

// flip changes one bit of one stored value, whatever its column.
func flip(table, column, where string, at int, bit byte) func(*sql.Tx) error {
	return func(tx *sql.Tx) error {
		var kind string
		var value []byte
		if err := tx.QueryRow(fmt.Sprintf(`SELECT typeof(%s), %s FROM %s WHERE %s`, column, column, table, where)).Scan(&kind, &value); err != nil {
			return err
		}
		if at < 0 {
			at += len(value)
		}
		value[at%len(value)] ^= bit
		_, err := tx.Exec(fmt.Sprintf(`UPDATE %s SET %s = CAST(? AS %s) WHERE %s`, table, column, kind, where), value)
		return err
	}
}

func exec(query string, args ...any) func(*sql.Tx) error {
	return func(tx *sql.Tx) error {
		r, err := tx.Exec(query, args...)
		if err != nil {
			return err
		}
		if n, err := r.RowsAffected(); n == 0 || err != nil {
			return fmt.Errorf("%q changed no row (%w)", query, err)
		}
		return nil
	}
}

// at is a place in a log.
func at(p audit.Part, device journal.DeviceID, index int64) audit.Where {
	return audit.Where{Part: p, Log: device, Entries: &audit.Span{First: index, Last: index}}
}

// found reports whether a damage is listed at the place, or over it.
func found(r audit.Report, w audit.Where) bool {
	for _, f := range r.Findings {
		in := w.Entries == nil || f.Where.Entries != nil && f.Where.Entries.First <= w.Entries.First && w.Entries.Last <= f.Where.Entries.Last
		if f.Severity == audit.Damage && f.Where.Part == w.Part && in && (w.Log == "" || f.Where.Log == w.Log) &&
			(w.Photo.IsZero() || f.Where.Photo == w.Photo) && (w.Card == "" || f.Where.Card == w.Card) {
			return true
		}
	}
	return false
}

func damages(r audit.Report) int {
	n := 0
	for _, f := range r.Findings {
		if f.Severity == audit.Damage {
			n++
		}
	}
	return n
}

// spoil is one thing done to a copy of the tablet's folder, where it must be
// found, and how many findings it may make at most.
type spoil struct {
	name string
	do   func(*testing.T, *copied)
	want []audit.Where
	most int
	// alone: it cannot be told from other spoils when done together with them.
	alone bool
}

// base is a change of the database.
func base(change func(*sql.Tx) error) func(*testing.T, *copied) {
	return func(t *testing.T, c *copied) { c.tamper(t, change) }
}

func spoils(s *shop) []spoil {
	thumbRef := func(i int64) []byte { r := s.photos[i].Thumb; return r[:] }
	whereThumb := func(i int64) string { return fmt.Sprintf(`ref = x'%s'`, s.photos[i].Thumb.Hex()) }
	original := func(i int64) audit.Where { return audit.Where{Part: audit.Original, Photo: s.photos[i].Ref} }
	thumbnail := func(i int64) audit.Where { return audit.Where{Part: audit.Thumbnail, Photo: s.photos[i].Thumb} }
	card := audit.Where{Part: audit.Card, Card: s.mine}
	entry := func(i int64) audit.Where { return at(audit.Entry, bench, i) }
	return []spoil{
		{"a byte of an entry", base(flip("entries", "bytes", "pos = "+row(bench, 7), -40, 1)), []audit.Where{entry(7)}, 2, false},
		{"a byte of an entry that another one's hash stands over", base(flip("entries", "bytes", "pos = "+row(bench, 8), -40, 4)), []audit.Where{entry(8)}, 2, false},
		{"a byte of an entry of the hub", base(flip("entries", "bytes", "pos = "+row(office, 2), -10, 1)), []audit.Where{at(audit.Entry, office, 2)}, 2, false},
		{"an entry's own hash", base(flip("entries", "nodes", "pos = "+row(bench, 14), 3, 128)), []audit.Where{entry(14)}, 1, false},
		{"a hash above an entry", base(flip("entries", "nodes", "pos = "+row(bench, 15), -3, 1)), []audit.Where{entry(15)}, 1, false},
		{"a hash too few", base(exec(`UPDATE entries SET nodes = substr(nodes, 1, 32) WHERE pos = ` + row(bench, 17))), []audit.Where{entry(17)}, 1, false},
		{"the noted thumbnails", base(flip("entries", "thumbs", "pos = "+row(bench, 3), 0, 1)), []audit.Where{entry(3)}, 1, false},
		{"thumbnails noted where none are", base(exec(`UPDATE entries SET thumbs = zeroblob(32) WHERE pos = ` + row(bench, 4))), []audit.Where{entry(4)}, 1, false},
		{"a checkpoint's text", base(flip("entries", "checkpoint", "pos = "+row(bench, 20), 40, 1)), []audit.Where{at(audit.Checkpoint, bench, 20)}, 1, false},
		{"a checkpoint's signature", base(flip("entries", "checkpoint", "pos = "+row(bench, 21), -20, 2)), []audit.Where{at(audit.Checkpoint, bench, 21)}, 1, false},
		{"a bit of a signature that does not count", base(looseBit), []audit.Where{at(audit.Checkpoint, bench, 23)}, 1, false},
		{"the last checkpoint taken away", base(exec(`UPDATE entries SET checkpoint = NULL WHERE pos = ` + row(bench, size-1))), []audit.Where{at(audit.Checkpoint, bench, size-1)}, 2, false},
		{"a checkpoint in the middle of the log taken away", base(exec(`UPDATE entries SET checkpoint = NULL WHERE pos = ` + row(bench, 16))), []audit.Where{at(audit.Checkpoint, bench, 16)}, 1, false},
		{"a checkpoint taken away that the hub countersigned", base(exec(`UPDATE entries SET checkpoint = NULL WHERE pos = ` + row(bench, 12))), []audit.Where{at(audit.Checkpoint, bench, 12)}, 2, false},
		{"a countersignature taken away that entries cite", base(exec(`DELETE FROM countersigned WHERE log = (SELECT log FROM logs WHERE device = 'office') AND size = 6`)), []audit.Where{at(audit.Entry, bench, 39)}, 1, false},
		{"a checkpoint beside the wrong entry", base(exec(`UPDATE entries SET checkpoint = (SELECT checkpoint FROM entries WHERE pos = ` + row(bench, 5) + `) WHERE pos = ` + row(bench, 25))), []audit.Where{at(audit.Checkpoint, bench, 25)}, 1, false},
		{"a countersignature", base(flip("countersigned", "note", "size = 13", -20, 1)), []audit.Where{at(audit.Countersignature, bench, 12)}, 1, false},
		{"the device's signature in a countersignature", base(flip("countersigned", "note", "size = 26", 120, 1)), []audit.Where{at(audit.Countersignature, bench, 25)}, 1, false},
		{"the time of a countersignature", base(exec(`UPDATE countersigned SET at = at + 1 WHERE size = 39`)), []audit.Where{at(audit.Countersignature, bench, 38)}, 1, false},
		{"the size of a countersignature", base(exec(`UPDATE countersigned SET size = 38 WHERE size = 39`)), []audit.Where{at(audit.Countersignature, bench, 37)}, 1, true},
		{"a byte of a thumbnail", base(flip("thumbs", "bytes", whereThumb(11), 200, 16)), []audit.Where{thumbnail(11)}, 1, false},
		{"a thumbnail's name", base(flip("thumbs", "ref", whereThumb(19), 5, 1)), []audit.Where{thumbnail(19), {Part: audit.Thumbnail}}, 2, false},
		{"a thumbnail taken away", base(exec(`DELETE FROM thumbs WHERE `+whereThumb(3), thumbRef(3)[:0])), []audit.Where{thumbnail(3)}, 1, true},
		{"a withdrawn thumbnail brought back", bringBack, []audit.Where{thumbnail(27)}, 1, false},
		{"a photo noted as withdrawn", base(exec(`UPDATE photos SET withdrawn = 1 WHERE ref = ?`, refOf(s.photos[3]))), []audit.Where{{Part: audit.PhotoNote, Photo: s.photos[3].Ref}}, 1, false},
		{"a photo noted as another machine's", base(exec(`UPDATE photos SET own = 0 WHERE ref = ?`, refOf(s.photos[11]))), []audit.Where{{Part: audit.PhotoNote, Photo: s.photos[11].Ref}}, 1, false},
		{"a photo’s note taken away", base(exec(`DELETE FROM photos WHERE ref = ?`, refOf(s.photos[19]))), []audit.Where{{Part: audit.PhotoNote, Photo: s.photos[19].Ref}}, 1, false},
		{"a photo’s noted thumbnail", base(flip("photos", "thumb", fmt.Sprintf(`ref = x'%s'`, s.photos[3].Ref.Hex()), 8, 8)), []audit.Where{{Part: audit.PhotoNote, Photo: s.photos[3].Ref}}, 1, true},
		{"a card's details", base(flip("cards", "json", fmt.Sprintf(`card = '%s'`, s.mine), 42, 1)), []audit.Where{card}, 1, true},
		{"the entry that a card rests on", base(flip("cards", "written", fmt.Sprintf(`card = '%s'`, s.mine), 15, 1)), []audit.Where{card}, 2, true},
		{"a card's details taken away", base(exec(`UPDATE cards SET json = NULL WHERE card = ?`, string(s.mine))), []audit.Where{card}, 1, false},
		{"a card taken away", base(exec(`DELETE FROM cards WHERE card = ?`, string(s.mine))), []audit.Where{card}, 1, true},
		{"an erased card brought back", base(exec(`UPDATE cards SET json = x'7b7d' WHERE card = ?`, string(s.erased))), []audit.Where{{Part: audit.Card, Card: s.erased}}, 3, false},
		{"the note of an erased card taken away", base(exec(`DELETE FROM cards WHERE card = ?`, string(s.erased))), []audit.Where{{Part: audit.Card, Card: s.erased}}, 1, true},
		{"a log's key", base(flip("logs", "key", fmt.Sprintf(`device = '%s'`, bench), -5, 1)), []audit.Where{{Part: audit.Key, Log: bench}}, 1, false},
		{"the key of the hub’s log", base(flip("logs", "key", fmt.Sprintf(`device = '%s'`, office), -5, 1)), []audit.Where{{Part: audit.Key, Log: office}}, 1, false},
		{"a log's device", base(flip("logs", "device", fmt.Sprintf(`device = '%s'`, bench), 0, 1)), []audit.Where{{Part: audit.Log, Log: bench}}, 6, true},
		{"an entry taken out of the middle", base(exec(`DELETE FROM entries WHERE pos = ` + row(bench, 10))), []audit.Where{entry(10)}, 1, false},
		{"three entries taken out with what follows moved up", base(cutOut), []audit.Where{entry(13)}, 9, true},
		{"the last entry taken away", base(exec(`DELETE FROM entries WHERE pos = ` + row(bench, size-1))), []audit.Where{at(audit.Log, bench, size-1)}, 1, true},
		{"two entries swapped", base(swap), []audit.Where{entry(22), entry(24)}, 6, true},
		{"a forged entry in place of another", base(forgeInPlace), []audit.Where{entry(16)}, 3, true},
		{"a forged entry at the end", base(forgeAtEnd), []audit.Where{at(audit.Checkpoint, bench, size)}, 2, true},
		{"a forged entry signed with another key", base(forgeSigned), []audit.Where{at(audit.Checkpoint, bench, size)}, 2, true},
		{"entries under no log", base(exec(`UPDATE entries SET pos = pos + (9 << 40) WHERE pos = ` + row(bench, size-1))), []audit.Where{{Part: audit.Database}}, 2, true},
		{"a trigger dropped", drop(`DROP TRIGGER entries_fixed`), []audit.Where{{Part: audit.Database}}, 1, false},
		{"a trigger added", drop(`CREATE TRIGGER quiet AFTER INSERT ON entries BEGIN DELETE FROM thumbs; END`), []audit.Where{{Part: audit.Database}}, 1, true},
		{"an original replaced by another photo", func(t *testing.T, c *copied) {
			put(t, c.original(c.photos[3].Ref), mediatest.JPEG(mediatest.Noise(64, 48, 99), 85, nil))
		}, []audit.Where{original(3)}, 1, false},
		{"an original cut short", func(t *testing.T, c *copied) {
			put(t, c.original(c.photos[11].Ref), c.tablet.originals[c.photos[11].Ref][:900])
		}, []audit.Where{original(11)}, 1, false},
		{"an original emptied", func(t *testing.T, c *copied) { put(t, c.original(c.photos[11].Ref), nil) }, []audit.Where{original(11)}, 1, true},
		{"an original taken away before the hub had it", func(t *testing.T, c *copied) {
			if err := os.Remove(c.original(c.photos[3].Ref)); err != nil {
				t.Fatal(err)
			}
		}, []audit.Where{original(3)}, 1, true},
		{"a text file among the originals", func(t *testing.T, c *copied) {
			put(t, c.original(media.RefOf([]byte("no photo"))), []byte("no photo"))
		}, []audit.Where{{Part: audit.Original, Photo: media.RefOf([]byte("no photo"))}}, 1, false},
		{"a withdrawn original brought back", func(t *testing.T, c *copied) {
			put(t, c.original(c.photos[27].Ref), mediatest.JPEG(mediatest.Noise(64, 48, 27), 85, nil))
		}, []audit.Where{original(27)}, 1, false},
	}
}

func refOf(p journal.Photo) []byte { return p.Ref[:] }

// drop runs a statement on the schema, past the helper that keeps triggers.
func drop(statement string) func(*testing.T, *copied) {
	return func(t *testing.T, c *copied) {
		db, err := sql.Open("sqlite", "file:"+c.database())
		if err != nil {
			t.Fatal(err)
		}
		defer db.Close()
		if _, err := db.Exec(statement); err != nil {
			t.Fatal(err)
		}
	}
}

// looseBit flips a bit of Base64 that decoding drops: 68 bytes are encoded in
// 91 digits and one '=', and the last digit carries two bits that are nought.
func looseBit(tx *sql.Tx) error {
	where := "pos = " + row(bench, 23)
	var note []byte
	if err := tx.QueryRow(`SELECT checkpoint FROM entries WHERE ` + where).Scan(&note); err != nil {
		return err
	}
	last := len(note) - 3 // before '=' and the line's end
	const digits = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/"
	for i := range digits {
		if digits[i] == note[last] {
			note[last] = digits[i|1]
			break
		}
	}
	_, err := tx.Exec(`UPDATE entries SET checkpoint = ? WHERE `+where, string(note))
	return err
}

func bringBack(t *testing.T, c *copied) {
	raw := c.smalls[27]
	c.tamper(t, exec(`INSERT INTO thumbs (ref, bytes) VALUES (?, ?)`, refBytes(media.RefOf(raw)), raw))
}

func refBytes(r media.Ref) []byte { return r[:] }

// cutOut takes out entries 13 to 15 and moves up all that follow.
func cutOut(tx *sql.Tx) error {
	if _, err := tx.Exec(fmt.Sprintf(`DELETE FROM entries WHERE pos BETWEEN %s AND %s`, row(bench, 13), row(bench, 15))); err != nil {
		return err
	}
	for i := int64(16); i < size; i++ {
		if _, err := tx.Exec(fmt.Sprintf(`UPDATE entries SET pos = pos - 3 WHERE pos = %s`, row(bench, i))); err != nil {
			return err
		}
	}
	return nil
}

// swap swaps all that is stored of two entries.
func swap(tx *sql.Tx) error {
	for _, step := range [][2]int64{{22, 1000}, {24, 22}, {1000, 24}} {
		if _, err := tx.Exec(fmt.Sprintf(`UPDATE entries SET pos = %s WHERE pos = %s`, row(bench, step[1]), row(bench, step[0]))); err != nil {
			return err
		}
	}
	return nil
}

// forged is the entry's text with another word in it.
func forged(tx *sql.Tx, index int64) (raw []byte, err error) {
	err = tx.QueryRow(`SELECT CAST(replace(CAST(bytes AS TEXT), 'tightened', 'loosened ') AS BLOB) FROM entries WHERE pos = ` + row(bench, index)).Scan(&raw)
	return raw, err
}

// forgeInPlace puts a forged entry with its right hash in place of entry 16.
func forgeInPlace(tx *sql.Tx) error {
	raw, err := forged(tx, 16)
	if err != nil {
		return err
	}
	leaf := tlog.RecordHash(raw)
	return exec(`UPDATE entries SET bytes = ?, nodes = CAST(? || substr(nodes, 33) AS BLOB) WHERE pos = `+row(bench, 16), raw, leaf[:])(tx)
}

// tree is the log's tree as it should be, computed anew.
func tree(tx *sql.Tx) (*proof.Tree, error) {
	t := new(proof.Tree)
	for i := range int64(size) {
		var raw []byte
		if err := tx.QueryRow(`SELECT bytes FROM entries WHERE pos = ` + row(bench, i)).Scan(&raw); err != nil {
			return nil, err
		}
		t.Append(raw)
	}
	return t, nil
}

// forgeAtEnd adds a forged entry with all its right hashes, but nobody's
// signature.
func forgeAtEnd(tx *sql.Tx) error { return forgeWith(tx, nil) }

// forgeSigned signs it too, with a key of the same name.
func forgeSigned(tx *sql.Tx) error {
	key, err := proof.NewKey(zeros{}, proof.Origin("k7m2q4xw", bench))
	if err != nil {
		return err
	}
	return forgeWith(tx, &key)
}

type zeros struct{}

func (zeros) Read(p []byte) (int, error) { clear(p); return len(p), nil }

func forgeWith(tx *sql.Tx, key *proof.Key) error {
	raw, err := forged(tx, size-1)
	if err != nil {
		return err
	}
	whole, err := tree(tx)
	if err != nil {
		return err
	}
	nodes := proof.PackNodes(whole.Append(raw))
	var checkpoint any
	if key != nil {
		signed, err := proof.Sign(key.Signer(), whole.Size(), whole.Root())
		if err != nil {
			return err
		}
		checkpoint = string(signed)
	}
	return exec(`INSERT INTO entries (pos, bytes, nodes, checkpoint) VALUES (`+row(bench, size)+`, ?, ?, ?)`, raw, nodes, checkpoint)(tx)
}

func TestTamperingIsFound(t *testing.T) {
	s := theShop(t)
	for _, sp := range spoils(s) {
		t.Run(sp.name, func(t *testing.T) {
			c := s.lay(t, t.TempDir(), s.tablet)
			sp.do(t, c)
			r := c.audit(t)
			for _, w := range sp.want {
				if !found(r, w) {
					t.Errorf("no damage at %s:\n%s", w, text(t, r))
				}
			}
			if n := damages(r); n > sp.most {
				t.Errorf("%d damages for one spoil; at most %d would do:\n%s", n, sp.most, text(t, r))
			}
		})
	}
}

// One damage does not hide another.
func TestAllTamperingIsFound(t *testing.T) {
	s := theShop(t)
	c := s.lay(t, t.TempDir(), s.tablet)
	var want []audit.Where
	for _, sp := range spoils(s) {
		if !sp.alone {
			sp.do(t, c)
			want = append(want, sp.want...)
		}
	}
	r := c.audit(t)
	for _, w := range want {
		if !found(r, w) {
			t.Errorf("no damage at %s", w)
		}
	}
	if t.Failed() {
		t.Log(text(t, r))
	}
	if again := c.audit(t); text(t, again) != text(t, r) {
		t.Error("two audits of one folder differ")
	}
}
