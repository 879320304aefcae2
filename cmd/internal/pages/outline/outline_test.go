package outline_test

import (
	"encoding/xml"
	"errors"
	"io"
	"strings"
	"testing"

	"fettlebook/cmd/internal/pages/outline"
	"fettlebook/journal"
)

// Each outline that an entry can name has a drawing of its own, which is well
// formed and found by its path.
func TestEveryOutlineIsDrawn(t *testing.T) {
	seen := make(map[string]string)
	for _, word := range journal.Outline("").Words() {
		o := journal.Outline(word)
		svg := outline.SVG(o)
		if other := seen[svg]; other != "" || !strings.Contains(svg, "<path") {
			t.Errorf("%s is drawn like %q", o, other)
		}
		seen[svg] = word
		if found, ok := outline.Find(strings.TrimPrefix(outline.Path(o), "/outline/")); !ok || found != o {
			t.Errorf("%s is found as %q", o, found)
		}
		for _, text := range []string{svg, string(outline.Shown(o, 43, 27.5))} {
			if strings.Contains(text, "%!") {
				t.Errorf("%s: %s", o, text)
			}
			d := xml.NewDecoder(strings.NewReader(text))
			for {
				if _, err := d.Token(); errors.Is(err, io.EOF) {
					break
				} else if err != nil {
					t.Fatalf("%s: %v in %s", o, err, text)
				}
			}
		}
	}
	if _, ok := outline.Find("wheel.svg"); ok {
		t.Error("a drawing is found that there is not")
	}
	if shown := string(outline.Shown(journal.ArmTop, 50, 25)); !strings.Contains(shown, `cx="160.0" cy="60.0"`) {
		t.Errorf("the place is not at half the width and a quarter of the height: %s", shown)
	}
}

// A part is offered its own drawings, or all where it has none.
func TestDrawingsOfAPart(t *testing.T) {
	for part, want := range map[string]int{"caliper": 4, "bracket": 2, "arm": 2, "cover": 8, "": 8} {
		if got := outline.Of(part); len(got) != want {
			t.Errorf("%q is offered %v", part, got)
		}
	}
}

// Marks lie at their shares of the photograph, each with its number beside it and
// inside the picture; an arrow's head is at the place.
func TestMarks(t *testing.T) {
	got := string(outline.Rings(400, 300, []outline.Place{{Left: 25, Top: 50}, {Left: 50, Top: 10, Radius: 20, Number: 1}, {Left: 50, Top: 50, From: outline.FromLeft, Number: 2}, {Left: 0, Top: 0, From: outline.FromAbove, Number: 3}}))
	for _, want := range []string{
		`cx="100.0" cy="150.0" r="6.7" stroke="#a3281f" stroke-width="3.3"/>`, `cx="200.0" cy="30.0" r="80.0"`, `M133.3 150.0L200.0 150.0`, `>2</text>`, `<text x="9.1" y="18.2"`,
	} {
		if !strings.Contains(got, want) {
			t.Errorf("%s is not in %s", want, got)
		}
	}
	if svg := outline.Rings(400, 300, nil); svg != "" {
		t.Errorf("without marks there is %s", svg)
	}
}
