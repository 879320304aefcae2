// Leaves the field just written, as a person does who goes on, and says what
// stands in it.
() => {
  const el = document.activeElement;
  const value = el?.value ?? el?.innerText ?? "";
  el?.blur();
  return value;
}
