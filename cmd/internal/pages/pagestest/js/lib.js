// What all questions to a page share: what a person can see, and what he
// would call it.
() => {
  const words = (s) => (s ?? "").replace(/\s+/g, " ").trim();
  const short = (s) => (s = words(s), s.length > 60 ? s.slice(0, 59) + "…" : s);

  // Hidden from the eye but kept for a screen reader or for the keyboard: cut
  // down to nothing, or set outside the paper.
  const tucked = (el) => {
    for (let e = el; e && e !== document.body; e = e.parentElement) {
      const s = getComputedStyle(e), r = e.getBoundingClientRect();
      if (/^inset\((5\d|[6-9]\d|100)%/.test(s.clipPath) || /^rect\((0px|1px|auto)?,? ?(0px|1px), (0px|1px)/.test(s.clip)) return true;
      if (s.overflow !== "visible" && (r.width <= 1 || r.height <= 1)) return true;
      if (r.width && (r.right + scrollX <= 0 || r.bottom + scrollY <= 0)) return true;
    }
    return false;
  };
  const drawn = (el) => el.checkVisibility({ visibilityProperty: true }) &&
    [...el.getClientRects()].some((r) => r.width > 0 && r.height > 0);
  const visible = (el) => drawn(el) && !tucked(el);

  const label = (el) => words([...(el.labels ?? [])].map((l) => l.innerText).join(" "));
  const called = (el) => {
    const by = (el.getAttribute("aria-labelledby") ?? "").split(/\s+/).map((id) => id && document.getElementById(id)?.innerText);
    return words(el.getAttribute("aria-label")) || words(by.join(" ")) || label(el) ||
      (el.matches("input[type=submit], input[type=button], input[type=reset]") ? words(el.value) : "") ||
      (el.matches("input, select, textarea") ? words(el.placeholder) : words(el.innerText)) ||
      words(el.getAttribute("alt") ?? el.querySelector("img[alt]")?.alt ?? el.querySelector("svg title")?.textContent) || words(el.title);
  };
  const kinds = { A: "link", BUTTON: "button", SELECT: "choice", TEXTAREA: "text area", SUMMARY: "fold", LABEL: "label" };
  const kind = (el) => el.tagName === "INPUT" ? (el.type === "text" ? "field" : el.type) : kinds[el.tagName] ?? el.tagName.toLowerCase();
  const where = (el) => el.id ? "#" + el.id : el.getAttribute("name") ? `[name=${el.getAttribute("name")}]`
    : el.classList?.length ? el.tagName.toLowerCase() + "." + el.classList[0] : el.tagName.toLowerCase();
  const describe = (el) => {
    const name = short(called(el));
    return name ? `${kind(el)} "${name}"` : `${kind(el)} ${where(el)}`;
  };
  const select = (css) => { try { return [...document.querySelectorAll(css)]; } catch { return []; } };
  return { words, short, tucked, drawn, visible, called, kind, where, describe, select };
}
