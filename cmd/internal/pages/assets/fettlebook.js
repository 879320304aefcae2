// Everything here only makes pages quicker; each of them works without it.

// What is drawn anew under the focus gives it to what is the same there, or stands in for it.
const sign = (e) => [e.tagName, e.id, e.name, e.getAttribute("href"), e.matches("button, summary") ? e.value + e.textContent : ""].join("\n");
const alike = (e, within) => [...within.querySelectorAll("a, button, input, select, textarea, summary, [tabindex]")].filter((o) => sign(o) === sign(e));
const refocused = (old, fresh) => {
  const held = document.activeElement;
  if (!old.contains(held)) return () => {};
  const nth = alike(held, old).indexOf(held);
  return () => {
    const all = alike(held, fresh), to = all[Math.min(nth, all.length - 1)] ?? fresh;
    if (to === fresh && to.tabIndex < 0) to.tabIndex = -1;
    for (let d = (to.matches("summary") ? to.parentElement : to).parentElement?.closest("details"); d; d = d.parentElement.closest("details")) d.open = true;
    to.focus({ preventScroll: true });
  };
};

const swap = (id, html) => {
  const old = document.getElementById(id);
  if (!old) return;
  const doc = new DOMParser().parseFromString(html, "text/html");
  const fresh = doc.getElementById(id);
  if (!fresh) return;
  const back = refocused(old, fresh);
  old.replaceWith(fresh);
  back();
};

// What stands in an element that stays: it is said aloud, or is under a finger.
const fill = (id, doc) => {
  const old = document.getElementById(id), fresh = doc.getElementById(id);
  if (!old || !fresh || old.innerHTML === fresh.innerHTML) return;
  const held = old.contains(document.activeElement);
  old.replaceChildren(...fresh.childNodes);
  if (held) old.querySelector("button")?.focus({ preventScroll: true });
};

// What is worked out of what is typed: the figure in its place, and the verdict
// with its button, which may grow over the field in which somebody is typing.
const worked = async (html) => {
  await lifted;
  const doc = new DOMParser().parseFromString(html, "text/html");
  swap("figure", html);
  for (const part of doc.querySelectorAll("[data-worked]")) fill(part.id, doc);
  const bar = document.getElementById("act"), fresh = doc.getElementById("act");
  if (!bar || !fresh) return;
  bar.className = fresh.className;
  fill("verdict", doc);
  fill("stamp", doc);
  const at = document.activeElement;
  if (at && !bar.contains(at) && at.matches("input, select, textarea") && at.getBoundingClientRect().bottom > bar.getBoundingClientRect().top) at.scrollIntoView({ block: "nearest" });
};

// What was written on another tablet appears without a reload, except where
// somebody is typing.
const changed = (f) => f.options ? f.selectedIndex !== Math.max(0, [...f.options].findIndex((o) => o.defaultSelected))
  : f.type === "checkbox" || f.type === "radio" ? f.checked !== f.defaultChecked : f.type !== "hidden" && f.value !== f.defaultValue;
