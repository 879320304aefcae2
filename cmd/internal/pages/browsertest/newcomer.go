package browsertest

import (
	"fmt"
	"strings"
)

// Reads waits until what a text leads to shows that text to the eye. What only a
// screen reader is told leads nobody who looks.
func (p *Page) Reads(text string) {
	p.b.t.Helper()
	p.await("read "+text, fmt.Sprintf(`(() => {
		const e = %s;
		if (!e) return "it is not there";
		const shown = e.cloneNode(true);
		shown.querySelectorAll(".seen, noscript, title, desc").forEach((hidden) => hidden.remove());
		return shown.textContent.replace(/\s+/g, " ").includes(%q) ? "" : "it is told and not shown";
	})()`, find(text), strings.Join(strings.Fields(text), " ")))
}
