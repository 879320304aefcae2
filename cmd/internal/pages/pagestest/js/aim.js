// Brings an element into view and gives the point to press, or why a person
// could not press it now.
(lib, find, what) => {
  const el = find(lib, what, false);
  if (!el) return { why: "nothing on the page is called that" };
  if (!lib.drawn(el)) return { why: `${lib.describe(el)} is there but cannot be seen` };
  if (el.disabled) return { why: `${lib.describe(el)} is switched off` };
  el.scrollIntoView({ block: "center", inline: "nearest", behavior: "instant" });
  const r = el.getClientRects()[0]; // of a link broken over two lines, the first
  const x = r.left + r.width / 2, y = r.top + r.height / 2;
  const top = document.elementFromPoint(x, y);
  if (!top) return { why: `${lib.describe(el)} lies outside the window` };
  const same = top === el || el.contains(top) || top.contains(el) && lib.kind(top) === "label" ||
    [...(el.labels ?? [])].some((l) => l.contains(top)) || el.control === top;
  if (!same) return { why: `${lib.describe(el)} is covered by ${lib.describe(top)}` };
  return { x, y };
}
