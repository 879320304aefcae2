package readonlytest

import (
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"sync"
	"testing"
	"testing/fstest"
	"time"
)

// begun are the shops that tests begin from, by the file of the story that was
// played in each. To found a shop and to play a story takes longer than most
// tests of it, so each is done once and copied.
var begun = struct {
	sync.Mutex
	by map[string]*past
}{by: make(map[string]*past)}

// past is a shop's folder as it was when it was closed.
type past struct {
	sync.Mutex
	files fstest.MapFS // nil until there is one
	names map[string]string
	until time.Time
}

// begin is a shop of the test's own that begins where another one ended, which
// whoever asks for it first makes.
func begin(t testing.TB, name string, from func(testing.TB) *Shop) *Shop {
	t.Helper()
	begun.Lock()
	p := begun.by[name]
	if p == nil {
		p = new(past)
		begun.by[name] = p
	}
	begun.Unlock()
	p.once(t, from)
	dir := filepath.Join(t.TempDir(), "data")
	check(t, os.CopyFS(dir, p.files))
	s := open(t, dir, p.until)
	maps.Copy(s.Names, p.names)
	return s
}

// once makes the shop, unless it was made.
func (p *past) once(t testing.TB, from func(testing.TB) *Shop) {
	t.Helper()
	p.Lock()
	defer p.Unlock()
	if p.files != nil {
		return
	}
	s := from(t)
	s.shut()
	files, dir := make(fstest.MapFS), os.DirFS(s.Dir)
	check(t, fs.WalkDir(dir, ".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := fs.ReadFile(dir, path)
		files[path] = &fstest.MapFile{Data: data, Mode: 0o600}
		return err
	}))
	p.files, p.names, p.until = files, s.Names, s.Now()
}
