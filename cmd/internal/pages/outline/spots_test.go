package outline_test

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"fettlebook/cmd/internal/pages/outline"
	"fettlebook/journal"
)

var label = regexp.MustCompile(`<text x="([-\d.]+)" y="([-\d.]+)"[^>]*>([^<]*)<`)

// Every place has a ring and a label, within the drawing and on no other label; the
// rings of different coats differ, and what people wrote stays text.
func TestSpots(t *testing.T) {
	crowd := func(n int, left, top float64) (list []outline.Spot) {
		for i := range n {
			list = append(list, outline.Spot{Place: outline.Place{Left: left, Top: top}, Label: fmt.Sprintf("1%c", 'a'+i)})
		}
		return list
	}
	for what, spots := range map[string][]outline.Spot{
		"one":                    crowd(1, 50, 50),
		"in the left upper edge": crowd(3, 0, 0),
		"in the right lower one": crowd(3, 100, 100),
		"on each other":          crowd(12, 43, 27.5),
		"side by side":           append(crowd(2, 50, 50), outline.Spot{Place: outline.Place{Left: 53, Top: 50}, Label: "2a", Layer: 1}),
		"of a wide name":         {{Place: outline.Place{Left: 99, Top: 3}, Label: "12a3"}},
	} {
		svg := string(outline.Spots(journal.FloatingOuter, `with <b>"1a"</b>`, spots))
		d := xml.NewDecoder(strings.NewReader(svg))
		for {
			if _, err := d.Token(); errors.Is(err, io.EOF) {
				break
			} else if err != nil {
				t.Fatalf("%s: %v in %s", what, err, svg)
			}
		}
		found := label.FindAllStringSubmatch(svg, -1)
		if len(found) != len(spots) || strings.Count(svg, `r="9"`) != len(spots) || strings.Contains(svg, "<b>") || strings.Contains(svg, "%!") {
			t.Fatalf("%s: %d labels in %s", what, len(found), svg)
		}
		type at struct{ left, right, bottom float64 }
		var placed []at
		for _, f := range found {
			x, _ := strconv.ParseFloat(f[1], 64)
			y, _ := strconv.ParseFloat(f[2], 64)
			wide := 11 * float64(len(f[3]))
			if x < 0 || y < 12 || x+wide > outline.Width || y > outline.Height {
				t.Errorf("%s: %s stands at %s %s", what, f[3], f[1], f[2])
			}
			for _, o := range placed {
				if x < o.right && o.left < x+wide && y-o.bottom < 17 && o.bottom-y < 17 {
					t.Errorf("%s: %s stands on another label", what, f[3])
				}
			}
			placed = append(placed, at{x, x + wide, y})
		}
	}
	svg := string(outline.Spots(journal.FloatingOuter, "two coats", []outline.Spot{{Label: "1a"}, {Label: "2a", Layer: 1}, {Label: "3a", Layer: 2}}))
	if strings.Count(svg, "stroke-dasharray") != 2 {
		t.Errorf("the rings of three coats are alike: %s", svg)
	}
}