const typing = () => [...document.querySelectorAll("main input, main select, main textarea")].some((f) => changed(f) || f === document.activeElement && f.value);
// Nothing is drawn anew under a finger: what it presses would be gone when it lifts.
let lifted = Promise.resolve();
addEventListener("pointerdown", () => {
  lifted = new Promise((done) => ["pointerup", "pointercancel"].forEach((e) => addEventListener(e, () => setTimeout(done), { once: true, capture: true })));
}, true);
// renew reports whether the page shows now what there is.
const renew = async () => {
  if (!document.body.hasAttribute("data-live")) return true;
  const answer = await fetch(location.href, { headers: { Accept: "text/html" } });
  if (answer.redirected) return true;
  if (!answer.ok) throw new Error(answer.statusText);
  const html = await answer.text();
  await lifted;
  // Asked only now: somebody may have begun to type while the answer was under way.
  if (typing()) return false;
  const unfolded = [...document.querySelectorAll("details[open][id]")].map((d) => d.id);
  swap("main", html);
  for (const id of unfolded) document.getElementById(id)?.setAttribute("open", "");
  return true;
};
// Who does not see the page hears only what has changed.
const say = (text) => { const out = document.getElementById("said"); if (out && out.textContent !== text) out.textContent = text; };
const listen = () => {
  const bar = document.getElementById("bar");
  if (!bar?.dataset.events) return;
  // What changed before the stream of events began is missed otherwise, and of
  // two answers under way the older one could come last.
  let shown = bar.dataset.serial, told = shown, busy = false;
  const mark = () => {
    const more = document.querySelector("#lamp .more");
    if (more && bar.hasAttribute("data-missed")) more.textContent = bar.dataset.later;
  };
  const follow = async () => {
    if (busy) return;
    busy = true;
    try {
      for (let next = told; next !== shown; next = told) {
        const renewed = await renew();
        bar.toggleAttribute("data-missed", !renewed);
        mark();
        if (!renewed) break; // the stream says it again
        bar.dataset.serial = shown = next;
      }
    } catch {} // as well
    busy = false;
  };
  let looks = 0;
  const look = async () => {
    const mine = ++looks;
    const answer = await fetch(bar.dataset.lamp);
    if (!answer.ok || answer.redirected) return;
    const html = await answer.text();
    await lifted;
    if (mine !== looks) return; // a later one is under way
    const was = document.getElementById("lamp")?.dataset.on;
    swap("lamp", html);
    const now = document.getElementById("lamp");
    mark();
    if (now.dataset.on !== was) say(now.querySelector("strong").textContent);
  };
  // A page that cannot hear says so instead of showing what may no longer be so.
  const deaf = () => {
    const lamp = document.getElementById("lamp");
    if (!lamp || lamp.dataset.on === "deaf") return;
    looks++;
    lamp.dataset.on = "deaf";
    lamp.querySelector("strong").textContent = bar.dataset.deaf;
    for (const more of lamp.querySelectorAll(".more, .counts")) more.remove();
    lamp.querySelector("circle")?.setAttribute("class", "out");
    say(bar.dataset.deaf);
  };
  let events, heard;
  const open = () => {
    events?.close();
    heard = Date.now();
    events = new EventSource(bar.dataset.events);
    events.addEventListener("record", (e) => {
      heard = Date.now();
      told = e.data;
      follow();
    });
    events.addEventListener("lamp", () => look().catch(deaf));
    events.addEventListener("error", deaf);
  };
  open();
  setInterval(() => {
    if (events.readyState !== EventSource.CLOSED && Date.now() - heard < 25000) return;
    deaf();
    open();
  }, 5000);
  addEventListener("pagehide", () => events.close());
  addEventListener("pageshow", (e) => { if (e.persisted) location.reload(); });
};

// Steps: one press on + or −, the figure keeps its decimals and its unit. One with
// something between its thousands is left to the server; false says so.
const step = (button) => {
  const input = document.getElementById(button.dataset.step);
  const by = Number(button.dataset.by);
  const sign = input.dataset.sign ?? "."; // of decimals, as the shop writes them
  const typed = input.value.trim().replace(sign, ".").match(/^([+−-]?\d*(?:\.\d*)?)(.*)$/);
  if (!typed || /^\s*[\d.,]/.test(typed[2])) return false;
  const now = Number(typed[1].replace("−", "-")) || 0;
  const places = Math.max(...[typed[1], button.dataset.by].map((s) => (s.split(".")[1] ?? "").length));
  const least = input.dataset.least === undefined ? -Infinity : Number(input.dataset.least);
  input.value = Math.max(least, now + by).toFixed(places).replace(".", sign) + typed[2];
  input.dispatchEvent(new Event("input", { bubbles: true }));
  return true;
};

// A complaint is about what stood there when the form was sent.
const answered = (field) => {
  field?.classList.remove("bad");
  for (const said of field?.querySelectorAll(".problem") ?? []) said.remove();
  for (const input of field?.querySelectorAll("[aria-invalid]") ?? []) input.removeAttribute("aria-invalid");
};

// What was just stamped can be taken back for some seconds, which the page counts down. The
// program counts them too and is the one that refuses.
const undoable = () => {
  const offered = document.querySelector("[data-undo]");
  if (!offered) return;
  say(offered.querySelector("p").textContent);
  const end = performance.now() + offered.dataset.undo * 1000;
  const count = () => {
    const offer = document.querySelector("[data-undo]"), left = Math.ceil((end - performance.now()) / 1000);
    if (left > 0) {
      for (const n of offer?.querySelectorAll("[data-left]") ?? []) n.textContent = `${left} s`;
      for (const hidden of offer?.querySelectorAll("[data-no-script]") ?? []) hidden.hidden = true;
      return;
    }
    clearInterval(timer);
    if (offer?.contains(document.activeElement)) document.getElementById("main").focus({ preventScroll: true });
    offer?.remove();
  };
  const timer = setInterval(count, 200);
  count();
};

