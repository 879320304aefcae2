// One step of a walk with the Tab key. The list of those met lies beside the
// page under a symbol that no page uses.
(lib, start) => {
  const met = Symbol.for("fettlebook.walk");
  if (start) {
    globalThis[met] = [];
    const had = document.body.getAttribute("tabindex");
    document.body.tabIndex = -1;
    document.body.focus({ preventScroll: true });
    document.body.blur();
    had === null ? document.body.removeAttribute("tabindex") : document.body.setAttribute("tabindex", had);
    return { name: "", over: false };
  }
  const el = document.activeElement;
  if (!el || el === document.body || el === document.documentElement || globalThis[met].includes(el)) return { name: "", over: true };
  globalThis[met].push(el);
  return { name: lib.describe(el), over: false };
}
