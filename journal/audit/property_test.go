package audit_test

import (
	"bytes"
	"slices"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/audit"
	"fettlebook/journal/journaltest"

	"golang.org/x/mod/sumdb/tlog"
	"pgregory.net/rapid"
)

// However many entries were changed or are missing, each is listed, and none
// that is as it was signed.
func TestOnlyWhatWasChanged(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		p := newPaper(t)
		l := p.tablet()
		l.pace = time.Second
		n := rapid.IntRange(2, 70).Draw(rt, "entries")
		for len(l.rows) < n {
			l.note(t, same)
		}
		for i := range n - 1 { // many an entry is written together with the next
			if rapid.Bool().Draw(rt, "unsigned") {
				l.rows[i].Checkpoint = nil
			}
		}
		bad := map[int64]bool{}
		for range rapid.IntRange(0, 5).Draw(rt, "changes") {
			i := rapid.IntRange(1, n-1).Draw(rt, "changed")
			bad[int64(i)] = true
			l.rows[i].Bytes = bytes.Replace(l.rows[i].Bytes, []byte("dry"), []byte("wet"), 1)
		}
		if n > 3 && rapid.Bool().Draw(rt, "gap") {
			from := rapid.IntRange(0, n-2).Draw(rt, "from")
			to := rapid.IntRange(from+1, n-1).Draw(rt, "to")
			for i := from; i < to; i++ {
				bad[int64(i)] = true
			}
			l.rows = slices.Delete(l.rows, from, to)
		}
		r := p.audit(t)
		for i := range bad {
			if !found(r, atEntry(i)) {
				rt.Fatalf("entry %d is not listed:\n%s", i, text(t, r))
			}
		}
		for _, f := range r.Findings {
			for i := f.Where.Entries.First; i <= f.Where.Entries.Last; i++ {
				if !bad[i] {
					rt.Fatalf("entry %d is as it was and is listed:\n%s", i, text(t, r))
				}
			}
		}
	})
}

// A forger who has no key may put in another entry and every hash that
// follows from it: the next signature contradicts it, and what was signed
// before is not doubted.
func TestForgedWithAllHashes(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		p := newPaper(t)
		l := p.tablet()
		n := rapid.IntRange(2, 70).Draw(rt, "entries")
		for len(l.rows) < n {
			l.note(t, same)
		}
		at := rapid.IntRange(1, n-1).Draw(rt, "forged")
		forge(l, at)
		r := p.audit(t)
		if !found(r, atEntry(int64(at))) {
			rt.Fatalf("entry %d is not listed:\n%s", at, text(t, r))
		}
		for _, f := range r.Findings {
			if f.Where.Entries.First < int64(at) {
				rt.Fatalf("what stands before entry %d is listed:\n%s", at, text(t, r))
			}
		}
	})
}

// forge changes an entry and computes all stored hashes again.
func forge(l *paperLog, at int) {
	l.rows[at].Bytes = bytes.Replace(l.rows[at].Bytes, []byte("dry"), []byte("wet"), 1)
	var stored []tlog.Hash
	reader := tlog.HashReaderFunc(func(indexes []int64) ([]tlog.Hash, error) {
		var list []tlog.Hash
		for _, i := range indexes {
			list = append(list, stored[i])
		}
		return list, nil
	})
	for i := range l.rows {
		hashes, err := tlog.StoredHashes(int64(i), l.rows[i].Bytes, reader)
		if err != nil {
			panic(err) // the reader has no errors
		}
		stored = append(stored, hashes...)
		l.rows[i].Nodes = nil
		for _, h := range hashes {
			l.rows[i].Nodes = append(l.rows[i].Nodes, h[:]...)
		}
	}
}

// Whatever stands in a database, the audit comes to its end, and bytes that
// are not an entry are listed.
func TestArbitraryRows(t *testing.T) {
	some := rapid.SliceOfN(rapid.Byte(), 0, 70)
	rapid.Check(t, func(rt *rapid.T) {
		p := newPaper(t)
		l := p.tablet()
		for range rapid.IntRange(0, 12).Draw(rt, "rows") {
			row := audit.RawEntry{Index: rapid.OneOf(rapid.Int64Range(0, 9), rapid.Int64Range(0, 1<<40-1)).Draw(rt, "index"),
				Bytes: some.Draw(rt, "bytes"), Nodes: some.Draw(rt, "nodes"), Thumbs: some.Draw(rt, "thumbs"), Checkpoint: some.Draw(rt, "note")}
			if rapid.Bool().Draw(rt, "next") {
				row.Index = int64(len(l.rows))
			}
			l.rows = append(l.rows, row)
		}
		for range rapid.IntRange(0, 3).Draw(rt, "countersignatures") {
			l.signed = append(l.signed, journal.Countersigned{Size: rapid.Int64().Draw(rt, "size"), Note: some.Draw(rt, "note")})
		}
		for range rapid.IntRange(0, 3).Draw(rt, "others") {
			p.thumbs = append(p.thumbs, audit.RawThumb{Ref: some.Draw(rt, "ref"), Bytes: some.Draw(rt, "thumb")})
			p.photos = append(p.photos, audit.RawPhoto{Ref: some.Draw(rt, "ref"), Thumb: some.Draw(rt, "thumb")})
			p.cards = append(p.cards, audit.RawCard{Card: string(some.Draw(rt, "card")), Changed: some.Draw(rt, "changed"), JSON: some.Draw(rt, "json")})
		}
		r := p.audit(t)
		for _, row := range l.rows[1:] {
			if !found(r, atEntry(row.Index)) {
				rt.Fatalf("entry %d is not listed:\n%s", row.Index, text(t, r))
			}
		}
	})
}

// Entries of any bytes, signed as they should be, are listed and harm nothing.
func FuzzEntry(f *testing.F) {
	for _, d := range journaltest.Samples()[:4] {
		raw, err := journaltest.Golden(d)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(raw)
	}
	f.Add([]byte(nil))
	f.Fuzz(func(t *testing.T, raw []byte) {
		p := newPaper(t)
		p.tablet().write(t, raw)
		_, err := journal.Decode(raw)
		if r := p.audit(t); err != nil && !found(r, atEntry(1)) {
			t.Errorf("no entry, and not listed:\n%s", text(t, r))
		}
	})
}