// Of several forms on one page each has a key. What was touched is ticked, so that
// it is stamped with the others.
const within = (e) => e.closest?.("[data-item]");
const key = (e) => within(e)?.dataset.item ?? "";
const own = (id, e) => key(e) ? `${id}-${key(e)}` : id;
const touched = (e) => {
  const tick = within(e)?.querySelector("[data-now]");
  if (tick && tick !== e) tick.checked = true;
};

// Drafts: what is typed is kept by the program, not in the browser.
const keep = (form) => {
  let timer, last = form, under = Promise.resolve(), busy = 0, pressed = false;
  const out = () => form.querySelector("[data-kept]") ?? {dataset: {}};
  const say = (text) => { out().textContent = text; };
  const post = () => {
    clearTimeout(timer);
    timer = undefined;
    const data = new FormData(form);
    for (const input of form.querySelectorAll("input[type=file]")) data.delete(input.name);
    data.set("do", "draft");
    const at = last;
    busy++;
    under = under.then(async () => {
      const answer = await fetch(form.action, { method: "POST", body: data, headers: { "X-Part": "figure", "X-Item": key(at) } });
      if (answer.status === 409) return say(out().dataset.spent);
      if (!answer.ok) throw new Error();
      const html = await answer.text();
      swap(own("figure", at), html);
      await worked(html);
      say(out().dataset.kept);
    }).catch(() => say(out().dataset.lost)).finally(() => busy--);
    return under;
  };
  // Here a tick follows what is typed at once: one that is off was taken off.
  form.addEventListener("formdata", (e) => {
    for (const tick of form.querySelectorAll("[data-now]")) e.formData.set(tick.name.replace(/now$/, "then"), "yes");
  });
  form.addEventListener("input", (e) => {
    if (e.target.type === "file") return;
    pressed = false;
    touched(last = e.target);
    answered(e.target.closest(".bad"));
    say("…");
    clearTimeout(timer);
    timer = setTimeout(post, 350);
  });
  form.addEventListener("change", (e) => { if (e.target.type !== "file") post(); });
  // A draft that is under way may come after the press and undo it, such as the
  // row that it adds. Where a picture was tapped cannot be sent a second time.
  form.addEventListener("submit", (e) => {
    clearTimeout(timer);
    timer = undefined;
    if (!busy || e.submitter?.type === "image") {
      pressed = true;
      return;
    }
    e.preventDefault();
    const by = e.submitter;
    // What was pressed may have been drawn anew meanwhile; nothing else is pressed instead.
    under.then(() => form.requestSubmit(by?.isConnected ? by : by && form.querySelector(`button[name=do][value="${CSS.escape(by.value)}"]`)));
  });
  // A button of one form among several needs no new page.
  form.addEventListener("click", (e) => {
    const button = e.target.closest("button[name=do]"), at = button && within(button);
    if (!at || e.defaultPrevented || button.dataset.step || button.dataset.put) return;
    e.preventDefault();
    if (button.value.startsWith("again:")) {
      const shutter = at.querySelector("input[data-snap]");
      shutter.dataset.instead = button.value.slice("again:".length);
      return shutter.click();
    }
    clearTimeout(timer);
    timer = undefined;
    busy++;
    under = under.then(async () => {
      const data = new FormData(form);
      data.set("do", button.value);
      const answer = await fetch(form.action, { method: "POST", body: data, headers: { "X-Part": "item", "X-Item": key(at) } });
      const html = await answer.text();
      swap(at.id, html);
      await worked(html);
      const fresh = document.getElementById(at.id);
      touched(fresh);
      fresh.querySelector(`button[value="${CSS.escape(button.value)}"]`)?.focus({ preventScroll: true });
      say(out().dataset.kept);
    }).catch(() => say(out().dataset.lost)).finally(() => busy--);
  });
  // Who leaves takes with them what was just asked, so it is sent again.
  addEventListener("pagehide", () => {
    if (pressed || !timer && !busy) return;
    const data = new FormData(form);
    for (const input of form.querySelectorAll("input[type=file]")) data.delete(input.name);
    data.set("do", "draft");
    navigator.sendBeacon(form.action, data);
  });
};

