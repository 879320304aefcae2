// Finds what a person means: by the exact name, then as a CSS selector, then by
// a part of the name. Where several fit, the first that can be seen.
(lib, what, fields) => {
  const all = [...document.querySelectorAll(fields
    ? "input:not([type=hidden]), select, textarea, [contenteditable]"
    : "a[href], button, input:not([type=hidden]), summary, label, [role=button]")];
  const names = (el) => [lib.called(el), ...(el.labels ? [...el.labels].map((l) => lib.words(l.innerText)) : []), lib.words(el.placeholder)];
  const want = lib.words(what);
  const exact = all.filter((el) => names(el).includes(want));
  const part = () => all.filter((el) => names(el).some((n) => n.includes(want)))
    .sort((a, b) => lib.called(a).length - lib.called(b).length);
  const found = [exact, lib.select(what), want ? part() : []].find((list) => list.length) ?? [];
  const inside = (el) => fields && el.tagName === "LABEL" && el.control ? el.control : el;
  return inside(found.find(lib.visible) ?? found.find(lib.drawn) ?? found[0] ?? null);
}
