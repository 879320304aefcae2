// Text drawn smaller than it should be. In a drawing the scale of the drawing
// counts too.
(lib, least) => {
  const px = (el, pseudo) => {
    const size = parseFloat(getComputedStyle(el, pseudo).fontSize);
    const m = el instanceof SVGGraphicsElement && el.ownerSVGElement ? el.getScreenCTM() : null;
    return m ? size * Math.min(Math.hypot(m.a, m.b), Math.hypot(m.c, m.d)) : size;
  };
  const found = [];
  const check = (el, text, size) => {
    if (size < least - 0.05 && /\S/.test(text) && lib.visible(el))
      found.push(`"${lib.short(text)}" in ${lib.where(el)} is ${Math.round(size * 10) / 10} px, at least ${least} wanted`);
  };
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walk.nextNode()) {
    const el = walk.currentNode.parentElement;
    if (!el.closest("script, style, template, title, desc, option, textarea")) check(el, walk.currentNode.data, px(el));
  }
  for (const el of document.querySelectorAll("input:not([type=hidden]):not([type=radio]):not([type=checkbox]):not([type=range]):not([type=color]), select, textarea")) {
    if (getComputedStyle(el).opacity !== "0") check(el, el.value || el.placeholder || el.type, px(el));
  }
  for (const el of document.body.querySelectorAll("*")) for (const pseudo of ["::before", "::after"]) {
    const text = getComputedStyle(el, pseudo).content.match(/^"(.*)"$/)?.[1] ?? "";
    if (/[\p{L}\p{N}]/u.test(text)) check(el, text, px(el, pseudo));
  }
  return found;
}
