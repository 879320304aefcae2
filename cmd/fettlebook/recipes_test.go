package main

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"fettlebook/cmd/internal/folder"

	"github.com/rogpeppe/go-internal/txtar"
)

// TestRecipes follows DEVELOPERS.md in a copy of the program: a kind of entry,
// a fact for rules and a figure are added, each in as many places as written
// there, and then used. FETTLEBOOK_RECIPES=all builds the copy and uses what was
// added; else it is only looked whether the edits still fit.
func TestRecipes(t *testing.T) {
	c := copied(t)
	for _, recipe := range []struct {
		name   string
		places int
	}{
		{"kind", 3},
		{"kind_sample", 1},
		{"fact", 2},
		{"figure", 3}, // of two: its calculation, and its command with a line in figures
	} {
		if places := c.follow(recipe.name); places != recipe.places {
			t.Errorf("the recipe of a %s touches %d files, want %d", recipe.name, places, recipe.places)
		}
	}

	if os.Getenv("FETTLEBOOK_RECIPES") != "all" {
		return
	}

	// What the program must know of a kind is asked by its tests.
	c.run("go", "run", "./testdata/entries/gen", "testdata/entries")
	c.run("go", "test", "-count=1", "./journal", "-run", "Row|Golden|Say|Blanks|Schema|Imports|Span", "-update")
	c.run("go", "test", "-count=1", "-run", "Samples|Minimal|Forms|View|Words|Vocabulary|Schema",
		"./journal/journaltest", "./cmd/internal/pages/form", "./journal/card", "./journal/facts", "./journal/trade/piston")
	c.run("go", "build", "-o", "fettlebook", "./cmd/fettlebook")

	// The kind is written, said, and described by its schema.
	c.use("hub", "init", "--shop", "Pin Bore Works", "--by", "io", "--host", "127.0.0.1")
	c.use("route", "publish", "cmd/fettlebook/testdata/recipes/bubbles.yaml")
	job := strings.Fields(c.use("open", "--plate", "FB 204", "--corner", "LF", "--route", "bubbles"))[1]
	c.use("add", "disc.measured", "--job", job, "--corner", "LF", "thickness=24.2 mm", "runout=0.04 mm")
	c.says("disc 24.2 mm thick; runout 0.04 mm", "record", "FB 204")
	c.use("add", "tool.registered", "tool=mm-1", "what=other")
	c.says("no tool mm-2 is in the shop’s register", "add", "disc.measured", "--job", job, "--corner", "LF", "thickness=24 mm", "gauge=mm-2")
	c.says("thickness  a number as typed and its unit", "schema", "disc.measured")

	// A rule asks for the fact.
	c.says("OPEN    LF — No bubbles", "holds", job)
	c.use("add", "bleed.done", "--job", job, "--corner", "LF", "fluid=bf-31", "drawn=120 mL", "bubbles=none")
	c.says("MET     LF — No bubbles at the end", "holds", job, "--all")
	c.says("120 mL drawn, bubbles at the end: none", "holds", job, "--all")

	// The figure is printed for people and for programs: 8 N/mm² on 57 mm.
	c.says("the piston pushes with 20.4 kN", "figure", "piston", "--bore", "57 mm", "--pressure", "80 bar")
	c.says(`"force_kn":20.41`, "figure", "piston", "--bore", "57 mm", "--pressure", "80 bar", "--json")
}

// quick builds all of the copy once for its tests and for the program, and spends
// no time on making fast what is used a dozen times.
const quick = `-mod=mod -ldflags=-w "-gcflags=fettlebook/...=-N -l"`

// copyOf is a copy of the module.
type copyOf struct {
	*testing.T
	dir string
}