// The shutter: a photograph is posted the moment it is taken, one after the other,
// so that what the page shows is the newest. It may take another one's place.
let shooting = Promise.resolve();
const snap = (input, file, instead) => {
  const form = input.form, out = form.querySelector("[data-kept]");
  const item = key(input), id = own("photos", input), name = input.name;
  const post = async () => {
    const data = new FormData(form);
    for (const input of form.querySelectorAll("input[type=file]")) data.delete(input.name);
    data.append(name, file);
    data.set("do", instead ? "again:" + instead : "photo");
    if (out) out.textContent = "Keeping the photograph …";
    try {
      const answer = await fetch(form.action, { method: "POST", body: data, headers: { "X-Part": "photos", "X-Item": item } });
      const html = await answer.text();
      if (answer.ok) touched(document.getElementById(id));
      swap(id, html);
      await worked(html);
      if (out) out.textContent = answer.ok ? "The photograph is kept" : "";
      return answer.ok;
    } catch (error) {
      if (out) out.textContent = "The photograph was not kept: the program does not answer. Take it again.";
      throw error;
    }
  };
  const kept = shooting.then(post);
  shooting = kept.catch(() => {});
  return kept;
};
const chosen = (input) => {
  const { files, dataset: { instead } } = input;
  for (const file of files) snap(input, file, file === files[0] ? instead : "").catch(() => {});
  delete input.dataset.instead;
  input.value = "";
};

document.addEventListener("click", (e) => {
  const button = e.target.closest("button[data-step]");
  if (button && step(button)) e.preventDefault();
  const usual = e.target.closest("button[data-put]");
  if (usual) {
    e.preventDefault();
    const into = document.getElementById(usual.dataset.put);
    into.value = usual.value.slice(usual.value.indexOf("=") + 1);
    into.dispatchEvent(new Event("input", { bubbles: true }));
  }
});
// The next box comes by itself when a digit more would make a reading that no film
// has, and by the key that ends it.
const nextBox = (box) => {
  const all = [...box.form.querySelectorAll("[data-box]")];
  all[all.indexOf(box) + 1]?.focus();
};
const mostFilm = 300; // µm
document.addEventListener("input", (e) => {
  const box = e.target;
  if (!box.matches("[data-box]") || !/^\d+$/.test(box.value)) return;
  const unit = document.getElementsByName(box.name + ".unit")[0];
  if (unit?.value === "µm" && Number(box.value) * 10 > mostFilm) nextBox(box);
});
document.addEventListener("keydown", (e) => {
  if (e.key !== "Enter" || !e.target.matches("[data-box]")) return;
  e.preventDefault();
  nextBox(e.target);
});
document.addEventListener("change", (e) => {
  if (!e.target.matches("input[type=file]") || !e.target.files.length) return;
  if (e.target.matches("[data-snap]")) chosen(e.target);
  else if (e.target.matches("[data-send]")) e.target.form.requestSubmit(e.target.form.querySelector("button[name=do]"));
});
document.addEventListener("shot", (e) => { e.detail.kept = snap(e.target, e.detail.file, e.detail.instead); });
for (const form of document.querySelectorAll("form[data-draft]")) keep(form);
for (const hidden of document.querySelectorAll("[data-no-script]")) hidden.hidden = true;

// "/" leads to the search, the arrows through what was found.
// Ctrl and Z take back what was just stamped: with Tab alone it is too far away for ten seconds.
document.addEventListener("keydown", (e) => {
  const typed = e.target.matches?.("input, select, textarea");
  const undo = document.querySelector("[data-undo] button");
  if (undo && !typed && e.key === "z" && (e.ctrlKey || e.metaKey)) {
    e.preventDefault();
    undo.click();
  }
  if (e.ctrlKey || e.altKey || e.metaKey) return;
  if (e.key === "/" && !typed) {
    const find = [...document.querySelectorAll("[type=search]")].find((f) => f.checkVisibility());
    e.preventDefault();
    if (find) find.select(), find.focus(); else location.href = "/search";
  }
  const found = [...document.querySelectorAll("#found > li > .grow > a")], at = found.indexOf(document.activeElement);
  const by = { ArrowDown: 1, ArrowUp: -1 }[e.key];
  if (!by || !found.length || typed && e.target.type !== "search") return;
  e.preventDefault();
  found[Math.max(0, Math.min(found.length - 1, at + by))].focus();
});

// What a press led to is where the next one begins, and is said aloud.
const wrong = document.querySelector(".field.bad");
if (wrong) {
  (wrong.querySelector("[aria-invalid], input:not([type=hidden]), select, textarea") ?? wrong).focus({ preventScroll: true });
  wrong.scrollIntoView({ block: "center" });
}
addEventListener("submit", (e) => { if (e.submitter?.value === "save" && !e.defaultPrevented) sessionStorage.setItem("pressed", e.submitter.innerText); });
const pressed = sessionStorage.getItem("pressed");
sessionStorage.removeItem("pressed");
if (pressed && !document.querySelector(".problem, [name=sure]")) {
  const at = location.hash && document.getElementById(location.hash.slice(1));
  if (at && at.tabIndex >= 0) at.focus();
  setTimeout(() => say(document.body.dataset.done + pressed), 200); // a region speaks of what changes in it
}
undoable();
listen();

