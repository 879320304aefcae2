package paper_test

import (
	"bytes"
	"maps"
	"slices"
	"strings"
	"testing"
	"time"

	"fettlebook/cmd/internal/pages/chart"
	"fettlebook/cmd/internal/paper"
	"fettlebook/journal/journaltest"
	"fettlebook/media/mediatest"
)

// every is a paper with every kind of block.
func every(text string) *paper.Document {
	say := paper.Text{{Text: text, Face: paper.Plain}, {Text: text, Face: paper.Bold}, {Text: text, Face: paper.Figure}, {Text: text, Face: paper.Struck}, {Face: paper.Break}, {Text: "end", Face: paper.Plain}}
	var row []paper.Picture // of one size, as thumbnails are
	for n := range 12 {
		row = append(row, paper.Picture{JPEG: mediatest.JPEG(mediatest.Noise(64, 48, uint64(20+n)), 90, nil), Width: 64, Height: 48, Shows: text})
	}
	shot := paper.Picture{JPEG: mediatest.JPEG(mediatest.Noise(64, 48, 7), 90, nil), Width: 64, Height: 48, Shows: text, Caption: say}
	stands := paper.Picture{JPEG: mediatest.JPEG(mediatest.Noise(48, 96, 8), 90, nil), Width: 48, Height: 96, Shows: text, Caption: say}
	curve := chart.Curves{Title: text, Up: "°C", Gap: 5, Lines: []chart.Line{{Label: text, Points: []chart.Point{{X: 0, Y: 20}, {X: 1, Y: 180}, {X: 9, Y: 200}}}, {Label: "air", Stroke: chart.Dashed, Points: []chart.Point{{X: 0, Y: 200}, {X: 4, Y: 201}}}}, Levels: []chart.Level{{Label: "180 °C", At: 180}}}
	strip := chart.Strip{Title: text, Unit: "µm", Groups: []chart.Group{{Name: text, Readings: []float64{50, 70}, Mean: 60}}, Low: &chart.Limit{Name: "least", At: 60}}
	return &paper.Document{Title: text, Running: text, Dated: time.Date(2026, 3, 6, 17, 20, 0, 0, time.UTC), Blocks: []paper.Block{
		paper.Head{Shop: text, Plate: text, Right: []string{text, text}},
		paper.Heading{Level: 1, Text: text}, say, paper.Fine{Text: say}, paper.Caution{Text: say}, paper.List{say, say},
		paper.Heading{Level: 2, Text: text}, paper.Pairs{{Name: text, Text: say}, {Name: "", Text: nil}}, paper.Boxes{{Name: text, Text: say}, {Name: text, Text: say}, {Name: text, Text: say}, {Name: text, Text: say}},
		paper.Heading{Level: 3, Text: text}, paper.Table{Title: text, Head: []string{"one", "two"}, Shares: []float64{1, 3}, Rows: [][]paper.Text{{say, say}, {nil, say}}},
		paper.Pictures{Across: 2, Of: []paper.Picture{shot, stands, {Shows: text, Caption: say, Missing: text}}}, paper.Pictures{Across: 4, Tall: 0.75, Of: append(row, shot, stands)},
		paper.Chart{Picture: curve.Picture(), Key: text}, paper.Chart{Picture: strip.Picture(), Key: text},
		paper.NewPage{}, paper.Together{paper.Heading{Level: 2, Text: text}, say}, paper.Code{Holds: "a code of some length: " + text[:min(len(text), 40)], Beside: []paper.Text{say, say}},
	}}
}

