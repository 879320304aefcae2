package index_test

import (
	"errors"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fettlebook/journal"
	"fettlebook/journal/index"
	"fettlebook/journal/journaltest"
)

func open(t testing.TB, path string) (*index.DB, bool) {
	t.Helper()
	db, begun, err := index.Open(t.Context(), path, slog.New(slog.DiscardHandler))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { db.Close() })
	return db, begun
}

// samples is one entry of every kind, full and minimal, in one log.
func samples(t testing.TB) []index.Item {
	t.Helper()
	w := journaltest.NewWatch(journaltest.Morning())
	author := journaltest.NewAuthor(journaltest.Bench, w, "samples")
	var list []index.Item
	for i, d := range journaltest.Samples() {
		raw, err := author.Encoded(d)
		if err != nil {
			t.Fatal(err)
		}
		item := index.Read(journal.Logged{Position: journal.Position{Device: journaltest.Bench, Index: int64(i)}, Bytes: raw})
		item.Place = uint64(1<<63) + uint64(i)
		list = append(list, item)
	}
	return list
}

func TestEverySampleIsFound(t *testing.T) {
	db, begun := open(t, filepath.Join(t.TempDir(), "index.db"))
	if !begun {
		t.Error("a new index is not begun")
	}
	items := samples(t)
	if err := db.Put(t.Context(), items); err != nil {
		t.Fatal(err)
	}
	for _, item := range items {
		rows, err := db.ByID(t.Context(), item.Entry.ID)
		if err != nil || len(rows) != 1 || rows[0].Position != item.Position || rows[0].Place != item.Place ||
			rows[0].Home != index.Home(item.Entry.Subject) || rows[0].Kind != item.Entry.Type.Kind || rows[0].By != item.Entry.By {
			t.Fatalf("%s: %+v (%v)", item.Entry.Type, rows, err)
		}
		for _, cited := range journal.Cites(item.Payload) {
			rows, err := db.Citing(t.Context(), cited)
			if err != nil {
				t.Fatal(err)
			}
			if cited != index.Home(item.Entry.Subject) && !holds(rows, item.Position) {
				t.Errorf("%s cites %s and is not found by it", item.Entry.Type, cited)
			}
		}
		if note := item.Payload; note != nil {
			words := strings.Fields(index.Words(item.Entry.Data))
			for _, w := range words {
				rows, err := db.Search(t.Context(), w, 1000)
				if err != nil {
					t.Fatal(err)
				}
				if strings.Trim(w, ".,;:-—()%/&°·") != "" && !holds(rows, item.Position) {
					t.Errorf("%s holds %q and is not found by it", item.Entry.Type, w)
				}
			}
		}
	}
}

func holds(rows []index.Row, at journal.Position) bool {
	for _, r := range rows {
		if r.Position == at {
			return true
		}
	}
	return false
}

func TestMarksHaveNoGaps(t *testing.T) {
	db, _ := open(t, filepath.Join(t.TempDir(), "index.db"))
	items := samples(t)
	var step *index.OutOfStep
	if err := db.Put(t.Context(), items[1:2]); !errors.As(err, &step) || step.Size != 0 || step.Index != 1 {
		t.Errorf("an entry beyond the mark gave %v", err)
	}
	if err := db.Put(t.Context(), items[:2]); err != nil {
		t.Fatal(err)
	}
	if err := db.Put(t.Context(), items[1:3]); !errors.As(err, &step) || step.Size != 2 {
		t.Errorf("an entry twice gave %v", err)
	}
	marks, err := db.Marks(t.Context())
	if err != nil || len(marks) != 1 || marks[0].Size != 2 || marks[0].Last != items[1].Entry.ID {
		t.Errorf("marks are %+v (%v)", marks, err)
	}
}

// What is not an index of this version is begun anew, what is one is kept.
func TestOpenBeginsAnew(t *testing.T) {
	items := samples(t)
	for name, bend := range map[string]func(path string) error{
		"no database": func(path string) error { return os.WriteFile(path, []byte(strings.Repeat("no database ", 900)), 0o600) },
		"cut short":   func(path string) error { return os.Truncate(path, 3*4096) },
		"overwritten": func(path string) error {
			raw, err := os.ReadFile(path)
			if err != nil {
				return err
			}
			for i := 4096; i < len(raw); i++ {
				raw[i] = 0xa5
			}
			return os.WriteFile(path, raw, 0o600)
		},
		"of another version": func(path string) error {
			raw, err := os.ReadFile(path)
			if err != nil {
				return err
			}
			raw[63]++ // user_version, https://www.sqlite.org/fileformat.html section 1.3
			return os.WriteFile(path, raw, 0o600)
		},
		"nothing wrong": nil,
	} {
		t.Run(name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "index.db")
			db, _ := open(t, path)
			if err := db.Put(t.Context(), items); err != nil {
				t.Fatal(err)
			}
			if err := db.Close(); err != nil {
				t.Fatal(err)
			}
			if bend != nil {
				if err := bend(path); err != nil {
					t.Fatal(err)
				}
			}
			again, begun := open(t, path)
			if begun != (bend != nil) {
				t.Fatalf("begun anew: %v", begun)
			}
			if bend == nil {
				return
			}
			if marks, err := again.Marks(t.Context()); err != nil || len(marks) != 0 {
				t.Errorf("a new index has the marks %v (%v)", marks, err)
			}
			if err := again.Put(t.Context(), items); err != nil {
				t.Errorf("a new index takes nothing: %v", err)
			}
		})
	}
}

// Who only reads sees the index as it was when it was opened, also while the
// program that holds it puts it in order anew.
func TestReadersSeeOneState(t *testing.T) {
	path := filepath.Join(t.TempDir(), "index.db")
	db, _ := open(t, path)
	items := samples(t)
	if err := db.Put(t.Context(), items); err != nil {
		t.Fatal(err)
	}
	reader, err := index.OpenToRead(t.Context(), path)
	if err != nil {
		t.Fatal(err)
	}
	defer reader.Close()
	if err := db.Clear(t.Context()); err != nil {
		t.Fatal(err)
	}
	marks, err := reader.Marks(t.Context())
	if err != nil || len(marks) != 1 || marks[0].Size != int64(len(items)) {
		t.Errorf("the reader sees %+v (%v)", marks, err)
	}
	if rows, err := reader.ByID(t.Context(), items[0].Entry.ID); err != nil || len(rows) != 1 {
		t.Errorf("an entry is found %d times (%v)", len(rows), err)
	}
	if marks, err := db.Marks(t.Context()); err != nil || len(marks) > 0 {
		t.Errorf("the program itself sees %+v (%v)", marks, err)
	}
}
