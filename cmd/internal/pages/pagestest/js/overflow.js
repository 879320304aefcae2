// Sideways scrolling, and what sticks out of the window. What scrolls or is cut
// inside a box of its own is meant so.
(lib) => {
  const root = document.documentElement, width = root.clientWidth;
  const found = [];
  if (root.scrollWidth > width) found.push(`the page scrolls sideways: ${root.scrollWidth} px wide in a window of ${width} px`);
  const boxed = (el) => {
    for (let e = el.parentElement; e && e !== document.body; e = e.parentElement)
      if (getComputedStyle(e).overflowX !== "visible") return true;
    return false;
  };
  const out = (r) => r.width > 0 && (r.right + scrollX > width + 1 || r.left + scrollX < -1 && r.right + scrollX > 0);
  const span = (r) => `reaches from ${Math.round(r.left + scrollX)} to ${Math.round(r.right + scrollX)} px`;
  const told = new Set();
  for (const el of document.body.querySelectorAll("*")) {
    if (told.has(el.parentElement)) { told.add(el); continue; } // the outermost is enough
    if (el.ownerSVGElement || !lib.visible(el) || boxed(el)) continue;
    const r = el.getBoundingClientRect();
    if (out(r)) { told.add(el); found.push(`${lib.where(el)} "${lib.short(el.innerText)}" ${span(r)}`); continue; }
    if (getComputedStyle(el).overflowX !== "visible") continue;
    for (const node of el.childNodes) {
      if (node.nodeType !== Node.TEXT_NODE || !node.data.trim()) continue;
      const range = document.createRange();
      range.selectNodeContents(node);
      const t = range.getBoundingClientRect();
      if (out(t)) found.push(`the text "${lib.short(node.data)}" in ${lib.where(el)} ${span(t)}`);
    }
  }
  return found;
}
