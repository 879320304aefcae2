package sqlitelog_test

import (
	"bytes"
	"fmt"
	mathrand "math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/journaltest"
)

// The power fails while the write-ahead log is written: of its last part
// nothing, garbage or zeros have reached the disk. What opens again is a prefix of
// the log, whole, and holds every entry that was acknowledged by then.
func TestPowerLoss(t *testing.T) {
	r := newRig(t, journaltest.Bench)
	db := r.open(t)
	type moment struct{ wal, entries int } // so many bytes held so many acknowledged entries
	moments := []moment{{0, 0}}
	for i := range 40 {
		d := notef("remark %d", i)
		if i%4 == 3 {
			d = picture(fmt.Sprint(i), 1000+i*300)
		}
		appendTo(t, db, d)
		moments = append(moments, moment{len(readFile(t, r.path+"-wal")), i + 1})
	}
	file, wal := readFile(t, r.path), readFile(t, r.path+"-wal")
	all := r.check(t)
	if len(wal) < 100_000 {
		t.Fatalf("the write-ahead log has %d bytes only; it was copied back meanwhile", len(wal))
	}

	random := mathrand.New(mathrand.NewPCG(3, 4))
	cuts := []int{0, 1, 31, 32, 33, len(wal)}
	for _, m := range moments {
		cuts = append(cuts, m.wal-1, m.wal, m.wal+1)
	}
	for range 40 {
		cuts = append(cuts, random.IntN(len(wal)))
	}
	lengths := map[int]bool{}
	for i, cut := range journaltest.Rows(t, 3, cuts) {
		cut = min(max(cut, 0), len(wal))
		least := 0
		for _, m := range moments {
			if m.wal <= cut {
				least = m.entries
			}
		}
		garbage := bytes.Clone(wal)
		for at := cut; at < len(garbage); at++ {
			garbage[at] = byte(random.Uint32())
		}
		left := [][]byte{wal[:cut], garbage, append(bytes.Clone(wal[:cut]), make([]byte, len(wal)-cut)...)}[i%3]
		n := afterPowerLoss(t, r, file, left, all)
		if n < least {
			t.Fatalf("cut %d, after byte %d: %d entries are left, and %d were acknowledged", i, cut, n, least)
		}
		lengths[n] = true
	}
	if len(lengths) < len(all)/journaltest.Times(4, 1) {
		t.Errorf("only %d lengths of %d were seen", len(lengths), len(all)+1)
	}
}

// afterPowerLoss opens what is left, in a folder of its own, checks that it
// is a prefix of all and can be written on, and returns its length.
func afterPowerLoss(t *testing.T, r *rig, file, wal []byte, all []*journal.Entry) int {
	t.Helper()
	left := *r
	left.path = filepath.Join(t.TempDir(), "log.db")
	writeFile(t, left.path, file)
	writeFile(t, left.path+"-wal", wal)
	db := left.open(t)
	defer closeDB(t, db)
	entries := left.check(t)
	for i, e := range entries {
		if e.ID != all[i].ID {
			t.Fatalf("entry %d is %v, want %v", i, e.ID, all[i].ID)
		}
	}
	appendTo(t, db, note("the power is back"))
	if n := len(left.check(t)); n != len(entries)+1 {
		t.Fatalf("%d entries after one more than %d", n, len(entries))
	}
	return len(entries)
}

func readFile(t testing.TB, path string) []byte {
	t.Helper()
	raw, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return raw
}

func writeFile(t testing.TB, path string, raw []byte) {
	t.Helper()
	if err := os.WriteFile(path, raw, 0o600); err != nil {
		t.Fatal(err)
	}
}