// Number keys for gloves, where there are fingers and fields.
const { keypad } = document.body.dataset;
if (keypad && document.querySelector("form[data-draft]") && matchMedia("(any-pointer: coarse)").matches) import(keypad).catch(() => {});

// A photograph is looked at closely: a tap or a pinch, the wheel, + and −, 0. The arrows
// turn to the next one, or move along the one that is near.
const zoom = (frame) => {
  const sheet = frame.querySelector(".over");
  const down = new Map();
  let by = 1, x = 0, y = 0, moved = false;
  const show = () => {
    x = Math.min(0, Math.max(x, sheet.offsetWidth * (1 - by)));
    y = Math.min(0, Math.max(y, sheet.offsetHeight * (1 - by)));
    sheet.style.transform = by > 1 ? `translate(${x}px, ${y}px) scale(${by})` : "";
    frame.classList.toggle("near", by > 1);
  };
  const to = (px, py, next) => {
    const box = sheet.getBoundingClientRect();
    const left = px - (box.left - x), top = py - (box.top - y);
    next = Math.min(8, Math.max(1, next));
    x = left - (left - x) * next / by;
    y = top - (top - y) * next / by;
    by = next;
    show();
  };
  const middle = () => {
    const box = frame.getBoundingClientRect();
    return [box.left + box.width / 2, box.top + box.height / 2];
  };
  frame.addEventListener("click", (e) => {
    e.preventDefault();
    if (moved || e.detail > 1) return; // the second tap of two
    const at = e.detail ? [e.clientX, e.clientY] : middle();
    to(...at, by > 1 ? 1 : 3);
  });
  frame.addEventListener("wheel", (e) => {
    const next = by * (e.deltaY < 0 ? 1.25 : 0.8);
    if (by === 1 && next < 1) return; // the page goes on
    e.preventDefault();
    to(e.clientX, e.clientY, next);
  }, { passive: false });
  frame.addEventListener("dragstart", (e) => e.preventDefault());
  frame.addEventListener("pointerdown", (e) => {
    if (!down.size) moved = false;
    down.set(e.pointerId, [e.clientX, e.clientY]);
  });
  frame.addEventListener("pointermove", (e) => {
    const was = down.get(e.pointerId);
    if (!was) return;
    const [dx, dy] = [e.clientX - was[0], e.clientY - was[1]];
    const other = [...down].find(([id]) => id !== e.pointerId)?.[1];
    if (other) {
      const far = (a) => Math.hypot(a[0] - other[0], a[1] - other[1]);
      to((e.clientX + other[0]) / 2, (e.clientY + other[1]) / 2, by * far([e.clientX, e.clientY]) / Math.max(1, far(was)));
    } else if (by > 1) {
      x += dx;
      y += dy;
      show();
    }
    if (other || Math.hypot(dx, dy) > 3) moved = true;
    down.set(e.pointerId, [e.clientX, e.clientY]);
  });
  for (const end of ["pointerup", "pointercancel", "pointerleave"]) frame.addEventListener(end, (e) => down.delete(e.pointerId));
  document.addEventListener("keydown", (e) => {
    if (e.target.matches("input, select, textarea") || e.altKey || e.ctrlKey || e.metaKey) return;
    const step = { ArrowLeft: [80, 0], ArrowRight: [-80, 0], ArrowUp: [0, 80], ArrowDown: [0, -80] }[e.key];
    if (step && by > 1) {
      x += step[0];
      y += step[1];
      show();
    } else if (e.key === "ArrowLeft" || e.key === "ArrowRight") {
      document.querySelector(e.key === "ArrowLeft" ? "[rel=prev]" : "[rel=next]")?.click();
      return;
    } else if (e.key === "+" || e.key === "=") to(...middle(), by * 1.5);
    else if (e.key === "-") to(...middle(), by / 1.5);
    else if (e.key === "0" || e.key === "Escape") to(...middle(), 1);
    else return;
    e.preventDefault();
  });
};
document.querySelectorAll("[data-zoom]").forEach(zoom);

// On this machine a page can say that no program runs here, instead of the browser.
if (["127.0.0.1", "localhost", "[::1]"].includes(location.hostname)) navigator.serviceWorker?.register("/worker.js").catch(() => {});
