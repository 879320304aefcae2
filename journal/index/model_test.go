package index_test

import (
	"bytes"
	"cmp"
	"context"
	"log/slog"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"fettlebook/journal"
	"fettlebook/journal/index"
	"fettlebook/journal/journaltest"

	"github.com/go-json-experiment/json/jsontext"
	"pgregory.net/rapid"
)

// model is what an index has to find, worked out by going through all items.
type model []index.Item

func (m model) sorted(keep func(index.Item) bool) []journal.Position {
	var list []index.Item
	for _, item := range m {
		if item.Entry != nil && keep(item) {
			list = append(list, item)
		}
	}
	slices.SortFunc(list, func(a, b index.Item) int {
		return cmp.Or(cmp.Compare(a.Place, b.Place), bytes.Compare(a.Entry.ID[:], b.Entry.ID[:]), cmp.Compare(a.Device, b.Device), cmp.Compare(a.Index, b.Index))
	})
	var at []journal.Position
	for _, item := range list {
		at = append(at, item.Position)
	}
	return at
}

// payloads are the item's own data and, of a correction, what it puts in
// the place of others', with the homes of those; and for whom it is.
func (m model) payloads(item index.Item) (list []journal.Payload, homes []journal.Subject, of []journal.EntryID) {
	if item.Payload == nil {
		return nil, nil, nil
	}
	list, homes = []journal.Payload{item.Payload}, []journal.Subject{index.Home(item.Entry.Subject)}
	c, _ := item.Payload.(*journal.Correction)
	for c != nil {
		var inner *journal.Correction
		of = append(of, c.Of)
		for _, other := range m {
			if other.Entry == nil || other.Entry.ID != c.Of {
				continue
			}
			if p, err := journal.ParsePayload(other.Entry.Type, c.Data); err == nil {
				list, homes = append(list, p), append(homes, index.Home(other.Entry.Subject))
				inner, _ = p.(*journal.Correction)
			}
		}
		c = inner
	}
	return list, homes, of
}

// astray are the items of other homes that have to do with those of a home.
func (m model) astray(home journal.Subject) []journal.Position {
	inside := map[journal.EntryID]bool{}
	for _, item := range m {
		if item.Entry != nil && index.Home(item.Entry.Subject) == home {
			inside[item.Entry.ID] = true
		}
	}
	return m.sorted(func(o index.Item) bool {
		_, _, of := m.payloads(o)
		return index.Home(o.Entry.Subject) != home && (inside[o.Entry.ID] || slices.ContainsFunc(of, func(id journal.EntryID) bool { return inside[id] }))
	})
}

// whole lists where the entries of homes are, and those astray of them.
func (m model) whole(homes []journal.Subject) []journal.Position {
	stray := map[journal.Position]bool{}
	for _, h := range homes {
		for _, at := range m.astray(h) {
			stray[at] = true
		}
	}
	return m.sorted(func(o index.Item) bool {
		return stray[o.Position] || slices.Contains(homes, index.Home(o.Entry.Subject))
	})
}

// cites are the things that an item is found by.
func (m model) cites(item index.Item) map[journal.Subject]bool {
	found := map[journal.Subject]bool{}
	own := index.Home(item.Entry.Subject)
	add := func(s journal.Subject) {
		if s != own {
			found[s] = true
		}
		if home := index.Home(s); home != own {
			found[home] = true
		}
	}
	add(item.Entry.Subject)
	add(journal.Of("person", string(item.Entry.By)))
	if item.Wrote != nil { // it is quoted: found by whose log it lay in
		add(journal.Of("device", string(item.Entry.Source.Device)))
	}
	payloads, _, _ := m.payloads(item)
	for _, p := range payloads {
		for _, s := range journal.Cites(p) {
			add(s)
		}
	}
	return found
}

// keys are the texts by which an item's homes are found.
func (m model) keys(item index.Item) (found []index.Match) {
	payloads, homes, _ := m.payloads(item)
	for i, p := range payloads {
		add := func(by, text string) {
			if text != "" {
				found = append(found, index.Match{By: by, Text: index.Squash(text), Home: homes[i], At: item.Position})
			}
		}
		switch p := p.(type) {
		case *journal.Job:
			add(index.VIN, p.Vehicle.VIN) // the samples' reads one way only
			add(index.Plate, p.Vehicle.Plate)
			if p.Customer != nil {
				add(index.Customer, string(p.Customer.Card))
			}
		case *journal.Tagging:
			add(index.CastMark, p.Mark)
			add(index.Number, p.Number)
			add(index.Pattern, p.Pattern)
			add(index.Tag, p.Tag)
		}
	}
	return found
}

