package journal_test

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

const module = "fettlebook/"

// goFile is one Go file as the rules see it.
type goFile struct {
	dir     string // of the package, from the top: "journal/proof"
	name    string
	imports []string
	syntax  *ast.File
}

// product reports whether the file ends up in the program.
func (f goFile) product() bool {
	return !strings.HasSuffix(f.name, "_test.go") && !strings.HasSuffix(f.dir, "test")
}

// in reports whether the file lies in the folder or below it.
func (f goFile) in(folder string) bool { return within(f.dir, folder) }

func within(name, folder string) bool { return name == folder || strings.HasPrefix(name, folder+"/") }

// ours reports whether an import is one of the named packages of this module,
// or below it.
func ours(imported string, folders ...string) bool {
	return slices.ContainsFunc(folders, func(folder string) bool { return within(imported, module+folder) })
}

// std reports whether an import is of the standard library.
func std(imported string) bool {
	first, _, _ := strings.Cut(imported, "/")
	return !strings.Contains(first, ".") && first+"/" != module
}

// The rules of who may import whom, and a few that are as easily checked.
// Each says of a file what is wrong with it, or nothing.
var rules = []struct {
	says   string
	broken func(goFile) string
}{
	{"media knows nothing of journals", imported(func(f goFile, i string) bool {
		return f.in("media") && ours(i, "journal", "sync", "cmd")
	})},
	{"journals know nothing of sync and commands", imported(func(f goFile, i string) bool {
		return f.in("journal") && ours(i, "sync", "cmd")
	})},
	{"sync and pages state what they need of a store", imported(func(f goFile, i string) bool {
		return (f.in("sync") || f.in("cmd/internal/pages")) && f.product() && ours(i, "journal/sqlitelog", "media/photodir")
	})},
	{"trade calculations stand alone", imported(func(f goFile, i string) bool {
		return f.in("journal/trade") && f.product() && !std(i) && !within(i, "gonum.org/v1/gonum") && i != module+"journal/trade/unit" && i != module+"journal/trade/sheet" && i != module+"journal/words"
	})},
	{"media itself needs the standard library only", imported(func(f goFile, i string) bool {
		return f.dir == "media" && f.product() && !std(i)
	})},
	{"the program holds no test code", imported(func(f goFile, i string) bool {
		return f.product() && (within(i, "testing") || strings.HasSuffix(i, "test"))
	})},
	{"only media/durable renames and links files", func(f goFile) string {
		if f.dir == "media/durable" || !f.product() {
			return ""
		}
		return uses(f, "os", "Rename", "Link")
	}},
	{"nothing runs before main", func(f goFile) string {
		for _, d := range f.syntax.Decls {
			if fn, ok := d.(*ast.FuncDecl); ok && fn.Recv == nil && fn.Name.Name == "init" {
				return "has an init function"
			}
		}
		return ""
	}},
	{"a package is named for what it is", func(f goFile) string {
		if slices.Contains([]string{"util", "utils", "common", "helper", "helpers", "misc"}, path.Base(f.dir)) {
			return "lies in a package of no meaning"
		}
		return ""
	}},
	{"sync and the top hold no Go files, so that the standard sync keeps its name", func(f goFile) string {
		if f.dir == "sync" || f.dir == "." {
			return "lies in " + f.dir
		}
		return ""
	}},
	{"route cards know journals and calculations only", imported(func(f goFile, i string) bool {
		return f.dir == "journal/card" && f.product() && ours(i, "journal", "media") && i != module+"journal" && !ours(i, "journal/trade", "journal/words")
	})},
	{"facts know cards and nothing that is held against them", imported(func(f goFile, i string) bool {
		return f.dir == "journal/facts" && f.product() && ours(i, "journal/route")
	})},
	{"the program holds nothing that is there for development", imported(func(f goFile, i string) bool {
		return f.product() && ours(i, "testdata")
	})},
	{"a bag is a container and knows nothing of journals", imported(func(f goFile, i string) bool {
		return f.dir == "journal/bag" && f.product() && !std(i) && i != module+"media/durable" && i != module+"media/until"
	})},
	{"who checks a dossier needs no shop", imported(func(f goFile, i string) bool {
		return f.dir == "journal/evidence" && f.product() && ours(i, "journal", "media") &&
			!slices.Contains([]string{"journal", "journal/proof", "journal/order", "journal/words", "journal/bag", "journal/witnessed", "media", "media/alike"}, strings.TrimPrefix(i, module))
	})},
	{"words know nothing of what is said", imported(func(f goFile, i string) bool {
		return f.dir == "journal/words" && f.product() && !std(i)
	})},
	{"a study knows the parts table and nothing of how it came about", imported(func(f goFile, i string) bool {
		return f.dir == "journal/recur" && f.product() && !std(i) &&
			!slices.Contains([]string{"journal", "journal/parts", "journal/trade/stat", "journal/words"}, strings.TrimPrefix(i, module))
	})},
}

