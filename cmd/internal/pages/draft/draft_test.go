package draft_test

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"fettlebook/cmd/internal/pages/draft"
	"fettlebook/journal"
	"fettlebook/media"

	"pgregory.net/rapid"
)

// watch is a clock that a test sets.
type watch struct{ at time.Time }

func (w *watch) now() time.Time { return w.at }

func open(t testing.TB, dir string, w *watch) *draft.Store {
	t.Helper()
	s, err := draft.Open(dir, draft.Options{Now: w.now})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func start() *watch { return &watch{time.Date(2026, 3, 2, 8, 0, 0, 0, time.UTC)} }

func put(t testing.TB, s *draft.Store, k draft.Key, field, text string) {
	t.Helper()
	if _, err := s.Change(k, func(d *draft.Draft) { d.Title = "Masked"; d.Values[field] = []string{text} }); err != nil {
		t.Fatal(err)
	}
}

var masking = draft.Key{By: "io", Path: "/stage/mask/job/4f7kk2m9/corner/LF/part/caliper"}

func TestComesBack(t *testing.T) {
	dir, w := t.TempDir(), start()
	s := open(t, dir, w)
	put(t, s, masking, "plugs", "6")
	photo := draft.Photo{Photo: journal.Photo{Ref: media.Ref{1}, Thumb: media.Ref{2}, Role: "masked bores"}, Findings: []string{"Blurred: hold still and take it again."}}
	if _, err := s.Change(masking, func(d *draft.Draft) { d.Photos = append(d.Photos, photo) }); err != nil {
		t.Fatal(err)
	}
	d, err := open(t, dir, w).Get(masking)
	if err != nil {
		t.Fatal(err)
	}
	if got := d.Values["plugs"]; !slices.Equal(got, []string{"6"}) {
		t.Errorf("typed values came back as %q", got)
	}
	if len(d.Photos) != 1 || d.Photos[0].Photo != photo.Photo || d.Photos[0].Findings[0] != photo.Findings[0] {
		t.Errorf("photos came back as %+v", d.Photos)
	}
	for _, other := range []draft.Key{{By: "jr", Path: masking.Path}, {By: "io", Path: "/write/note.made/job/4f7kk2m9"}} {
		if d, err := s.Get(other); err != nil || len(d.Values) > 0 {
			t.Errorf("%+v has %+v, %v", other, d.Values, err)
		}
	}
	if err := s.Drop(masking); err != nil {
		t.Fatal(err)
	}
	if d, err := open(t, dir, w).Get(masking); err != nil || len(d.Values)+len(d.Photos) > 0 {
		t.Errorf("a dropped draft came back: %+v, %v", d, err)
	}
}

func TestDamaged(t *testing.T) {
	dir, w := t.TempDir(), start()
	s := open(t, dir, w)
	put(t, s, masking, "plugs", "6")
	other := draft.Key{By: "io", Path: "/write/note.made/job/4f7kk2m9"}
	files, err := filepath.Glob(filepath.Join(dir, "*.json"))
	if err != nil || len(files) != 1 {
		t.Fatal(files, err)
	}
	whole, err := os.ReadFile(files[0])
	if err != nil {
		t.Fatal(err)
	}
	put(t, s, other, "note", "kept")
	for _, c := range []struct{ name, text string }{
		{"empty", ""}, {"cut", string(whole[:len(whole)/2])}, {"unknown member", `{"by":"io","path":"x","colour":"red"}`},
		{"another's", strings.Replace(string(whole), "LF", "RF", 1)}, {"noise", "\x00\xff"},
	} {
		t.Run(c.name, func(t *testing.T) {
			if err := os.WriteFile(files[0], []byte(c.text), 0o600); err != nil {
				t.Fatal(err)
			}
			again := open(t, dir, w)
			if _, err := again.Get(masking); !errors.Is(err, draft.ErrDamaged) {
				t.Errorf("got %v", err)
			}
			if d, err := again.Get(other); err != nil || d.Values["note"][0] != "kept" {
				t.Errorf("the other draft: %+v, %v", d, err)
			}
			if list := again.List("io"); len(list) != 1 || list[0].Path != other.Path {
				t.Errorf("listed: %+v", list)
			}
			put(t, again, masking, "plugs", "5")
			if d, err := open(t, dir, w).Get(masking); err != nil || d.Values["plugs"][0] != "5" {
				t.Errorf("typed again: %+v, %v", d, err)
			}
		})
	}
}

func TestList(t *testing.T) {
	dir, w := t.TempDir(), start()
	s := open(t, dir, w)
	for i, k := range []draft.Key{{By: "io", Path: "/a"}, {By: "jr", Path: "/b"}, {By: "", Path: "/c"}, {By: "io", Path: "/d"}} {
		w.at = w.at.Add(time.Duration(i) * time.Minute)
		put(t, s, k, "note", "x")
	}
	for _, s := range []*draft.Store{s, open(t, dir, w)} {
		var paths []string
		for _, item := range s.List("io") {
			paths = append(paths, item.Path)
			if item.Title != "Masked" || item.When.IsZero() {
				t.Errorf("listed as %+v", item)
			}
		}
		if want := []string{"/d", "/c", "/a"}; !slices.Equal(paths, want) {
			t.Errorf("listed %q, want %q", paths, want)
		}
	}
}

func TestOldGo(t *testing.T) {
	dir, w := t.TempDir(), start()
	s := open(t, dir, w)
	put(t, s, masking, "plugs", "6")
	w.at = w.at.Add(draft.Life + time.Hour)
	if list := open(t, dir, w).List("io"); len(list) != 0 {
		t.Errorf("still listed after %v: %+v", draft.Life, list)
	}
	if files, _ := filepath.Glob(filepath.Join(dir, "*.json")); len(files) != 0 {
		t.Errorf("still there: %q", files)
	}
}

func TestCaps(t *testing.T) {
	w := start()
	s := open(t, t.TempDir(), w)
	big := func(d *draft.Draft) { d.File = &draft.File{Name: "bake.csv", Bytes: make([]byte, draft.MaxBytes*3/4)} }
	put(t, s, masking, "plugs", "6")
	if _, err := s.Change(masking, big); !errors.Is(err, draft.ErrTooBig) {
		t.Errorf("a draft over the cap: %v", err)
	}
	if d, err := s.Get(masking); err != nil || d.Values["plugs"][0] != "6" || d.File != nil {
		t.Errorf("what was there before: %+v, %v", d.Values, err)
	}
	// Eight of these fill the store, so the oldest go. Base64 takes a third more.
	for i := range 11 {
		w.at = w.at.Add(time.Minute)
		if _, err := s.Change(draft.Key{By: "io", Path: fmt.Sprint("/", i)}, func(d *draft.Draft) {
			d.File = &draft.File{Name: "bake.csv", Bytes: make([]byte, draft.MaxAll/9*3/4)}
		}); err != nil {
			t.Fatal(err)
		}
	}
	if list := s.List("io"); len(list) != 8 || list[0].Path != "/10" {
		t.Errorf("kept: %+v", list)
	}
}

func TestAtOnce(t *testing.T) {
	s := open(t, t.TempDir(), start())
	var all sync.WaitGroup
	for i := range 20 {
		all.Go(func() { put(t, s, masking, fmt.Sprint("field", i), "x") })
	}
	all.Wait()
	if d, err := s.Get(masking); err != nil || len(d.Values) != 20 {
		t.Errorf("kept %d of 20 fields, %v", len(d.Values), err)
	}
}

// Whatever a browser sends as text comes back as it was.
func TestAnyText(t *testing.T) {
	dir := t.TempDir()
	rapid.Check(t, func(r *rapid.T) {
		s := open(t, dir, start())
		values := rapid.MapOf(rapid.String(), rapid.SliceOfN(rapid.String(), 1, 3)).Draw(r, "values")
		if _, err := s.Change(masking, func(d *draft.Draft) { d.Values = values }); err != nil {
			r.Fatal(err)
		}
		d, err := s.Get(masking)
		if err != nil {
			r.Fatal(err)
		}
		if fmt.Sprint(d.Values) != fmt.Sprint(values) {
			r.Fatalf("got %q, want %q", d.Values, values)
		}
	})
}
