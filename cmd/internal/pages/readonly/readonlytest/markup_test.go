package readonlytest_test

import (
	"strings"
	"testing"

	"fettlebook/cmd/internal/pages/readonly/readonlytest"
)

const well = `<!doctype html>
<html><head><title>a &lt; b</title><meta charset="utf-8"></head><body><main id="main"><h1>One</h1>
<p>text <a href="#main">up</a></p><ul><li>a</li></ul><table><caption>c</caption><thead><tr><th scope="col">x</th></tr></thead></table>
<svg viewBox="0 0 1 1"><circle r="1"/></svg></main></body></html>`

func TestMistakes(t *testing.T) {
	if got := readonlytest.Mistakes(well); len(got) > 0 {
		t.Errorf("a good page: %q", got)
	}
	for _, c := range []struct{ from, to, says string }{
		{"</ul>", "", "closes nothing"},
		{"<p>text", "<p><div></div>text", "<div> inside <p>"},
		{"<li>a</li>", "<li>a</li><p>b</p>", "<p> inside <ul>"},
		{"<caption>c</caption>", "", "no caption"},
		{"#main", "#other", `nothing has the id "other"`},
		{"<h1>One</h1>", "<h1>One</h1><h3>Three</h3>", "<h3> comes after <h1>"},
		{"text", `<b id="main">text</b>`, "twice"},
		{"text", `<img src="/x">`, "no words"},
		{"text", `a < b`, "stray angle bracket"},
		{"<p>", `<p style="color: red">`, "style"},
		{"<p>", `<p onclick="x()">`, "script in onclick"},
		{"#main", "http://example.org/", "a link to"},
	} {
		bad := strings.Replace(well, c.from, c.to, 1)
		if got := strings.Join(readonlytest.Mistakes(bad), "; "); !strings.Contains(got, c.says) {
			t.Errorf("%q for %q: got %q, want %q", c.to, c.from, got, c.says)
		}
	}
}