// place is where the copy goes: always the same folder, since what the go command
// built of the same sources in another one it builds again. Where that cannot be
// had, or somebody else is at it, it is a folder of the test's own.
func place(t *testing.T) string {
	t.Helper()
	cache, err := os.UserCacheDir()
	if err != nil {
		return t.TempDir()
	}
	dir := filepath.Join(cache, "fettlebook-test", "recipes")
	lock, err := folder.Lock(dir)
	if err != nil {
		return t.TempDir()
	}
	copied := filepath.Join(dir, "copy")
	empty := func() {
		if err := os.RemoveAll(copied); err != nil {
			t.Error(err)
		}
	}
	empty() // of a test that was killed
	t.Cleanup(func() {
		empty()
		if err := lock.Unlock(); err != nil {
			t.Error(err)
		}
	})
	return copied
}

// copied copies what the program is built of, and the entries that its tests hold.
func copied(t *testing.T) copyOf {
	t.Helper()
	c := copyOf{t, place(t)}
	for _, folder := range []string{"journal", "media", "sync", "cmd", "testdata/entries"} {
		if err := os.CopyFS(filepath.Join(c.dir, folder), os.DirFS(filepath.Join("..", "..", folder))); err != nil {
			t.Fatal(err)
		}
	}
	for _, name := range []string{"go.mod", "go.sum"} {
		c.write(name, c.read(filepath.Join("..", "..", name)))
	}
	return c
}

// follow makes the edits of a recipe, and returns how many files they touch.
// A file that is not there is new; of one that is there, lines that begin with
// a space are found and those that begin with + are added between them.
func (c copyOf) follow(recipe string) int {
	c.Helper()
	archive, err := txtar.ParseFile(filepath.Join("testdata", "recipes", recipe+".txtar"))
	if err != nil {
		c.Fatal(err)
	}
	for _, f := range archive.Files {
		if _, err := os.Stat(filepath.Join(c.dir, f.Name)); err != nil {
			c.write(f.Name, string(f.Data))
			continue
		}
		text := c.read(filepath.Join(c.dir, f.Name))
		for hunk := range strings.SplitSeq(string(f.Data), "@@\n") {
			var before, after strings.Builder
			for line := range strings.Lines(hunk) {
				if line[0] == ' ' {
					before.WriteString(line[1:])
				}
				after.WriteString(line[1:])
			}
			if n := strings.Count(text, before.String()); n != 1 {
				c.Fatalf("%s has %d places such as\n%s", f.Name, n, before.String())
			}
			text = strings.Replace(text, before.String(), after.String(), 1)
		}
		c.write(f.Name, text)
	}
	return len(archive.Files)
}

func (c copyOf) read(path string) string {
	c.Helper()
	text, err := os.ReadFile(path)
	if err != nil {
		c.Fatal(err)
	}
	return string(text)
}

func (c copyOf) write(name, text string) {
	c.Helper()
	path := filepath.Join(c.dir, name)
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		c.Fatal(err)
	}
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		c.Fatal(err)
	}
}

// run runs a program in the copy, and returns what it printed.
func (c copyOf) run(program string, args ...string) string {
	c.Helper()
	cmd := exec.CommandContext(c.Context(), program, args...)
	cmd.Dir = c.dir
	cmd.Env = append(os.Environ(), "FETTLEBOOK_DATA="+filepath.Join(c.dir, "shop"), "FETTLEBOOK_BY=io", "GOWORK=off", "GOFLAGS="+quick)
	var out, complaint bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &complaint
	if err := cmd.Run(); err != nil {
		c.Fatalf("%s %q: %v\n%s%s", program, args, err, &out, &complaint)
	}
	return out.String() + complaint.String()
}

// use runs the program of the copy.
func (c copyOf) use(args ...string) string {
	c.Helper()
	return c.run(filepath.Join(c.dir, "fettlebook"), args...)
}

// says demands words of what the program prints.
func (c copyOf) says(words string, args ...string) {
	c.Helper()
	if got := c.use(args...); !strings.Contains(got, words) {
		c.Errorf("%q does not print %q:\n%s", args, words, got)
	}
}
