// Goes into a field and makes ready for typing. Where typing is not how the
// field is filled (choices, dates), the value is put in.
(lib, find, what, text) => {
  const el = find(lib, what, true);
  if (!el) return { why: "no field on the page is called that" };
  if (!lib.drawn(el)) return { why: `${lib.describe(el)} is there but cannot be seen` };
  if (el.disabled || el.readOnly) return { why: `${lib.describe(el)} cannot be written in` };
  if (!el.isContentEditable && !el.matches("input, select, textarea")) return { why: `${lib.describe(el)} is not a field` };
  el.scrollIntoView({ block: "center", behavior: "instant" });
  el.focus();
  let typed = false;
  if (el.tagName === "SELECT") {
    const option = [...el.options].find((o) => lib.words(o.text) === lib.words(text)) ?? [...el.options].find((o) => o.value === text);
    if (!option) return { why: `${lib.describe(el)} offers only ${[...el.options].map((o) => JSON.stringify(lib.words(o.text))).join(", ")}` };
    el.selectedIndex = option.index;
  } else if (/^(date|time|datetime-local|month|week|color|range)$/.test(el.type)) {
    el.value = text;
    if (el.value !== text) return { why: `${lib.describe(el)} does not take ${JSON.stringify(text)}` };
  } else if (el.matches("input[type=radio], input[type=checkbox], input[type=file]")) {
    return { why: `${lib.describe(el)} is not filled with text: Click or Upload it` };
  } else {
    typed = true;
    el.select ? el.select() : getSelection().selectAllChildren(el);
    if (text === "") document.execCommand("delete");
  }
  if (!typed) for (const type of ["input", "change"]) el.dispatchEvent(new Event(type, { bubbles: true }));
  return { typed };
}
