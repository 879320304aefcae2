
"use strict";
(() => {
  const at = (id) => document.getElementById(id);
  const state = (text) => { at("state").textContent = text; };
  const made = (name, text, kind) => {
    const e = document.createElement(name);
    if (text) e.textContent = text;
    if (kind) e.className = kind;
    return e;
  };
  const shape = { "yes": "yes", "no": "no" };
  const kind = (verdict) => shape[verdict] || "unknown";
  const word = (verdict) => (verdict === "yes" || verdict === "no" ? verdict : "not known");
  const most = 200; // findings of one answer that are shown

  let file = null, authorities = "", turn = 0, last = Promise.resolve();

  const show = (result) => {
    const found = at("found");
    found.replaceChildren();
    document.body.dataset.exit = result.exit;
    if (result.refused) {
      state("This file is refused.");
      found.append(made("p", result.refused, "refused"));
      return;
    }
    const f = result.findings;
    state(f.says);
    found.append(made("p", f.about));
    for (const a of f.answers) {
      const sheet = made("section", "", "sheet answer");
      sheet.dataset.question = a.question;
      sheet.dataset.verdict = kind(a.verdict);
      const head = made("h2");
      head.append(made("span", word(a.verdict), "stamp " + kind(a.verdict)), made("span", a.asks));
      sheet.append(head, made("p", a.says));
      const list = made("ul");
      for (const x of (a.findings || []).slice(0, most)) {
        const line = made("li", x.says, kind(x.verdict));
        line.dataset.code = x.code;
        for (const path of x.paths || []) line.append(made("code", path));
        list.append(line);
      }
      const more = (a.findings || []).length - most;
      if (more > 0) list.append(made("li", more + " more"));
      if (list.children.length) sheet.append(list);
      found.append(sheet);
    }
  };

  const check = () => {
    if (!file || !globalThis.fettleverify) return;
    const mine = ++turn;
    document.body.dataset.exit = "";
    at("found").replaceChildren();
    state("Reading " + file.name + ".");
    const progress = (done, all) => { if (mine === turn) state("Read " + Math.floor(100 * done / Math.max(all, 1)) + " % of " + file.name + "."); };
    const of = file, receipt = at("receipt").value, roots = authorities;
    // One after the other: a file is read in one place at a time.
    last = last.then(async () => {
      if (mine !== turn) return;
      const result = JSON.parse(await globalThis.fettleverify(of, receipt, roots, progress));
      if (mine === turn) show(result);
    }).catch((trouble) => { state("This cannot be checked here: " + trouble); });
  };
  const take = (files) => { if (files && files.length) { file = files[0]; check(); } };

  at("file").addEventListener("change", (e) => take(e.target.files));
  at("receipt").addEventListener("input", check);
  for (const name of ["dragenter", "dragover"]) document.addEventListener(name, (e) => { e.preventDefault(); document.body.classList.add("over"); });
  document.addEventListener("dragleave", (e) => { if (!e.relatedTarget) document.body.classList.remove("over"); });
  document.addEventListener("drop", (e) => { e.preventDefault(); document.body.classList.remove("over"); take(e.dataTransfer.files); });

  at("code").addEventListener("change", async (e) => {
    if (!e.target.files.length || !globalThis.fettlereceipt) return;
    const read = JSON.parse(await globalThis.fettlereceipt(e.target.files[0]));
    if (read.refused) { state(read.refused); return; }
    at("receipt").value = read.text;
    check();
  });

  at("authority").addEventListener("change", async (e) => {
    authorities = e.target.files.length ? await e.target.files[0].slice(0, 2 << 20).text() : "";
    check();
  });

  (async () => {
    try {
      const text = at("program").textContent.trim();
      const packed = Uint8Array.from(atob(text), (c) => c.charCodeAt(0));
      const program = await new Response(new Blob([packed]).stream().pipeThrough(new DecompressionStream("gzip"))).arrayBuffer();
      const go = new Go();
      const { instance } = await WebAssembly.instantiate(program, go.importObject);
      go.run(instance);
      state("Ready. Choose a dossier.");
      check();
    } catch (trouble) {
      state("This browser cannot run the check: " + trouble + ". Use a newer browser, or the program fettleverify.");
    }
  })();
})();
