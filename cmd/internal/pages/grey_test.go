package pages_test

import (
	"encoding/json"
	"image"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fettlebook/cmd/internal/pages/browsertest"
)

// TestWithoutColour looks at the pages as somebody does who sees no colours: every two
// states of a stamp differ in their shape, and each stands as a word beside it or, where
// the stamp is one of many, in the legend of the page.
func TestWithoutColour(t *testing.T) {
	browsertest.OnlyEverywhere(t)
	t.Parallel()
	w := atTheBench(t, browsertest.Upright, "LF")
	w.p.Grey()
	for _, dark := range []bool{false, true} {
		w.p.Dark(dark)
		w.p.Open(w.pages + "/help")
		w.p.Value(`(document.querySelectorAll(".stamps .s").forEach((s) => s.id = "s-" + s.getAttribute("class").split(" ")[1]), "")`)
		shapes := list(t, w.p, `[...document.querySelectorAll(".stamps .s")].map((s) => s.id)`)
		if len(shapes) < 7 {
			t.Fatalf("only %q are shown", shapes)
		}
		drawn := make([][]bool, len(shapes))
		for i, shape := range shapes {
			drawn[i] = inked(w.p.Part("#" + shape))
			for j := range i {
				if part := differ(drawn[i], drawn[j]); part < 0.1 {
					t.Errorf("dark %v: of the ink of %s and %s only %.0f %% differ", dark, shapes[i], shapes[j], 100*part)
				}
			}
		}
	}
	w.does("opened", "/corner/LF", "line.opened", "")
	for _, path := range []string{"/job/" + w.job, "/stage/bleed/job/" + w.job + "/corner/LF", "/holds/" + w.job, "/record/" + w.job} {
		w.p.Open(w.pages + path)
		for _, said := range list(t, w.p, wordless) {
			t.Errorf("%s: the state %q is shown by no word", path, said)
		}
		if shots := os.Getenv("FETTLEBOOK_SHOTS"); shots != "" {
			w.p.Shot(filepath.Join(shots, "grey", strings.ReplaceAll(strings.Trim(strings.ReplaceAll(path, w.job, ""), "/"), "/", "-")+".png"))
		}
	}
}

// wordless are the states of stamps on a page whose word nobody can read there: neither
// on the stamp, nor beside it, nor in a legend.
const wordless = `[...document.querySelectorAll("main svg.s")].filter((s) => s.checkVisibility()).map((s) => s.getAttribute("aria-label").split(",")[0])
	.filter((state, i, all) => all.indexOf(state) === i)
	.filter((state) => ![...document.querySelectorAll("main *")].some((e) => e.checkVisibility() && !e.closest(".seen, title") && !e.children.length && e.textContent.trim() !== "" && e.textContent.includes(state)))`

func list(t *testing.T, p *browsertest.Page, expression string) (all []string) {
	t.Helper()
	if err := json.Unmarshal([]byte(p.Value(`JSON.stringify(`+expression+`)`)), &all); err != nil {
		t.Fatal(err)
	}
	return all
}

// inked says of each point of a picture whether there is ink: whether it is nearer to
// the lightness that lies farthest from the ground than to the ground.
func inked(img image.Image) (ink []bool) {
	b := img.Bounds()
	light := func(x, y int) int { r, g, b, _ := img.At(x, y).RGBA(); return int(r+g+b) / 3 }
	ground, most := light(b.Min.X, b.Min.Y), 0
	away := func(x, y int) int { return max(light(x, y)-ground, ground-light(x, y)) }
	for y := b.Min.Y; y < b.Max.Y; y++ {
		for x := b.Min.X; x < b.Max.X; x++ {
			most = max(most, away(x, y))
		}
	}
	for y := b.Min.Y; y < b.Max.Y; y++ {
		for x := b.Min.X; x < b.Max.X; x++ {
			ink = append(ink, 2*away(x, y) > most)
		}
	}
	return ink
}

// differ is how much of the ink of two pictures is in one of them only.
func differ(a, b []bool) float64 {
	either, one := 0, 0
	for i := range min(len(a), len(b)) {
		if a[i] || b[i] {
			either++
		}
		if a[i] != b[i] {
			one++
		}
	}
	return float64(one) / float64(max(either, 1))
}
