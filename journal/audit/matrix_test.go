package audit_test

import (
	"bytes"
	"database/sql"
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/audit"
	"fettlebook/journal/proof"
)

// stored is a class of what a folder holds, and how one thing of it is changed.
type stored struct {
	class  string
	change func(*rand.Rand, *testing.T, *copied)
}

// anyRow is a condition that picks one row of a table.
func anyRow(r *rand.Rand, t *testing.T, c *copied, table, key string) string {
	list, err := query(c.database(), fmt.Sprintf(`SELECT quote(%s) FROM %s`, key, table))
	if err != nil || len(list) == 0 {
		t.Fatalf("%s: %v", table, err)
	}
	return key + " = " + list[r.IntN(len(list))]
}

// column flips a bit of one value of a column that has a value there.
func column(table, column, key string) func(*rand.Rand, *testing.T, *copied) {
	return func(r *rand.Rand, t *testing.T, c *copied) {
		list, err := query(c.database(), fmt.Sprintf(`SELECT quote(%s) FROM %s WHERE length(%s) > 0`, key, table, column))
		if err != nil || len(list) == 0 {
			t.Fatalf("%s.%s: %v", table, column, err)
		}
		c.tamper(t, flip(table, column, key+" = "+list[r.IntN(len(list))], r.IntN(1<<20), 1<<r.IntN(7)))
	}
}

// unsign takes a checkpoint away that something says was there: one that the hub signed
// under, or that the log's own device signed. Of any other a later one says as much.
func unsign(r *rand.Rand, t *testing.T, c *copied) {
	list, err := query(c.database(), `SELECT pos FROM entries JOIN logs ON log = pos >> 40 WHERE checkpoint IS NOT NULL AND (device = '`+string(c.own)+`'
		OR '`+string(c.own)+`' = '`+string(office)+`' AND EXISTS (SELECT 1 FROM countersigned s WHERE s.log = pos >> 40 AND s.size = (pos & ((1 << 40) - 1)) + 1))`)
	if err != nil || len(list) == 0 {
		t.Fatal(err)
	}
	c.tamper(t, exec(`UPDATE entries SET checkpoint = NULL WHERE pos = `+list[r.IntN(len(list))]))
}

// gone deletes a row.
func gone(table, key string) func(*rand.Rand, *testing.T, *copied) {
	return func(r *rand.Rand, t *testing.T, c *copied) {
		where := anyRow(r, t, c, table, key)
		c.tamper(t, exec(`DELETE FROM `+table+` WHERE `+where))
	}
}

// sets gives a row another value.
func sets(table, key, set string) func(*rand.Rand, *testing.T, *copied) {
	return func(r *rand.Rand, t *testing.T, c *copied) {
		where := anyRow(r, t, c, table, key)
		c.tamper(t, exec(`UPDATE `+table+` SET `+set+` WHERE `+where))
	}
}

