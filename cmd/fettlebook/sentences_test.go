package main

import (
	"flag"
	"go/ast"
	"go/parser"
	"go/token"
	"html"
	"io/fs"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"unicode"

	"fettlebook/journal"
	"fettlebook/journal/card"

	gocmp "github.com/google/go-cmp/cmp"
)

var update = flag.Bool("update", false, "write the list of what people read anew")

// top is the project's folder, seen from here.
const top = "../.."

// What people read is kept as a list, so that a changed sentence shows in review and the
// whole can be read from top to bottom. A line is a text and the file that has it; %s, %d
// and … stand for what is filled in.
func TestSentences(t *testing.T) {
	seen := map[string]bool{}
	add := func(text, file string) {
		text = strings.Join(strings.Fields(text), " ")
		if strings.ContainsFunc(text, unicode.IsLetter) {
			seen[text+"\t"+file] = true
		}
	}
	readTree(t, add)
	for _, name := range card.SuppliedNames() {
		readSupplied(t, name, add)
	}
	list := make([]string, 0, len(seen))
	for line := range seen {
		list = append(list, line)
	}
	slices.SortFunc(list, func(a, b string) int {
		if by := strings.Compare(strings.ToLower(a), strings.ToLower(b)); by != 0 {
			return by
		}
		return strings.Compare(a, b)
	})
	now := strings.Join(list, "\n") + "\n"
	const golden = "testdata/sentences.golden"
	if *update {
		if err := os.WriteFile(golden, []byte(now), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(golden)
	if err != nil {
		t.Fatal(err)
	}
	if diff := gocmp.Diff(strings.Split(string(want), "\n"), strings.Split(now, "\n")); diff != "" {
		t.Errorf("what people read is not what %s lists; read what changed, then run this test with -update (-want +got):\n%s", golden, diff)
	}
}

// readTree reads the sources of the program: Go, templates and the script of the pages.
func readTree(t *testing.T, add func(text, file string)) {
	t.Helper()
	err := filepath.WalkDir(top, func(at string, d fs.DirEntry, err error) error {
		file := filepath.ToSlash(strings.TrimPrefix(at, top+string(filepath.Separator)))
		switch {
		case err != nil:
			return err
		case d.IsDir() && at != top && (d.Name() == "testdata" || strings.HasSuffix(d.Name(), "test") || strings.HasPrefix(d.Name(), ".")):
			return fs.SkipDir
		case strings.HasSuffix(file, "_test.go"):
			return nil
		}
		switch filepath.Ext(file) {
		case ".go":
			return readGo(at, func(text string) { add(text, file) })
		case ".html", ".js":
			raw, err := os.ReadFile(at)
			if err != nil {
				return err
			}
			read := readTemplate
			if filepath.Ext(file) == ".js" {
				read = readScript
			}
			read(string(raw), func(text string) { add(text, file) })
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

// What people read has the apostrophe of print, and pages its quotation marks, and no others.
// Words that are stored, or that programs go by, keep what they began with.
func TestApostrophes(t *testing.T) {
	stored := []string{"maker's manual", "a question to the powder's maker", "others' work", "receipt's log not here", "one day's air"}
	apostrophe, quotes := regexp.MustCompile(`\pL'(s\b|\pL|\s)`), regexp.MustCompile(`\s"\pL[^"=]*\pL"(\s|[.,;:]|$)`)
	seen := 0
	readTree(t, func(text, file string) {
		if strings.Contains(text, "-src 'self'") || slices.Contains(stored, text) { // a policy
			return
		}
		seen++
		if found := apostrophe.FindString(text); found != "" {
			t.Errorf("%s: %q has %q", file, text, found)
		}
		if found := quotes.FindString(text); found != "" && strings.HasPrefix(file, "cmd/internal/pages/") {
			t.Errorf("%s: %q has %q", file, text, found)
		}
	})
	for _, name := range card.SuppliedNames() {
		readSupplied(t, name, func(text, file string) {
			if found := apostrophe.FindString(text); found != "" {
				t.Errorf("%s: %q has %q", file, text, found)
			}
		})
	}
	if seen < 5000 {
		t.Errorf("%d texts were read", seen)
	}
}

// said are the struct tags that the command line shows.
var said = []string{"help", "group", "placeholder"}

// readGo finds the texts of a file: literals that are more than a name, the words of typed
// constants, and the tags that the command line shows.
func readGo(at string, add func(string)) error {
	syntax, err := parser.ParseFile(token.NewFileSet(), at, nil, parser.SkipObjectResolution)
	if err != nil {
		return err
	}
	ast.Inspect(syntax, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.ImportSpec:
			return false
		case *ast.Field:
			if n.Tag != nil {
				for _, name := range said {
					add(reflect.StructTag(literal(n.Tag)).Get(name))
				}
			}
			ast.Inspect(n.Type, func(inner ast.Node) bool { return inspectField(inner, add) })
			return false
		case *ast.CallExpr:
			if fun, ok := n.Fun.(*ast.SelectorExpr); ok && fun.Sel.Name == "MustCompile" {
				return false // a pattern
			}
		case *ast.ValueSpec:
			if n.Type != nil { // the words of a choice, the names of a state
				for _, v := range n.Values {
					if text := literal(v); text != "" {
						add(text)
					}
				}
			}
		case ast.Expr:
			if text := literal(n); text != "" {
				if isSaid(text) {
					add(text)
				}
				return false
			}
		}
		return true
	})
	return nil
}

// inspectField reads the tags of a struct within a field.
func inspectField(n ast.Node, add func(string)) bool {
	if f, ok := n.(*ast.Field); ok && f.Tag != nil {
		for _, name := range said {
			add(reflect.StructTag(literal(f.Tag)).Get(name))
		}
	}
	return true
}

// literal is the text of a literal, or of several that are joined; "" of anything else.
func literal(n ast.Node) string {
	switch n := n.(type) {
	case *ast.BasicLit:
		if n.Kind == token.STRING {
			text, _ := strconv.Unquote(n.Value) // the parser took it
			return text
		}
	case *ast.BinaryExpr:
		if n.Op != token.ADD {
			return ""
		}
		left, right := literal(n.X), literal(n.Y)
		switch {
		case left != "" && right != "":
			return left + right
		case left != "" && isSaid(left):
			return left + "…"
		case right != "" && isSaid(right):
			return "…" + right
		}
	}
	return ""
}

// machine is what no person reads: statements of SQL, policies, paths, MIME types.
var machine = regexp.MustCompile(`(?m)^\s*(SELECT|INSERT|UPDATE|DELETE|CREATE|DROP|PRAGMA|WITH|BEGIN|ALTER|ANALYZE|default-src|VALUES|FROM|WHERE|ORDER BY|AND )\b|^[a-z-]+/[a-z.+-]+|^(GET|POST) /|=\?|<[a-z]`)

// isSaid tells a text from a name: it has words with spaces between, or begins as a
// sentence does.
func isSaid(text string) bool {
	if machine.MatchString(text) {
		return false
	}
	words := 0
	for _, w := range strings.Fields(text) {
		if strings.ContainsFunc(w, unicode.IsLetter) && !strings.HasPrefix(w, "%") {
			words++
		}
	}
	first, rest := []rune(text)[0], strings.TrimLeftFunc(text, unicode.IsUpper)
	return words > 1 || words == 1 && (strings.ContainsAny(strings.TrimSpace(text), " ") || unicode.IsUpper(first) && rest != "" && !strings.ContainsAny(text, "-/_=:<>"))
}

var (
	comment   = regexp.MustCompile(`(?s)\{\{-?\s*/\*.*?\*/\s*-?\}\}|<!--.*?-->`)
	beginning = regexp.MustCompile(`\{\{-?\s*(if|with|range)\b[^}]*\}\}`)
	turning   = regexp.MustCompile(`\{\{-?\s*else\b[^}]*\}\}`)
	closing   = regexp.MustCompile(`\{\{-?\s*end\s*-?\}\}`)
	parting   = regexp.MustCompile(`\{\{-?\s*(define|block)\b[^}]*\}\}`)
	silent    = regexp.MustCompile(`\{\{-?\s*\$\w+\s*:?=[^}]*\}\}`)
	filled    = regexp.MustCompile(`\{\{[^}]*\}\}`)
	attribute = regexp.MustCompile(`\b(?:alt|title|placeholder|aria-label)="([^"]*)"`)
	inline    = regexp.MustCompile(`</?(?:b|i|em|strong|small|span|a|del|ins|code)\b[^>]*>`)
	anyTag    = regexp.MustCompile(`<[^>]*>`)
)

// readTemplate finds the texts of a template, block by block, and those of attributes. What
// is shown only sometimes stands in square brackets.
func readTemplate(text string, add func(string)) {
	text = comment.ReplaceAllString(text, "")
	text = parting.ReplaceAllString(silent.ReplaceAllString(text, ""), "<p>")
	text = closing.ReplaceAllString(turning.ReplaceAllString(beginning.ReplaceAllString(text, "["), "|"), "]")
	text = filled.ReplaceAllString(text, "…")
	for _, tag := range anyTag.FindAllString(text, -1) {
		for _, a := range attribute.FindAllStringSubmatch(tag, -1) {
			add(tidy(a[1]))
		}
	}
	for _, block := range strings.Split(anyTag.ReplaceAllString(inline.ReplaceAllString(text, ""), "\n"), "\n") {
		add(tidy(block))
	}
}

// tidy takes off what only leads into a text.
func tidy(text string) string {
	return strings.Trim(html.UnescapeString(text), "[]|… \t")
}

var quoted = regexp.MustCompile(`"([A-Z][^"]* [^"]*)"`)

// readScript finds the sentences of the script of the pages.
func readScript(text string, add func(string)) {
	for _, m := range quoted.FindAllStringSubmatch(text, -1) {
		add(m[1])
	}
}

// readSupplied reads a card that comes with the program.
func readSupplied(t *testing.T, name journal.RouteID, add func(text, file string)) {
	t.Helper()
	c := supplied(t, name)
	file := "journal/card/cards/" + string(name) + ".yaml"
	say := func(texts ...string) {
		for _, text := range texts {
			add(text, file)
		}
	}
	say(c.Title)
	for _, l := range c.Limits {
		say(l.Source)
	}
	for _, s := range c.Stages {
		say(s.Title)
		say(s.Cautions...)
		for _, p := range s.Photos {
			say(p.Shows)
		}
		for _, h := range s.Holds {
			say(h.Title, h.Reason, h.Limit, h.Source)
		}
	}
	for _, p := range c.FollowUps {
		say(p.Title, p.Source)
	}
}

func supplied(t *testing.T, name journal.RouteID) *card.Card {
	t.Helper()
	text, err := card.Supplied(name)
	if err != nil {
		t.Fatal(err)
	}
	c, err := card.Parse(text)
	if err != nil {
		t.Fatal(err)
	}
	return c
}