// random draws a history of up to three logs in random order of arrival.
func random(t *rapid.T) model {
	devices := []journal.DeviceID{"office", "bench-1", "bench-2"}
	var logs [3][][]byte
	var ids []journal.EntryID
	watch := journaltest.NewWatch(journaltest.Morning())
	authors := map[int]*journaltest.Author{}
	for i, d := range devices {
		authors[i] = journaltest.NewAuthor(d, watch, string(d))
	}
	samples := journaltest.Samples()
	var all [][]byte
	for range rapid.IntRange(1, 30).Draw(t, "entries") {
		watch.Advance(time.Duration(rapid.IntRange(0, 30_000_000).Draw(t, "ms")) * time.Millisecond)
		i := rapid.IntRange(0, 2).Draw(t, "device")
		d := samples[rapid.IntRange(0, len(samples)-1).Draw(t, "sample")]
		var raw []byte
		switch rapid.IntRange(0, 11).Draw(t, "what") {
		case 0:
			raw = []byte("no entry")
		case 1: // of another log, as after a fork
			if len(all) > 0 {
				raw = rapid.SampledFrom(all).Draw(t, "double")
				if e, err := journal.Decode(raw); err == nil && rapid.Bool().Draw(t, "elsewhere") {
					e.Subject = "job/elsewhere"
					if raw, err = e.Encode(); err != nil {
						t.Fatal(err)
					}
				}
			}
		case 2, 3, 4:
			if len(ids) > 0 {
				of := rapid.SampledFrom(ids).Draw(t, "of")
				data, err := journal.MarshalPayload(d.Data)
				if err != nil {
					t.Fatal(err)
				}
				if rapid.Bool().Draw(t, "nested") {
					if data, err = journal.MarshalPayload(&journal.Correction{Of: rapid.SampledFrom(ids).Draw(t, "inner"), Reason: "a slip", Data: data}); err != nil {
						t.Fatal(err)
					}
				}
				d.Subject, d.Data, d.Thumbs = journal.Of("job", "x"), &journal.Correction{Of: of, Reason: "a slip", Data: data}, nil
			}
		case 5:
			d.Subject = journal.Of("newer", "thing")
		}
		if raw == nil {
			e, err := authors[i].Write(d)
			if d.Subject.Word() == "newer" { // as a later version writes it
				d.Subject = journal.Of("job", "x")
				e, err = authors[i].Write(journal.Draft{Subject: d.Subject, By: d.By, Data: &journal.Remark{Evidence: journal.Evidence{Note: "x"}}})
				if err == nil {
					e.Type = journal.Type{Kind: "thing.invented", Version: 1}
					e.Data = jsontext.Value(`{"strange":"unheard-of marvel","photos":[]}`)
				}
			}
			if err != nil {
				t.Fatal(err)
			}
			if raw, err = e.Encode(); err != nil {
				t.Fatal(err)
			}
			ids = append(ids, e.ID)
		}
		all = append(all, raw)
		logs[i] = append(logs[i], raw)
	}
	var m model
	var next [3]int
	for range all {
		var open []int
		for i := range logs {
			if next[i] < len(logs[i]) {
				open = append(open, i)
			}
		}
		i := rapid.SampledFrom(open).Draw(t, "arrives")
		item := index.Read(journal.Logged{Position: journal.Position{Device: devices[i], Index: int64(next[i])}, Bytes: logs[i][next[i]]})
		next[i]++
		item.Void = item.Payload == nil || rapid.IntRange(0, 9).Draw(t, "void") == 0
		if item.Entry != nil {
			item.Place = rapid.Uint64Range(1<<63-20, 1<<63+20).Draw(t, "place")
			item.Past = []byte(item.Device)
			item.Waiting = rapid.IntRange(0, 9).Draw(t, "waits") == 0
		}
		m = append(m, item)
	}
	return m
}

