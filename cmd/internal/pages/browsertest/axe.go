package browsertest

import (
	"errors"
	"fmt"
	"sync"
	"testing"

	"fettlebook/journal/npmtest"

	"github.com/chromedp/chromedp"
)

// axe is the checker of accessibility.
func axe() npmtest.Package {
	return npmtest.Package{Name: "axe-core", Version: "4.14.1",
		Integrity: "sha512-FHfa+lmNjQZfJz1q8wKqIDwC6DExcHt/pkjNQb09a3NPjCKg2rhu5qb2S4r76ASyFNNtuFooJpZe37OgudVGtQ=="}
}

// checker is the script of the checker, once it was asked for.
type checker struct {
	mu     sync.Mutex
	script string
}

// text fetches the checker once, or skips the test.
func (c *checker) text(t *testing.T) string {
	t.Helper()
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.script == "" {
		c.script = axeScript(t)
	}
	return c.script
}

func axeScript(t *testing.T) string {
	t.Helper()
	script, err := axe().File("package/axe.min.js")
	if errors.Is(err, npmtest.ErrAway) {
		missing(t, fmt.Sprintf("the checker of accessibility: %v", err))
	}
	if err != nil {
		t.Fatal(err)
	}
	return string(script)
}

// Axe returns what the checker finds on the page by WCAG 2.2, levels A and AA,
// and by best practice; with enhanced the contrast of level AAA, 7 to 1, is
// demanded instead of level AA, 4.5 to 1, which is less. The checker is a
// script and needs a page on which scripts run.
func (p *Page) Axe(enhanced bool) []string {
	p.b.t.Helper()
	return p.axed(fmt.Sprintf(`runOnly: {type: "tag", values: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]},
		rules: {"color-contrast-enhanced": {enabled: %[1]t}, "color-contrast": {enabled: !%[1]t}}`, enhanced))
}

// AxeColours returns what of it hangs on colours, for a page that Axe found no fault with in
// others.
func (p *Page) AxeColours(enhanced bool) []string {
	p.b.t.Helper()
	contrast := "color-contrast"
	if enhanced {
		contrast = "color-contrast-enhanced"
	}
	return p.axed(fmt.Sprintf(`runOnly: {type: "rule", values: [%q, "link-in-text-block"]}`, contrast))
}

func (p *Page) axed(rules string) []string {
	p.b.t.Helper()
	if !do(p, "look for the checker", chromedp.Evaluate[bool](`"axe" in window`)) {
		do(p, "bring the checker in", chromedp.Evaluate[bool](p.b.checker.text(p.b.t)+";true"))
	}
	p.tell(`scrollTo(0, document.body.scrollHeight)`) // what stays in reach at the bottom hides nothing there
	return do(p, "check the page", chromedp.Evaluate[[]string](`axe.run(document, {resultTypes: ["violations"], preload: {assets: ["media"]}, `+rules+`}).then((r) =>
		r.violations.flatMap((v) => v.nodes.map((n) => v.id + ": " + n.target.join(" ") + " — " + (n.failureSummary || v.help).replace(/\s+/g, " "))))`, chromedp.EvalAwaitPromise))
}
