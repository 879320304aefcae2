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
		const pushed = (e) => e && (/auto|scroll/.test(getComputedStyle(e).overflowX) || pushed(e.parentElement));
		for (const e of document.querySelectorAll("body *")) {
			const r = e.getBoundingClientRect();
			if (r.right > wide + 1 && e.checkVisibility() && !e.closest(".seen, .skip") && !pushed(e.parentElement)) seen.push(e.tagName + "." + e.className + " reaches " + Math.round(r.right) + " of " + wide);
		}
		return seen.length ? seen.slice(0, 8) : ["the page is " + document.documentElement.scrollWidth + " wide"];
	})()`)
}

// CutOff lists texts of which a part can be seen nowhere: in a box that hides what does
// not fit, in a field that is too short for what stands in it, or beyond the edge of a
// picture. What scrolls is whole, and what is cut at so many lines is meant to be.
func (p *Page) CutOff() []string {
	p.b.t.Helper()
	return eval[[]string](p, `(() => {
		const seen = new Set(), walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT), range = document.createRange();
		const hides = (way) => way === "hidden" || way === "clip";
		for (let n = walk.nextNode(); n; n = walk.nextNode()) {
			const e = n.parentElement, text = n.textContent.replace(/\s+/g, " ").trim();
			if (!text || !e.checkVisibility() || e.closest(".seen, .skip, script, style, title, option, textarea, noscript")) continue;
			range.selectNodeContents(n);
			const box = range.getBoundingClientRect(), svg = e.closest("svg");
			if (svg && getComputedStyle(svg).overflow !== "visible") {
				const r = svg.getBoundingClientRect(), air = Math.max(4, box.height / 4); // a line is higher than its letters
				const beyond = Math.max(r.left - box.left - 2, box.right - r.right - 2, r.top - box.top - air, box.bottom - r.bottom - air);
				if (beyond > 0) seen.add(Math.ceil(beyond) + " px beyond its picture: " + text.slice(0, 60));
			}
			for (let a = e; a && a !== document.body; a = a.parentElement) {
				const s = getComputedStyle(a), r = a.getBoundingClientRect();
				if (a === svg) continue;
				if (r.width <= 1 && r.height <= 1) break; // only a screen reader is told
				if (/auto|scroll/.test(s.overflowX + s.overflowY) || s.webkitLineClamp !== "none") break;
				if (hides(s.overflowX) && (box.left < r.left - 1 || box.right > r.right + 1) || hides(s.overflowY) && (box.top < r.top - 4 || box.bottom > r.bottom + 4)) { seen.add("hidden by " + a.tagName + "." + a.className + ": " + text.slice(0, 60)); break; }
			}
		}
		for (const e of document.querySelectorAll("input[type=text], input[type=search], input:not([type])"))
			if (e.checkVisibility() && e.value && e.clientWidth < 200 && innerWidth >= 390 && e.scrollWidth > e.clientWidth + 1) seen.add("field " + e.name + " is too short for " + e.value.slice(0, 60));
		return [...seen];
	})()`)
}

// Overlaps lists what lies over something else that is to be read or pressed: texts,
// fields, buttons and pictures, two of which neither is within the other. What stays in
// reach at the bottom lies over what is scrolled past by its nature, and a caption that
// has a ground of its own over its picture.
func (p *Page) Overlaps() []string {
	p.b.t.Helper()
	return eval[[]string](p, `(() => {
		const all = [], range = document.createRange();
		const out = (e) => !e.checkVisibility({opacityProperty: true}) || e.closest(".seen, .skip, .act, .bar, .finder, script, style, noscript, option, textarea, title");
		// What is scrolled out of its frame lies over nothing.
		const add = (e, r, text, from) => {
			const box = {e, l: r.left, t: r.top, r: r.right, b: r.bottom, text};
			for (let a = from; a && a !== document.body; a = a.parentElement)
				if (getComputedStyle(a).overflowX !== "visible") { const f = a.getBoundingClientRect(); box.l = Math.max(box.l, f.left); box.t = Math.max(box.t, f.top); box.r = Math.min(box.r, f.right); box.b = Math.min(box.b, f.bottom); }
			if (box.r - box.l > 1 && box.b - box.t > 1) all.push(box);
		};
		const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
		for (let n = walk.nextNode(); n; n = walk.nextNode()) {
			const e = n.parentElement, text = n.textContent.replace(/\s+/g, " ").trim();
			if (!text || e.closest("svg, select, button") || out(e)) continue;
			range.selectNodeContents(n);
			for (const r of range.getClientRects()) { const trim = r.height * .22; add(e, {left: r.left, right: r.right, top: r.top + trim, bottom: r.bottom - trim, width: r.width, height: r.height - 2 * trim}, text.slice(0, 40), e); }
		}
		for (const e of document.querySelectorAll("input:not([type=hidden]), select, textarea, button, .button, img, svg"))
			if (!out(e)) add(e, e.getBoundingClientRect(), e.tagName + " " + (e.innerText || e.name || e.alt || e.getAttribute("aria-label") || "").replace(/\s+/g, " ").trim().slice(0, 40), e.parentElement);
		const grounded = (e) => { for (; e && e !== document.body; e = e.parentElement) if (getComputedStyle(e).position === "absolute") return true; return false; };
		all.sort((a, b) => a.t - b.t);
		const seen = new Set();
		for (let i = 0; i < all.length; i++)
			for (let j = i + 1; j < all.length && all[j].t < all[i].b - 2; j++) {
				const a = all[i], b = all[j];
				if (Math.min(a.r, b.r) - Math.max(a.l, b.l) <= 2 || Math.min(a.b, b.b) - Math.max(a.t, b.t) <= 2) continue;
				if (a.e.contains(b.e) || b.e.contains(a.e) || grounded(a.e) || grounded(b.e)) continue;
				seen.add(a.text + " / " + b.text);
			}
		return [...seen].slice(0, 8);
	})()`)
}

// Sideways lists the tables and pictures of figures that have to be pushed sideways to be
// seen whole.
func (p *Page) Sideways() []string {
	p.b.t.Helper()
	return eval[[]string](p, `[...document.querySelectorAll(".scroll")].filter((e) => e.checkVisibility() && e.querySelector("table, svg") && e.scrollWidth > e.clientWidth + 1).map((e) => (e.getAttribute("aria-label") || e.className) + " has " + e.scrollWidth + " on " + e.clientWidth)`)
}
