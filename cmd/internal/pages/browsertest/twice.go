package browsertest

// Twice are the sentences of more than four words that the page shows more than once. What
// only a screen reader is told is left out, and so is what stands in rows, which are alike by
// nature: bodies of tables, lists of things and of facts, lines of a record, hold points one
// under the other, the days over them, what is written under photographs, and what was just stamped.
func (p *Page) Twice() []string {
	p.b.t.Helper()
	return eval[[]string](p, `(() => {
		const blocks = new Map(), told = new Map();
		const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
		for (let n; (n = walk.nextNode()); ) {
			let e = n.parentElement;
			if (e.closest("tbody, li, dl, figure, .tl, .undo, .day, .shot, .side, .compared, script, style, noscript, svg, select, textarea, .seen") || !e.checkVisibility({visibilityProperty: true})) continue;
			while (["inline", "contents"].includes(getComputedStyle(e).display)) e = e.parentElement;
			blocks.set(e, (blocks.get(e) ?? "") + n.data);
		}
		for (const text of blocks.values())
			for (const sentence of text.replace(/\s+/g, " ").trim().split(/(?<=[.!?])\s+|\s·\s/))
				if (sentence.split(" ").length > 4) told.set(sentence, (told.get(sentence) ?? 0) + 1);
		return [...told].filter(([, times]) => times > 1).map(([sentence]) => sentence);
	})()`)
}
