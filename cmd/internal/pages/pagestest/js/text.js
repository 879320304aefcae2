// What a person can read: the text and what stands in the fields.
(lib) => {
  const fields = [...document.querySelectorAll("input:not([type=hidden]):not([type=password]), textarea")].filter(lib.drawn);
  return [document.body?.innerText ?? "", ...fields.map((f) => f.matches("[type=radio], [type=checkbox], [type=file]") ? "" : f.value)].join("\n");
}