func TestFindsWhatAModelFinds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ctx := context.Background()
		m := random(t)
		dir, err := os.MkdirTemp("", "index")
		if err != nil {
			t.Fatal(err)
		}
		defer os.RemoveAll(dir)
		begin := func(name string) *index.DB {
			db, _, err := index.Open(ctx, filepath.Join(dir, name), slog.New(slog.DiscardHandler))
			if err != nil {
				t.Fatal(err)
			}
			return db
		}
		db := begin("index.db")
		defer db.Close()
		for left := m; len(left) > 0; {
			n := rapid.IntRange(1, len(left)).Draw(t, "batch")
			if err := db.Put(ctx, left[:n]); err != nil {
				t.Fatal(err)
			}
			left = left[n:]
		}
		compare(t, db, m)
		dump, err := db.Dump(ctx)
		if err != nil {
			t.Fatal(err)
		}

		// Made anew, log by log, it is the same.
		again := begin("again.db")
		defer again.Close()
		inOrder := slices.Clone(m)
		slices.SortStableFunc(inOrder, func(a, b index.Item) int { return cmp.Compare(a.Device, b.Device) })
		if err := again.Load(ctx, func(yield func(index.Item, error) bool) {
			for _, item := range inOrder {
				if !yield(item, nil) {
					return
				}
			}
		}, nil); err != nil {
			t.Fatal(err)
		}
		if rebuilt, err := again.Dump(ctx); err != nil || rebuilt != dump {
			t.Fatalf("rebuilt (%v):\n%s\nwant:\n%s", err, rebuilt, dump)
		}

		// Entries that move in the order move in every answer.
		for i := range m {
			if m[i].Entry == nil || !rapid.Bool().Draw(t, "moves") {
				continue
			}
			m[i].Place = rapid.Uint64Range(1<<63-20, 1<<63+20).Draw(t, "place")
			if err := db.SetPlaces(ctx, []index.Placing{{Position: m[i].Position, Place: m[i].Place, Past: m[i].Past, Waiting: m[i].Waiting}}); err != nil {
				t.Fatal(err)
			}
		}
		compare(t, db, m)
	})
}

// mistakable reports whether an entry cites not the thing but entries with ids
// of the same millisecond and counter, which may share a number with it.
func mistakable(s journal.Subject, cites map[journal.Subject]bool) bool {
	of := func(s journal.Subject) (uint64, bool) {
		id, err := journal.ParseEntryID(strings.TrimPrefix(string(s), "entry/"))
		return id.Bits(), err == nil
	}
	bits, ok := of(s)
	if !ok || cites[s] {
		return false
	}
	for c := range cites {
		if b, ok := of(c); ok && b == bits {
			return true
		}
	}
	return false
}

