package browsertest

import "fmt"

// Targets lists what can be tapped and is smaller than least on a side, in CSS
// pixels. A link within a running text is as high as its line and exempt, as
// in WCAG 2.2, 2.5.8; a tick counts with its label.
func (p *Page) Targets(least int) []string {
	p.b.t.Helper()
	return eval[[]string](p, fmt.Sprintf(`(() => {
		const least = %d, seen = [];
		const inText = (e) => e.tagName === "A" && getComputedStyle(e).display === "inline" && e.parentElement.innerText.trim().length > e.innerText.trim().length;
		for (const e of document.querySelectorAll("a[href], button, input, select, textarea, summary, label:has(input)")) {
			if (!e.checkVisibility() || e.type === "hidden" || inText(e) || e.closest(".seen, .skip") || e.tabIndex < 0 && e.tagName !== "LABEL") continue;
			if (e.tagName === "INPUT" && e.closest("label")) continue;
			let r = e.getBoundingClientRect();
			if (e.matches("[type=checkbox], [type=radio]") && e.labels.length) {
				const l = e.labels[0].getBoundingClientRect(), x = Math.min(r.x, l.x), y = Math.min(r.y, l.y);
				r = {width: Math.max(r.right, l.right) - x, height: Math.max(r.bottom, l.bottom) - y};
			}
			if (Math.round(r.width) < least || Math.round(r.height) < least)
				seen.push(e.tagName + " " + (e.innerText || e.name || e.value || "").replace(/\s+/g, " ").trim().slice(0, 40) + " is " + Math.round(r.width) + " by " + Math.round(r.height));
		}
		return seen;
	})()`, least))
}

// SmallText lists texts that are set smaller than least, in CSS pixels. Text
// in a drawing counts as it is drawn.
func (p *Page) SmallText(least float64) []string {
	p.b.t.Helper()
	return eval[[]string](p, fmt.Sprintf(`(() => {
		const least = %g, seen = new Set(), walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
		for (let n = walk.nextNode(); n; n = walk.nextNode()) {
			const e = n.parentElement, text = n.textContent.trim();
			if (!text || !e.checkVisibility() || e.closest(".seen, .skip, script, style, title, option")) continue;
			let size = parseFloat(getComputedStyle(e).fontSize);
			const svg = e.closest("svg");
			if (svg && svg.viewBox.baseVal.width) size *= svg.getBoundingClientRect().width / svg.viewBox.baseVal.width;
			if (size < least - 0.05) seen.add(e.tagName + " " + size.toFixed(1) + " px: " + text.slice(0, 50));
		}
		for (const e of document.querySelectorAll("input, select, textarea"))
			if (e.checkVisibility() && parseFloat(getComputedStyle(e).fontSize) < least - 0.05) seen.add(e.tagName + " " + e.name);
		return [...seen];
	})()`, least))
}

// Overflow says what sticks out of the page sideways.
func (p *Page) Overflow() []string {
	p.b.t.Helper()
	return eval[[]string](p, `(() => {
		const wide = document.documentElement.clientWidth, seen = [];
		if (document.documentElement.scrollWidth <= wide) return seen;
		for (const e of document.querySelectorAll("body *")) {
			const r = e.getBoundingClientRect();
			if (r.right > wide + 1 && e.checkVisibility() && !e.closest(".seen, .skip, .scroll")) seen.push(e.tagName + "." + e.className + " reaches " + Math.round(r.right) + " of " + wide);
		}
		return seen.length ? seen.slice(0, 8) : ["the page is " + document.documentElement.scrollWidth + " wide"];
	})()`)
}

// Sideways lists the tables and pictures of figures that have to be pushed sideways to be
// seen whole.
func (p *Page) Sideways() []string {
	p.b.t.Helper()
	return eval[[]string](p, `[...document.querySelectorAll(".scroll")].filter((e) => e.checkVisibility() && e.querySelector("table, svg") && e.scrollWidth > e.clientWidth + 1).map((e) => (e.getAttribute("aria-label") || e.className) + " has " + e.scrollWidth + " on " + e.clientWidth)`)
}
