package index_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/index"
)

// bytesOf are the bytes of the index's files in lower case.
func bytesOf(t *testing.T, path string) []byte {
	t.Helper()
	var all []byte
	for _, name := range []string{path, path + "-wal"} {
		raw, err := os.ReadFile(name)
		if err != nil && !errors.Is(err, os.ErrNotExist) {
			t.Fatal(err)
		}
		all = append(all, raw...)
	}
	return bytes.ToLower(all)
}

func TestErasedCard(t *testing.T) {
	path := filepath.Join(t.TempDir(), "index.db")
	db, _ := open(t, path)
	ctx := t.Context()
	for i := range 300 {
		if err := db.KeepCards(ctx, index.CardWords{Card: journal.CardID(fmt.Sprintf("c%d", i)), Words: fmt.Sprintf("Wilma Tarn%d 00 555 %04d 4 Candle Row", i, i), Rev: int64(i + 1)}); err != nil {
			t.Fatal(err)
		}
	}
	if err := db.KeepCards(ctx, index.CardWords{Card: "gone", Words: "Quibblethorpe Vexworth 00 777 31313 9 Zigzagging Lane", Rev: 301}); err != nil {
		t.Fatal(err)
	}
	if err := db.KeepCards(ctx, index.CardWords{Card: "moved", Words: "Ilse Fenn 1 Hexagonal Yard", Rev: 302}); err != nil {
		t.Fatal(err)
	}
	for query, want := range map[string][]journal.CardID{"vexworth": {"gone"}, "quib zigz": {"gone"}, "tarn12": {"c129", "c128", "c127", "c126", "c125", "c124", "c123", "c122", "c121", "c120", "c12"}, "hexa": {"moved"}, "nobody": nil} {
		if got, err := db.SearchCards(ctx, query, 100); err != nil || !slices.Equal(got, want) {
			t.Errorf("%s: found %v (%v), want %v", query, got, err, want)
		}
	}
	if raw := bytesOf(t, path); !bytes.Contains(raw, []byte("quibblethorpe")) || !bytes.Contains(raw, []byte("hexagonal")) {
		t.Fatal("the words are not in the file before they are erased, so nothing would be shown")
	}
	if err := db.KeepCards(ctx, index.CardWords{Card: "gone", Erased: true, Rev: 303}); err != nil {
		t.Fatal(err)
	}
	if err := db.KeepCards(ctx, index.CardWords{Card: "moved", Words: "Ilse Fenn 2 Octagon Yard", Rev: 304}); err != nil {
		t.Fatal(err)
	}
	gone := func(when string) {
		t.Helper()
		raw := bytesOf(t, path)
		// FTS5 leaves out of a term what it shares with the one before.
		for _, word := range []string{"quibblethorpe", "uibbleth", "vexworth", "exwor", "31313", "zigzag", "igzagg", "hexagonal", "exagon"} {
			if bytes.Contains(raw, []byte(word)) {
				t.Errorf("%s the file still holds %q", when, word)
			}
		}
		if !bytes.Contains(raw, []byte("wilma")) {
			t.Errorf("%s the other cards are gone too", when)
		}
	}
	gone("after the erasure")
	if got, err := db.SearchCards(ctx, "vexworth", 10); err != nil || len(got) != 0 {
		t.Errorf("the erased card is found: %v (%v)", got, err)
	}
	if got, err := db.SearchCards(ctx, "octagon", 10); err != nil || len(got) != 1 {
		t.Errorf("the card that moved is not found (%v)", err)
	}
	if err := db.KeepCards(ctx, index.CardWords{Card: "never written", Erased: true, Rev: 299}); err != nil {
		t.Error(err)
	}
	if rev, err := db.CardMark(ctx); err != nil || rev != 304 {
		t.Errorf("cards are indexed up to %d (%v)", rev, err)
	}
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	gone("closed,")
}

// Damage that shows while the index is open is told by its error, and the
// next Open begins anew.
func TestDamagedWhileOpen(t *testing.T) {
	path := filepath.Join(t.TempDir(), "index.db")
	db, _ := open(t, path)
	if err := db.Load(t.Context(), history(1500), nil); err != nil {
		t.Fatal(err)
	}
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	db, begun := open(t, path)
	if begun {
		t.Fatal("the index is begun anew")
	}
	file, err := os.OpenFile(path, os.O_WRONLY, 0)
	if err != nil {
		t.Fatal(err)
	}
	info, err := file.Stat()
	if err != nil {
		t.Fatal(err)
	}
	if _, err := file.WriteAt(bytes.Repeat([]byte{0xa5}, int(info.Size())-8192), 8192); err != nil {
		t.Fatal(err)
	}
	if err := file.Close(); err != nil {
		t.Fatal(err)
	}
	if _, err := db.Citing(t.Context(), "tool/tw-1"); !errors.Is(err, index.ErrDamaged) {
		t.Errorf("a damaged index answers with %v", err)
	}
	db.Close()
	if _, begun := open(t, path); !begun {
		t.Error("the damaged index is kept")
	}
}

// What is broken off leaves nothing behind, and the next write goes on.
func TestBrokenOff(t *testing.T) {
	db, _ := open(t, filepath.Join(t.TempDir(), "index.db"))
	items := samples(t)
	ctx, cancel := context.WithCancel(t.Context())
	err := db.Hold(ctx, func() error {
		cancel()
		return ctx.Err()
	})
	if !errors.Is(err, context.Canceled) {
		t.Errorf("a write that was broken off gave %v", err)
	}
	if err := db.Put(ctx, items); !errors.Is(err, context.Canceled) {
		t.Errorf("a write for nobody gave %v", err)
	}
	sorry := errors.New("sorry")
	if err := db.Load(t.Context(), func(yield func(index.Item, error) bool) { _ = yield(items[0], nil) && yield(index.Item{}, sorry) }, nil); !errors.Is(err, sorry) {
		t.Errorf("a load that failed gave %v", err)
	}
	if err := db.Put(t.Context(), items); err != nil {
		t.Fatal(err)
	}
	if rows, err := db.Entries(t.Context(), index.Home(items[40].Entry.Subject)); err != nil || len(rows) == 0 {
		t.Errorf("%d entries are found (%v)", len(rows), err)
	}
}

func TestReadersDoNotWait(t *testing.T) {
	db, _ := open(t, filepath.Join(t.TempDir(), "index.db"))
	items := samples(t)
	if err := db.Put(t.Context(), items); err != nil {
		t.Fatal(err)
	}
	if err := db.Hold(t.Context(), func() error {
		rows, err := db.ByID(t.Context(), items[0].Entry.ID)
		if err == nil && len(rows) != 1 {
			err = errors.New("an entry is not found while another is written")
		}
		return err
	}); err != nil {
		t.Fatal(err)
	}
}
