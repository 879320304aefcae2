package pages_test

import (
	"testing"

	"fettlebook/cmd/internal/pages/browsertest"
)

// mostFonts is how many bytes of fonts a page may bring, beside its weight.
const mostFonts = 60 << 10

// TestFonts: the look's own faces are there, in both weights, small enough, and with
// the letters of English, German and French and the signs that sentences here have.
// Ω alone the figures take from the system's face.
func TestFonts(t *testing.T) {
	t.Parallel()
	tablet := house.Bench(t)
	p := house.Browser(t).Page(browsertest.Upright).For(t)
	p.Open(tablet.Pages + "/who")
	p.Until(`Promise.all(["400 18px Words", "700 18px Words", "400 18px Figures", "700 18px Figures"].map((f) => document.fonts.load(f))) && [...document.fonts].every((f) => f.status === "loaded")`)
	// A letter that a face lacks is as wide as in the face that stands in for it.
	p.Value(`(window.lacks = undefined, (async () => {
		const letters = "AZaz09ÄÖÜäöüßẞàâæçéèêëîïôœùûüÿÀÂÆÇÉÈÊËÎÏÔŒÙÛÜŸñ€µ°²±×−–—½¼¾·…‘’“”„‚«»‹›←↑→↓≈≠≤≥√′″‰";
		const draw = document.createElement("canvas").getContext("2d"), lacks = new Set();
		for (const { name } of performance.getEntriesByType("resource").filter((e) => e.name.endsWith(".woff2"))) {
			document.fonts.add(await new FontFace("Tried", "url(" + name + ")").load());
			const wide = (beside, c) => { draw.font = "100px Tried, " + beside; return draw.measureText(c).width; };
			for (const c of letters) if (wide("'DejaVu Sans Mono'", c) !== wide("'DejaVu Serif'", c)) lacks.add(c);
			document.fonts.forEach((f) => f.family === "Tried" && document.fonts.delete(f));
		}
		window.lacks = [...lacks].join("");
	})(), "")`)
	p.Until(`window.lacks !== undefined`)
	lacks := p.Value(`window.lacks`)
	if lacks != "" {
		t.Errorf("the fonts lack %s", lacks)
	}
	if n := p.Fonts(); n == 0 || n > mostFonts {
		t.Errorf("%d bytes of fonts", n)
	}
	if found := p.Complaints(); len(found) > 0 {
		t.Error(found)
	}
}