// Whatever stands on a paper, both forms have it, and the same paper gives the same
// bytes.
func TestEveryBlock(t *testing.T) {
	t.Parallel()
	w := write(t, every("22 N·m inside 20–24 N·m, ±4 %, 180 °C"))
	w.whole()
	w.says("22 N·m inside 20–24 N·m, ±4 %, 180 °C", "one", "two")
	if n := w.pages(); n < 2 {
		t.Errorf("%d pages", n)
	}
	if !strings.Contains(w.text, "page 2 of") {
		t.Errorf("the pages have no numbers: %s", w.text)
	}
	var first bytes.Buffer
	if err := w.doc.PDF(&first); err != nil {
		t.Fatal(err)
	}
	for range 4 {
		var again bytes.Buffer
		if err := every("22 N·m inside 20–24 N·m, ±4 %, 180 °C").PDF(&again); err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(first.Bytes(), again.Bytes()) {
			t.Fatal("the same paper gives other bytes")
		}
	}
}

// Texts that people typed break nothing, whatever is in them, and stand in the page
// as they are.
func TestHostileTexts(t *testing.T) {
	t.Parallel()
	texts := map[string]string{
		"none":       "",
		"markup":     `</title></style><script>alert(1)</script>"'&`,
		"far planes": "brake \U0001F697 \U00020000 caliper",
		"controls":   "a\x00b\x1b[31m\u202egnirts\u2066\u200f\ufe0f\r\n\tc",
		"not UTF-8":  "a\xff\xfe\xc3b",
		"alias":      "{pages} (x) \\ ) Tj",
		"one word":   strings.Repeat("Bremssattelträgerbefestigungsschraube", 40),
		"no space":   strings.Repeat("0", 3000),
		"long":       strings.Repeat("a word and another one ", 300),
		"scripts":    "Größe Ωμέγα Привет żółć 漢字 العربية",
		"spaces":     "   a   \u00a0 b  ",
	}
	for _, name := range journaltest.Rows(t, 5, slices.Sorted(maps.Keys(texts))) {
		text := texts[name]
		t.Run(name, func(t *testing.T) {
			if len(text) > 800 { // a code cannot hold more, and no chart has such a label
				doc := every(text)
				w := write(t, doc)
				w.whole()
				return
			}
			w := write(t, every(text))
			w.whole()
			if n := w.pages(); n < 2 {
				t.Errorf("%d pages", n)
			}
		})
	}
}

// What cannot be seen stands as a mark on both forms.
func TestHiddenIsSeen(t *testing.T) {
	t.Parallel()
	w := write(t, every("TRL \u202e1744\u2066 \x1bend"))
	w.says("TRL ·1744· ·end")
	if strings.ContainsAny(w.text+w.html, "\u202e\u2066\x1b") {
		t.Error("something turns the text around it")
	}
}

// A row that is taller than a page goes on, under the head of its table.
func TestRowOverPages(t *testing.T) {
	t.Parallel()
	long := paper.Text{{Text: strings.Repeat("tightened again and again ", 900), Face: paper.Plain}}
	w := write(t, &paper.Document{Title: "long", Blocks: []paper.Block{paper.Table{Title: "long", Head: []string{"Entry", "Written"}, Shares: []float64{1, 4}, Rows: [][]paper.Text{{paper.Text{{Text: "7"}}, long}}}}})
	if n := w.pages(); n < 3 {
		t.Errorf("%d pages", n)
	}
	if n := strings.Count(w.text, "Entry Written"); n != w.pages() {
		t.Errorf("the head stands on %d of %d pages", n, w.pages())
	}
	if n := strings.Count(w.text, "again and again"); n != 900 {
		t.Errorf("%d of 900 lines are there", n)
	}
}

// A paper that is to fit on so many pages is set in smaller letters, and goes on if
// even that does not help.
func TestFits(t *testing.T) {
	t.Parallel()
	lines := func(n int) *paper.Document {
		d := &paper.Document{Title: "lines", Most: 1}
		for range n {
			d.Blocks = append(d.Blocks, paper.Text{{Text: "a line", Face: paper.Plain}})
		}
		return d
	}
	for n, want := range map[int]int{30: 1, 48: 1, 200: 4} {
		if got := write(t, lines(n)).pages(); got > want || n == 200 && got < 2 {
			t.Errorf("%d lines are on %d pages", n, got)
		}
	}
}