func original(do func(*rand.Rand, []byte) []byte) func(*rand.Rand, *testing.T, *copied) {
	return func(r *rand.Rand, t *testing.T, c *copied) {
		path := c.original(c.photos[[]int64{11, 19}[r.IntN(2)]].Ref)
		raw, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if raw = do(r, raw); raw == nil {
			err = os.Remove(path)
		} else {
			err = os.WriteFile(path, raw, 0o600)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
}

func classes() []stored {
	return []stored{
		{"entry: bytes", column("entries", "bytes", "pos")},
		{"entry: tree hashes", column("entries", "nodes", "pos")},
		{"entry: noted thumbnails", column("entries", "thumbs", "pos")},
		{"entry: checkpoint", column("entries", "checkpoint", "pos")},
		{"entry: row gone", gone("entries", "pos")},
		{"entry: checkpoint gone", unsign},
		{"receipt: note", column("countersigned", "note", "log || '/' || size")},
		{"receipt: time", sets("countersigned", "log || '/' || size", "at = at - 3600")},
		{"receipt: gone", gone("countersigned", "log || '/' || size")},
		{"thumbnail: bytes", column("thumbs", "bytes", "id")},
		{"thumbnail: name", column("thumbs", "ref", "id")},
		{"thumbnail: gone", gone("thumbs", "id")},
		{"photo note: name", column("photos", "ref", "hex(ref)")},
		{"photo note: thumbnail", column("photos", "thumb", "hex(ref)")},
		{"photo note: withdrawn", sets("photos", "hex(ref)", "withdrawn = 1 - withdrawn")},
		{"photo note: gone", gone("photos", "hex(ref)")},
		{"log: key", column("logs", "key", "log")},
		{"log: device", column("logs", "device", "log")},
		{"log: closed", sets("logs", "log", "closed = 'no reason'")},
		{"card: details", column("cards", "json", "card")},
		{"card: entry", column("cards", "written", "card")},
		{"original: a bit", original(func(r *rand.Rand, b []byte) []byte { b[r.IntN(len(b))] ^= 1 << r.IntN(8); return b })},
		{"original: cut", original(func(r *rand.Rand, b []byte) []byte { return b[:r.IntN(len(b))] })},
		{"original: gone", original(func(*rand.Rand, []byte) []byte { return nil })},
	}
}

// resign has a log say something else from an entry on, with every hash and every signature
// of its device as they must be then, and without the receipts that would contradict it.
func resign(r *rand.Rand, t *testing.T, c *copied, device journal.DeviceID, key proof.Key, receipts bool) {
	c.tamper(t, func(tx *sql.Tx) error {
		rows, err := tx.Query(`SELECT pos, bytes, checkpoint IS NOT NULL FROM entries WHERE pos >= ` + row(device, 0) + ` AND pos < ` + row(device, 1<<39) + ` ORDER BY pos`)
		if err != nil {
			return err
		}
		type entry struct {
			pos    int64
			raw    []byte
			signed bool
		}
		var list []entry
		for rows.Next() {
			var e entry
			if err := rows.Scan(&e.pos, &e.raw, &e.signed); err != nil {
				return err
			}
			list = append(list, e)
		}
		if err := rows.Close(); err != nil {
			return err
		}
		from := r.IntN(len(list))
		for !bytes.Contains(list[from].raw, []byte(`"initials":"IO"`)) && !bytes.Contains(list[from].raw, []byte("guide pins")) {
			from = (from + 1) % len(list)
		}
		list[from].raw = bytes.Replace(bytes.Replace(list[from].raw, []byte("guide pins"), []byte("other pins"), 1), []byte(`"initials":"IO"`), []byte(`"initials":"OI"`), 1)
		var tree proof.Tree
		for i, e := range list {
			nodes := proof.PackNodes(tree.Append(e.raw))
			if i < from {
				continue
			}
			var checkpoint any
			if e.signed {
				signed, err := proof.Sign(key.Signer(), tree.Size(), tree.Root())
				if err != nil {
					return err
				}
				checkpoint = string(signed)
			}
			if _, err := tx.Exec(`UPDATE entries SET bytes = ?, nodes = ?, checkpoint = ? WHERE pos = ?`, e.raw, nodes, checkpoint, e.pos); err != nil {
				return err
			}
		}
		if receipts {
			return nil
		}
		_, err = tx.Exec(`DELETE FROM countersigned WHERE size > ? AND log = (SELECT log FROM logs WHERE device = ?)`, from, string(device))
		return err
	})
}

// TestTamperingMatrix changes every class of what a folder holds, with and without keys, and
// prints what the audit finds by itself, and what only the other copy shows. By default some
// of each; FETTLEBOOK_TAMPER=all for more than 500.
func TestTamperingMatrix(t *testing.T) {
	s := theShop(t)
	each := 3
	if os.Getenv("FETTLEBOOK_TAMPER") == "all" {
		each = 24
	}
	plain := map[string]audit.Report{}
	for name, k := range map[string]kept{"hub": s.hub, "tablet": s.tablet} {
		plain[name] = s.lay(t, t.TempDir(), k).audit(t)
	}
	r := rand.New(rand.NewPCG(7, 11))
	var table strings.Builder
	fmt.Fprintf(&table, "%-34s %7s %7s %12s %9s\n", "what", "changed", "audit", "other's copy", "not found")
	total := 0
	try := func(what string, change func(c *copied)) {
		alone, beside := 0, 0
		for i := range each {
			folder, name := s.tablet, "tablet"
			if i%2 == 1 {
				folder, name = s.hub, "hub"
			}
			c := s.lay(t, t.TempDir(), folder)
			change(c)
			switch {
			case differs(t, c, plain[name]):
				alone++
			case differsFrom(t, c, s):
				beside++
			default:
				t.Errorf("%s, at the %s: found by nothing", what, name)
			}
		}
		total += each
		fmt.Fprintf(&table, "%-34s %7d %7d %12d %9d\n", what, each, alone, beside, each-alone-beside)
	}
	for _, class := range classes() {
		try("no key: "+class.class, func(c *copied) { class.change(r, t, c) })
	}
	for _, f := range []struct {
		name     string
		device   journal.DeviceID
		key      proof.Key
		receipts bool
	}{
		{"tablet's key: its log signed anew", bench, s.tabletKey, true},
		{"the same, receipts taken away", bench, s.tabletKey, false},
		{"hub's key: its log signed anew", office, s.hubKey, true},
		{"the same, receipts taken away", office, s.hubKey, false},
	} {
		try(f.name, func(c *copied) { resign(r, t, c, f.device, f.key, f.receipts) })
	}
	t.Logf("%d changes\n%s", total, &table)
	if each > 3 && total < 500 {
		t.Errorf("only %d changes", total)
	}
}

// differs reports whether the audit says anything that it does not say of the folder as it was.
func differs(t *testing.T, c *copied, was audit.Report) bool {
	r, err := c.tryAudit(t)
	if err != nil {
		return true // refused: it cannot be read
	}
	return slices.ContainsFunc(r.Findings, func(f audit.Finding) bool {
		return !slices.ContainsFunc(was.Findings, func(g audit.Finding) bool { return f.Where.String() == g.Where.String() && f.What == g.What })
	})
}

// differsFrom reports whether the folder differs from the other machine's copy, where the
// untouched ones do not.
func differsFrom(t *testing.T, c *copied, s *shop) bool {
	other := s.hub
	if c.own == office {
		other = s.tablet
	}
	o := s.lay(t, t.TempDir(), other)
	apart := false
	if err := c.with(t, func(here audit.Sources) {
		if err := o.with(t, func(there audit.Sources) {
			list, err := audit.Against(t.Context(), here.Logs, there.Logs)
			if err != nil {
				apart = true
				return
			}
			for _, l := range list {
				apart = apart || l.Parted || l.Here != l.There || len(l.ReceiptsHere)+len(l.ReceiptsThere) > 0
			}
		}); err != nil {
			t.Fatal(err)
		}
	}); err != nil {
		return true
	}
	return apart
}