func imported(wrong func(f goFile, imported string) bool) func(goFile) string {
	return func(f goFile) string {
		for _, i := range f.imports {
			if wrong(f, i) {
				return "imports " + i
			}
		}
		return ""
	}
}

// uses finds a mention of one of a package's names.
func uses(f goFile, pkg string, names ...string) (found string) {
	ast.Inspect(f.syntax, func(n ast.Node) bool {
		if s, ok := n.(*ast.SelectorExpr); ok {
			if x, ok := s.X.(*ast.Ident); ok && x.Name == pkg && slices.Contains(names, s.Sel.Name) {
				found = "uses " + pkg + "." + s.Sel.Name
			}
		}
		return found == ""
	})
	return found
}

func parse(dir, name string, src any) (goFile, error) {
	at := filepath.Join("..", dir, name)
	syntax, err := parser.ParseFile(token.NewFileSet(), at, src, parser.SkipObjectResolution)
	if err != nil {
		return goFile{}, err
	}
	f := goFile{dir: dir, name: name, syntax: syntax}
	for _, spec := range syntax.Imports {
		imported, err := strconv.Unquote(spec.Path.Value)
		if err != nil {
			return goFile{}, err
		}
		f.imports = append(f.imports, imported)
	}
	return f, nil
}

// moduleFiles parses all Go files of the module but those under testdata.
func moduleFiles(t *testing.T) []goFile {
	t.Helper()
	var files []goFile
	err := filepath.WalkDir("..", func(at string, entry fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		name := entry.Name()
		if entry.IsDir() && at != ".." && (name == "testdata" || strings.HasPrefix(name, ".") || strings.HasPrefix(name, "_")) {
			return fs.SkipDir
		}
		if entry.IsDir() || !strings.HasSuffix(name, ".go") {
			return nil
		}
		dir, err := filepath.Rel("..", filepath.Dir(at))
		if err != nil {
			return err
		}
		f, err := parse(filepath.ToSlash(dir), name, nil)
		files = append(files, f)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return files
}

func TestImportsFollowTheRules(t *testing.T) {
	files := moduleFiles(t)
	seen := map[string]bool{}
	for _, f := range files {
		seen[f.dir] = true
		for _, rule := range rules {
			if wrong := rule.broken(f); wrong != "" {
				t.Errorf("%s/%s %s; %s", f.dir, f.name, wrong, rule.says)
			}
		}
	}
	for _, dir := range []string{"journal", "journal/trade/unit", "media", "media/durable"} {
		if !seen[dir] {
			t.Errorf("the walk over %d files missed %s", len(files), dir)
		}
	}
}

// Each rule finds a file that breaks it, and leaves its neighbour alone.
func TestRulesCanFail(t *testing.T) {
	for _, c := range []struct {
		rule           int
		dir, name, src string
		wrong          string
	}{
		{0, "media/thumb", "a.go", `import "fettlebook/journal/proof"`, "imports fettlebook/journal/proof"},
		{0, "media", "a_test.go", `import "fettlebook/journal"`, "imports fettlebook/journal"},
		{0, "media", "a.go", `import "fettlebook/journals"`, ""},
		{1, "journal/record", "a.go", `import "fettlebook/sync/hub"`, "imports fettlebook/sync/hub"},
		{1, "journal", "a.go", `import "sync"`, ""},
		{2, "sync/hub", "a.go", `import _ "fettlebook/journal/sqlitelog"`, "imports fettlebook/journal/sqlitelog"},
		{2, "cmd/internal/pages/desk", "a.go", `import p "fettlebook/media/photodir"`, "imports fettlebook/media/photodir"},
		{2, "sync/hub", "a_test.go", `import "fettlebook/journal/sqlitelog"`, ""},
		{2, "cmd/fettlebook", "a.go", `import "fettlebook/journal/sqlitelog"`, ""},
		{3, "journal/trade/bake", "a.go", `import "fettlebook/journal"`, "imports fettlebook/journal"},
		{3, "journal/trade/bake", "a.go", `import "fettlebook/journal/trade/film"`, "imports fettlebook/journal/trade/film"},
		{3, "journal/trade/bake", "a.go", `import "example.org/x"`, "imports example.org/x"},
		{3, "journal/trade/stat", "a.go", `import ("math"; "gonum.org/v1/gonum/stat"; "fettlebook/journal/trade/sheet"; "fettlebook/journal/trade/unit"; "fettlebook/journal/words")`, ""},
		{4, "media", "a.go", `import "fettlebook/media/durable"`, "imports fettlebook/media/durable"},
		{4, "media/photodir", "a.go", `import "fettlebook/media/durable"`, ""},
		{5, "sync/hub", "a.go", `import "testing/iotest"`, "imports testing/iotest"},
		{5, "sync/hub", "a.go", `import "net/http/httptest"`, "imports net/http/httptest"},
		{5, "journal/journaltest", "a.go", `import "testing"`, ""},
		{6, "journal/dossier", "a.go", `import "os"; func f() error { return os.Rename("a", "b") }`, "uses os.Rename"},
		{6, "journal/dossier", "a.go", `import "os"; var link = os.Link`, "uses os.Link"},
		{6, "media/durable", "a.go", `import "os"; var link = os.Link`, ""},
		{7, "journal", "a.go", `func init() {}`, "has an init function"},
		{7, "journal", "a.go", `type t struct{}; func (t) init() {}`, ""},
		{8, "sync/util", "a.go", ``, "lies in a package of no meaning"},
		{8, "sync/uplink", "a.go", ``, ""},
		{9, "sync", "a.go", ``, "lies in sync"},
		{9, ".", "main.go", ``, "lies in ."},
		{9, "sync/hub", "a.go", ``, ""},
		{10, "journal/card", "a.go", `import "fettlebook/journal/record"`, "imports fettlebook/journal/record"},
		{10, "journal/card", "a.go", `import ("fettlebook/journal"; "fettlebook/journal/trade/unit")`, ""},
		{11, "journal/facts", "a.go", `import "fettlebook/journal/route"`, "imports fettlebook/journal/route"},
		{11, "journal/facts", "a.go", `import "fettlebook/journal/card"`, ""},
		{13, "journal/bag", "a.go", `import "fettlebook/journal"`, "imports fettlebook/journal"},
		{13, "journal/bag", "a.go", `import ("archive/zip"; "fettlebook/media/durable")`, ""},
		{14, "journal/evidence", "a.go", `import "fettlebook/journal/record"`, "imports fettlebook/journal/record"},
		{14, "journal/evidence", "a.go", `import ("fettlebook/journal"; "fettlebook/journal/proof"; "fettlebook/media")`, ""},
		{15, "journal/words", "a.go", `import "fettlebook/journal"`, "imports fettlebook/journal"},
		{15, "journal/words", "a.go", `import "strings"`, ""},
		{16, "journal/recur", "a.go", `import "fettlebook/journal/invented"`, "imports fettlebook/journal/invented"},
		{16, "journal/recur", "a_test.go", `import "fettlebook/journal/invented"`, ""},
		{16, "journal/recur", "a.go", `import ("slices"; "fettlebook/journal/parts"; "fettlebook/journal/trade/stat")`, ""},
		{12, "cmd/internal/demo", "a.go", `import "fettlebook/testdata/pictures/scene"`, "imports fettlebook/testdata/pictures/scene"},
		{12, "cmd/internal/demo", "a_test.go", `import "fettlebook/testdata/pictures/scene"`, ""},
	} {
		t.Run(fmt.Sprintf("%s in %s", rules[c.rule].says, c.dir), func(t *testing.T) {
			f, err := parse(c.dir, c.name, "package x\n"+c.src)
			if err != nil {
				t.Fatal(err)
			}
			if got := rules[c.rule].broken(f); got != c.wrong {
				t.Errorf("%s: got %q, want %q", c.src, got, c.wrong)
			}
		})
	}
}
