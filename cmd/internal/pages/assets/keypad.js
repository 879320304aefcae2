// Number keys for gloves. They come where a finger touches a number field, in the place of
// the device's keyboard, whose keys are small and which lies over the field. With a mouse or
// a keyboard they stay away, and without this file the field is a plain one.

const numbers = "input[inputmode=decimal], input[inputmode=numeric], input[data-armed]";
const pad = document.createElement("div");
pad.id = "keypad";
pad.hidden = true;
pad.setAttribute("role", "group");
pad.setAttribute("aria-label", "Number keys");
pad.innerHTML = `<p><span></span><output></output></p><div></div>`;
const [name, shown] = pad.firstChild.children;
const key = (face, does, say) => {
  const button = document.createElement("button");
  button.type = "button";
  button.dataset.key = does;
  button.textContent = face;
  if (say) button.setAttribute("aria-label", say);
  pad.lastChild.append(button);
  return button;
};
for (const digit of "789") key(digit, digit);
key("", "back", "Delete").innerHTML = `<svg viewBox="0 0 22 15" aria-hidden="true"><path d="M7 1.5H21V13.5H7L1.5 7.5ZM10.5 4.5l6 6m0-6l-6 6"/></svg>`;
for (const digit of "456") key(digit, digit);
key("Next", "next", "Next field");
for (const digit of "123") key(digit, digit);
const minus = key("−", "-", "Minus");
key("0", "0");
const point = key(".", ".", "Decimal point");
key("Done", "done", "Close the number keys");
document.body.append(pad);

let field = null, was = ""; // that the keys type into, and what it held
// The device's keyboard stays away from a field while the keys are its own.
const arm = (input) => {
  input.dataset.armed ??= input.inputMode;
  input.inputMode = "none";
};
const disarm = (input) => {
  if (!input?.dataset.armed) return;
  input.inputMode = input.dataset.armed;
  delete input.dataset.armed;
};
// The shop's decimal sign stands beside each field where it is not a point.
const sign = () => field.dataset.sign ?? ".";
const unit = () => document.getElementsByName(`${field.name}.unit`)[0]?.value ?? "";
const tell = () => {
  name.textContent = field.getAttribute("aria-label") ?? field.labels?.[0]?.innerText ?? "";
  shown.textContent = `${field.value || "…"} ${/\p{L}|[%°]/u.test(field.value) ? "" : unit()}`.trim();
};
const leave = () => {
  if (!field) return;
  disarm(field);
  if (field.value !== was) field.dispatchEvent(new Event("change", { bubbles: true }));
  field = null;
};
const close = () => {
  leave();
  pad.hidden = true;
};
// A unit that stands behind the number, as an answer to tap has it, is chosen beside it, where
// it stays when another number is typed.
const part = () => {
  const [, number, own] = field.value.match(/^([^\p{L}%°]*[\d.,])\s*(\S+)$/u) ?? [];
  const beside = document.getElementsByName(`${field.name}.unit`)[0];
  if (![...beside?.options ?? []].some((o) => o.value === own)) return;
  beside.value = own;
  field.value = number;
};
const take = (input) => {
  if (field !== input) leave();
  arm(field = input);
  part();
  was = field.value;
  minus.disabled = !(Number(input.dataset.least) < 0);
  point.textContent = sign();
  point.setAttribute("aria-label", sign() === "," ? "Decimal comma" : "Decimal point");
  point.disabled = input.dataset.armed === "numeric";
  pad.hidden = false;
  input.select(); // what stands there is written over
  input.scrollIntoView({ block: "nearest" });
  tell();
};
const walk = () => {
  const all = [...(field.form ?? document).querySelectorAll(numbers)].filter((f) => f.checkVisibility() && !f.readOnly);
  const next = all[all.indexOf(field) + 1];
  if (next) next.focus();
  else field.blur();
};
const write = (text) => field.setRangeText(text, field.selectionStart, field.selectionEnd, "end");
const press = (does) => {
  const { value, selectionStart: from, selectionEnd: to } = field;
  switch (does) {
    case "done": return field.blur();
    case "next": return walk();
    case "back":
      if (from === to) field.setSelectionRange(Math.max(0, from - 1), to);
      write("");
      break;
    case "-":
      field.value = /^[-−]/.test(value) ? value.slice(1) : "-" + value;
      break;
    case ".":
      if (/[.,]/.test(value.slice(0, from) + value.slice(to))) return;
      write((/\d/.test(value.slice(0, from)) ? "" : "0") + sign());
      break;
    default:
      write(does);
  }
  field.dispatchEvent(new Event("input", { bubbles: true }));
};

// What leaves the field while a finger is down closes the keys when it lifts: what it presses
// must not move away below it.
let down = false, touched = null, again = false;
const left = () => setTimeout(() => {
  if (field && !down && document.activeElement !== field && !pad.contains(document.activeElement)) close();
});
addEventListener("pointerdown", (e) => {
  down = true;
  if (pad.contains(e.target)) return;
  const input = e.target.closest?.("label")?.control ?? e.target;
  const finger = e.pointerType === "touch";
  again = finger && input === field;
  touched = finger && !again && input.matches?.(numbers) && !input.readOnly ? input : null;
  if (touched) arm(touched);
}, true);
for (const end of ["pointerup", "pointercancel"]) addEventListener(end, (e) => {
  down = false;
  if (end === "pointercancel" && touched !== field) disarm(touched); // it was scrolled
  left();
}, true);
document.addEventListener("focusin", (e) => {
  if (e.target === touched || field && e.target.matches(numbers)) take(e.target);
});
// A field that has the cursor already hears of no focus, and a tap sets the cursor last. A second
// tap goes on with what stands there.
document.addEventListener("click", () => {
  if (touched && document.activeElement === touched) take(touched);
  if (again && field && field.selectionStart !== field.selectionEnd) field.setSelectionRange(field.value.length, field.value.length);
  touched = null;
});
document.addEventListener("focusout", left);
document.addEventListener("input", (e) => { if (e.target === field) tell(); });
document.addEventListener("keydown", (e) => { if (field && e.key === "Escape") close(); });
pad.addEventListener("pointerdown", (e) => e.preventDefault()); // the field keeps the cursor
pad.addEventListener("mousedown", (e) => e.preventDefault());
pad.addEventListener("click", (e) => {
  const button = e.target.closest("button");
  if (!field?.isConnected) return close(); // its part of the page was drawn anew
  if (button) press(button.dataset.key);
});
// Turned round, the keys are as high as they are then, and the field is in sight all the same.
new ResizeObserver(() => {
  document.documentElement.style.setProperty("--keypad", `${pad.offsetHeight}px`);
  field?.scrollIntoView({ block: "nearest" });
}).observe(pad);
