package browsertest

// Quotes lists what the page says with straight quotation marks, which stand in no sentence.
// What is quoted of a file or of an entry as it was written is left as it is.
func (p *Page) Quotes() []string {
	p.b.t.Helper()
	return eval[[]string](p, `(() => {
		const found = new Set(), walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
		for (let n; (n = walk.nextNode()); )
			if (n.data.includes('"') && !n.parentElement.closest("pre, textarea, .long-code, .n, script, style, noscript")) found.add(n.data.replace(/\s+/g, " ").trim().slice(0, 120));
		return [...found];
	})()`)
}

// Defaults says what is wrong with how the page explains a shop default: of one that names it
// the legend stands on it, or a link to that, and no second time.
func (p *Page) Defaults() []string {
	p.b.t.Helper()
	return eval[[]string](p, `(() => {
		const links = document.querySelectorAll("[href$='/help#shop-default']").length, named = [], walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
		let legends = links;
		for (let n; (n = walk.nextNode()); ) {
			if (!/shop default/i.test(n.data) || n.parentElement.closest("[href$='/help#shop-default'], pre, textarea, script, style")) continue;
			if (n.data.includes("“Shop default” is common practice")) legends++;
			else named.push(n.data.replace(/\s+/g, " ").trim().slice(0, 120));
		}
		if (named.length && !legends) return named.slice(0, 3).map((n) => "not explained: " + n);
		return legends > 1 || links && !named.length ? [legends + " legends of " + named.length + " shop defaults"] : [];
	})()`)
}
