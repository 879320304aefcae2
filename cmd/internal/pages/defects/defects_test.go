package defects_test

import (
	"encoding/xml"
	"errors"
	"io"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"fettlebook/cmd/internal/pages/defects"
	"fettlebook/journal"
)

// Every look but "something else" has a drawing and a few words of its own.
func TestEveryLookIsDrawn(t *testing.T) {
	seen := make(map[string]string)
	for _, word := range journal.Look("").Words() {
		svg, tells, path := defects.SVG(journal.Look(word)), defects.Tells(word), defects.Path(word)
		if journal.Look(word) == journal.OtherLook {
			if svg+tells+path != "" {
				t.Errorf("something else is drawn: %s %s", path, tells)
			}
			continue
		}
		for _, is := range []string{svg, tells} {
			if seen[is] != "" || is == "" {
				t.Errorf("%s is like %q", word, seen[is])
			}
			seen[is] = word
		}
		if found, ok := defects.Find(strings.TrimPrefix(path, "/look/")); !ok || found != journal.Look(word) {
			t.Errorf("%s is found as %q", word, found)
		}
		if first := tells[:1]; first != strings.ToLower(first) || strings.HasSuffix(tells, ".") {
			t.Errorf("%s: %q is a sentence", word, tells)
		}
		wellFormed(t, svg)
	}
	for _, name := range []string{"wheel.svg", "something-else.svg", ""} {
		if _, ok := defects.Find(name); ok {
			t.Errorf("%q is found", name)
		}
	}
}

// wellFormed holds a drawing to XML in which every line begins inside it, and
// which asks nobody for anything.
func wellFormed(t *testing.T, svg string) {
	t.Helper()
	begins := regexp.MustCompile(`M(\d+) (\d+)`)
	d := xml.NewDecoder(strings.NewReader(svg))
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			return
		}
		if err != nil {
			t.Fatalf("%v in %s", err, svg)
		}
		e, ok := token.(xml.StartElement)
		if !ok {
			continue
		}
		for _, a := range e.Attr {
			if a.Name.Local == "href" || a.Name.Local == "style" {
				t.Errorf("the attribute %s", a.Name.Local)
			}
			for _, at := range begins.FindAllStringSubmatch(a.Value, -1) {
				x, _ := strconv.Atoi(at[1])
				if y, _ := strconv.Atoi(at[2]); x > defects.Width || y > defects.Height {
					t.Errorf("a line begins at %s", at[0])
				}
			}
		}
	}
}
