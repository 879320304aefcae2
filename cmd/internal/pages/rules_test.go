package pages_test

import (
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"fettlebook/cmd/internal/pages"
	"fettlebook/journal/route"
)

// TestRulesAreUsed: every class, id and mark that the style sheet speaks of is given to
// something by a template, by a script, or by code that writes markup. A rule that nothing
// can meet is weight that every first visit carries.
func TestRulesAreUsed(t *testing.T) {
	var (
		comment   = regexp.MustCompile(`(?s)/\*.*?\*/`)
		rule      = regexp.MustCompile(`([^{}]+)\{`)
		name      = regexp.MustCompile(`[.#][a-zA-Z][\w-]*|\[data-[\w-]+`)
		action    = regexp.MustCompile(`\{\{[^}]*\}\}`)
		attribute = regexp.MustCompile("(?:class|id|classList\\.\\w+\\()(?: ?= ?|)\\\\?[\"`]([^\"`]*)")
		marked    = regexp.MustCompile(`(data-[\w-]+)`)
		quoted    = regexp.MustCompile(`"[^"]*"|'[^']*'|url\([^)]*\)`)
	)
	sheet, err := os.ReadFile("assets/card.css")
	if err != nil {
		t.Fatal(err)
	}
	var markup strings.Builder
	err = filepath.WalkDir(".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || strings.HasSuffix(path, "_test.go") || !slices.Contains([]string{".html", ".js", ".go"}, filepath.Ext(path)) {
			return err
		}
		raw, err := os.ReadFile(path)
		markup.Write(raw)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	written := map[string]bool{"bench": true, "desk": true} // the sets of pages
	for _, state := range []route.State{"", route.Open, route.Met, route.Broken, route.InDoubt, route.Waived} {
		written[pages.Stamp{State: state}.Shape()] = true
	}
	for _, m := range attribute.FindAllStringSubmatch(action.ReplaceAllString(markup.String(), " "), -1) {
		for word := range strings.FieldsSeq(m[1]) {
			written[word] = true
		}
	}
	for _, m := range marked.FindAllStringSubmatch(markup.String(), -1) {
		written[m[1]] = true
	}
	text := quoted.ReplaceAllString(comment.ReplaceAllString(string(sheet), ""), "")
	asked := make(map[string]bool)
	for _, m := range rule.FindAllStringSubmatch(text, -1) {
		for _, n := range name.FindAllString(m[1], -1) {
			asked[n] = true
		}
	}
	if len(asked) < 150 {
		t.Fatalf("only %d names were read out of the style sheet", len(asked))
	}
	for n := range asked {
		if !written[strings.TrimLeft(n, ".#[")] {
			t.Errorf("nothing is written that %s could meet", n)
		}
	}
}

// A text of a script that goes over several lines would lose its indents on its way to the
// browser, which gets the scripts without them.
func TestTextsOfScriptsStandOnOneLine(t *testing.T) {
	for _, file := range []string{"fettlebook.js", "camera.js", "scan.js"} {
		raw, err := os.ReadFile(filepath.Join("assets", file))
		if err != nil {
			t.Fatal(err)
		}
		for i, line := range strings.Split(string(raw), "\n") {
			if strings.Count(line, "`")%2 != 0 {
				t.Errorf("%s, line %d begins or ends a text that goes on: %s", file, i+1, line)
			}
		}
	}
}