func compare(t *rapid.T, db *index.DB, m model) {
	ctx := context.Background()
	cites, texts := make([]map[journal.Subject]bool, len(m)), make([][]string, len(m))
	number := map[journal.Position]int{}
	for i, item := range m {
		number[item.Position] = i
		if item.Entry != nil {
			cites[i], texts[i] = m.cites(item), terms(index.Words(item.Entry.Data))
		}
	}
	same := func(what any, rows []index.Row, err error, want []journal.Position) {
		t.Helper()
		var got []journal.Position
		for _, r := range rows {
			got = append(got, r.Position)
		}
		if err != nil || !slices.Equal(got, want) {
			t.Fatalf("%v: found %v (%v), want %v", what, got, err, want)
		}
	}
	things, homes, words := map[journal.Subject]bool{"tool/nobody": true}, map[journal.Subject]bool{"job/none": true}, map[string]bool{"nosuchword": true}
	keys := map[string]map[index.Match]bool{"NOSUCHKEY": nil}
	addKey := func(k index.Match) {
		if keys[k.Text] == nil {
			keys[k.Text] = map[index.Match]bool{}
		}
		keys[k.Text][k] = true
	}
	for _, item := range m {
		row, err := db.At(ctx, item.Position)
		if err != nil || row.Position != item.Position {
			t.Fatalf("at %v: %+v (%v)", item.Position, row, err)
		}
		if item.Entry == nil {
			if !row.ID.IsZero() || row.Home != "" {
				t.Fatalf("what is not an entry is indexed as %+v", row)
			}
			continue
		}
		if row.ID != item.Entry.ID || row.Place != item.Place || string(row.Past) != string(item.Past) || row.Waiting != item.Waiting || row.By != item.Entry.By || row.Kind != item.Entry.Type.Kind {
			t.Fatalf("%+v is not %+v", row, item)
		}
		rows, err := db.ByID(ctx, item.Entry.ID)
		same(item.Entry.ID, rows, err, m.sorted(func(o index.Item) bool { return o.Entry.ID == item.Entry.ID }))
		if ids, err := db.IDs(ctx, item.Entry.ID, item.Entry.ID, 2); err != nil || len(ids) != 1 || ids[0] != item.Entry.ID {
			t.Fatalf("%s: %v (%v)", item.Entry.ID, ids, err)
		}
		for s := range cites[number[item.Position]] {
			things[s] = true
			if home := index.Home(s); !strings.HasPrefix(string(home), "entry/") && !strings.HasPrefix(string(home), "photo/") {
				word, _, _ := strings.Cut(string(home), "/") // what is only cited is found by its name too
				addKey(index.Match{By: word, Text: index.Squash(home.Last()), Home: home})
			}
		}
		home := index.Home(item.Entry.Subject)
		homes[home] = true
		for _, k := range m.keys(item) {
			addKey(k)
		}
		word, _, _ := strings.Cut(string(home), "/")
		addKey(index.Match{By: word, Text: index.Squash(home.Last()), Home: home})
		for _, w := range strings.Fields(index.Words(item.Entry.Data)) {
			words[w] = true
		}
		date := journal.Date(time.Time(item.Entry.Time).Format(time.DateOnly))
		rows, err = db.OfKind(ctx, item.Entry.Type.Kind, date, date)
		same(date, rows, err, m.sorted(func(o index.Item) bool {
			return o.Entry.Type.Kind == item.Entry.Type.Kind && time.Time(o.Entry.Time).Format(time.DateOnly) == string(date)
		}))
	}
	uncounted := map[journal.DeviceID][]journal.Position{}
	for _, item := range m { // each log in its order
		if item.Waiting || item.Void {
			uncounted[item.Device] = append(uncounted[item.Device], item.Position)
		}
	}
	many, err := db.Uncounted(ctx)
	if err != nil || len(many) != len(uncounted) {
		t.Fatalf("%v count for nothing (%v), want %v", many, err, uncounted)
	}
	for device, want := range uncounted {
		if many[device] != len(want) {
			t.Fatalf("%d of %s count for nothing, want %d", many[device], device, len(want))
		}
		rows, err := db.UncountedOf(ctx, device, 2)
		same("uncounted of "+device, rows, err, want[:min(2, len(want))])
	}
	for s := range things {
		rows, err := db.Citing(ctx, s)
		rows = slices.DeleteFunc(rows, func(r index.Row) bool { return mistakable(s, cites[number[r.Position]]) })
		same(s, rows, err, m.sorted(func(o index.Item) bool { return cites[number[o.Position]][s] }))
		for _, span := range [][2]uint64{{0, 1<<64 - 1}, {1<<63 - 5, 1<<63 + 3}} {
			want := 0
			for _, item := range m {
				if item.Payload == nil || item.Waiting || item.Void || item.Place <= span[0] || item.Place > span[1] {
					continue
				}
				for _, u := range journal.Uses(item.Payload) {
					if u.Of == s {
						want += u.Times
					}
				}
			}
			if got, err := db.Times(ctx, s, span[0], span[1]); err != nil || got != want {
				t.Fatalf("%s was used %d times (%v), want %d", s, got, err, want)
			}
		}
	}
	for h := range homes {
		rows, err := db.Entries(ctx, h)
		same(h, rows, err, m.sorted(func(o index.Item) bool { return index.Home(o.Entry.Subject) == h }))
		rows, err = db.Astray(ctx, h)
		same("astray of "+h, rows, err, m.astray(h))
	}
	all := slices.Collect(maps.Keys(homes))
	for _, some := range [][]journal.Subject{all, all[:len(all)/2], nil} {
		rows, err := db.Whole(ctx, some...)
		same(some, rows, err, m.whole(some))
	}
	for text, want := range keys {
		find(t, text, db.Find, text, want)
		longer, holding := map[index.Match]bool{}, map[index.Match]bool{}
		begin := text[:min(len(text), 3)]
		for other, list := range keys {
			for k := range list {
				if strings.HasPrefix(other, begin) && other != begin {
					longer[k] = true
				}
				if strings.Contains(other, begin) && len(begin) == 3 {
					holding[k] = true
				}
			}
		}
		find(t, "beginning "+begin, db.FindPrefix, begin, longer)
		find(t, "piece "+begin, db.FindPiece, begin, holding)
	}
	for w := range words {
		wanted := terms(w)
		if len(wanted) == 0 {
			continue
		}
		rows, err := db.Search(ctx, w, 1000)
		want := m.sorted(func(o index.Item) bool {
			have := texts[number[o.Position]]
			return !slices.ContainsFunc(wanted, func(t string) bool {
				return !slices.ContainsFunc(have, func(h string) bool { return h == t || len([]rune(t)) > 1 && strings.HasPrefix(h, t) })
			})
		})
		slices.Reverse(want)
		same(w, rows, err, want)
	}
}

func find(t *rapid.T, what string, f func(context.Context, string, int) ([]index.Match, error), text string, want map[index.Match]bool) {
	t.Helper()
	got, err := f(context.Background(), text, 10_000)
	if err != nil || len(got) != len(want) {
		t.Fatalf("%s: found %v (%v), want %v", what, got, err, want)
	}
	for _, k := range got {
		if !want[k] {
			t.Fatalf("%s: found %v, want %v", what, k, want)
		}
	}
}

// terms cuts a text of the samples, which know no marks over letters, into
// words.
func terms(text string) []string {
	return strings.FieldsFunc(strings.ToLower(text), func(r rune) bool {
		return !strings.ContainsRune("abcdefghijklmnopqrstuvwxyz0123456789µ", r)
	})
}
