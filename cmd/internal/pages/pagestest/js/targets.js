// What is pressed with a finger and is smaller than it should be.
(lib, least) => {
  const pick = "a[href], button, input:not([type=hidden]), select, textarea, summary, label";
  const labelled = "input[type=radio], input[type=checkbox], input[type=file]";
  const size = (el) => {
    let w = 0, h = 0;
    for (const r of el.getClientRects()) [w, h] = [Math.max(w, r.width), Math.max(h, r.height)];
    return [w, h];
  };
  const enough = ([w, h]) => w >= least - 0.5 && h >= least - 0.5;
  // A link in running text: words stand beside it in the same paragraph.
  const running = (el) => {
    if (getComputedStyle(el).display !== "inline") return false;
    const block = el.closest("p, li, dd, td");
    if (!block) return false;
    const walk = document.createTreeWalker(block, NodeFilter.SHOW_TEXT);
    while (walk.nextNode()) {
      const at = walk.currentNode.parentElement;
      if (!at.closest("a, button, select, textarea, summary, label") && /[\p{L}\p{N}]/u.test(walk.currentNode.data) && lib.visible(at)) return true;
    }
    return false;
  };
  const found = [];
  for (const el of document.querySelectorAll(pick)) {
    if (el.disabled || getComputedStyle(el).pointerEvents === "none") continue;
    const own = el.tagName === "LABEL";
    if (own && (!el.control?.matches(labelled) || el.control.disabled)) continue; // it only names a field
    const boxes = own ? [el, el.control, ...el.control.labels] : el.matches(labelled) ? [el, ...el.labels] : [el];
    const seen = boxes.filter(lib.visible);
    if (!seen.length || own && lib.visible(el.control)) continue; // the box itself speaks for the pair
    if (own && el !== el.control.labels[0]) continue;
    if (seen.some((b) => enough(size(b))) || el.tagName === "A" && running(el)) continue;
    const [w, h] = size(seen.toSorted((a, b) => Math.min(...size(b)) - Math.min(...size(a)))[0]);
    found.push(`${lib.describe(el)} is ${Math.round(w)}×${Math.round(h)} px, at least ${least}×${least} wanted`);
  }
  return found;
}
