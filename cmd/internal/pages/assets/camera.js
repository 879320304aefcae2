// The live camera above the shutter. It knows nothing of forms: what it takes it
// hands to the page as an event "shot" at the shutter, and the page keeps it. Where
// there is no camera for it, the shutter stays the field for files that it is.

const finder = document.querySelector("[data-camera]");
const part = (name) => finder.querySelector(`[data-${name}]`);
const shutter = () => document.querySelector("input[data-snap][capture]");
const photos = () => document.getElementById("photos");
const say = (text) => { part("camera-says").textContent = text; };
const tell = (what) => say(finder.querySelector(`[data-say="${what}"]`).textContent);

const rest = 120_000; // a camera that nobody uses so long is switched off, ms
const slow = 4_000; // a photograph at full size that takes longer is not waited for, ms

let stream, idle, chosen, instead, taking = false, laid, absent;
let plain = !navigator.mediaDevices?.getUserMedia; // the shutter is a field for files
const waiting = []; // photographs that the program did not take yet

const track = () => stream?.getVideoTracks()[0];

const stop = () => {
  clearTimeout(idle);
  for (const t of stream?.getTracks() ?? []) t.stop();
  stream = undefined;
  finder.querySelector("video").srcObject = null;
  finder.hidden = waiting.length === 0;
};

const again = () => {
  clearTimeout(idle);
  idle = setTimeout(stop, rest);
};

// Where the camera can take a photograph by itself, the live picture may be small.
const wish = () => {
  const [width, height] = "ImageCapture" in window ? [1920, 1440] : [4096, 3072];
  const which = chosen ? { deviceId: { exact: chosen } } : { facingMode: "environment" };
  return { video: { ...which, width: { ideal: width }, height: { ideal: height } } };
};

// One is started at a time: of two only one could be switched off again.
let starting;
const start = () => starting ??= open().finally(() => { starting = undefined; });
const open = async () => {
  stop();
  stream = await navigator.mediaDevices.getUserMedia(wish());
  if (document.hidden) { resume = true; return stop(); }
  // It ends by itself where the camera is unplugged or another program takes it.
  track().addEventListener("ended", () => { stop(); failed({ name: "NotReadableError" }); });
  finder.hidden = false;
  const video = finder.querySelector("video");
  video.srcObject = stream;
  await video.play();
  const all = await navigator.mediaDevices.enumerateDevices();
  part("turn").hidden = all.filter((d) => d.kind === "videoinput").length < 2;
  part("torch").hidden = !track().getCapabilities?.().torch;
  part("torch").setAttribute("aria-pressed", "false");
  lay();
  again();
  tell("on");
  // The live picture grew above the shutter that a key has just pressed.
  if (document.activeElement === shutter()) shutter().closest("label").scrollIntoView({ block: "nearest" });
};

// failed says why there is no live picture; the shutter then opens what the device
// has for taking or choosing one.
const failed = (error) => {
  plain = true;
  const why = error.name === "NotAllowedError" || error.name === "SecurityError" ? "refused" : error.name === "NotReadableError" || error.name === "AbortError" ? "busy" : "none";
  finder.hidden = false;
  finder.classList.add("without");
  tell(why);
};

// The same view from before lies over the live picture.
const lay = () => {
  const { ghost, ghostSays, ghostOn } = photos()?.dataset ?? {};
  const there = ghost && ghost !== absent;
  const on = Boolean(there) && (laid ?? ghostOn !== undefined);
  const img = part("ghost");
  if (there && img.getAttribute("src") !== ghost) img.src = ghost;
  img.hidden = !on;
  part("lay").hidden = !there;
  part("lay").setAttribute("aria-pressed", String(on));
  part("laid").hidden = !on;
  part("laid").textContent = ghostSays ?? "";
};

// frame is the live picture as it stands there, upright.
const frame = () => {
  const video = finder.querySelector("video");
  const canvas = document.createElement("canvas");
  [canvas.width, canvas.height] = [video.videoWidth, video.videoHeight];
  canvas.getContext("2d").drawImage(video, 0, 0);
  return new Promise((done, fail) => canvas.toBlob((blob) => blob ? done(blob) : fail(new Error("no picture")), "image/jpeg", 0.92));
};

const taken = async () => {
  if (!("ImageCapture" in window)) return frame();
  const late = new Promise((_, fail) => setTimeout(fail, slow, new Error("late")));
  try {
    const blob = await Promise.race([new ImageCapture(track()).takePhoto(), late]);
    if (["image/jpeg", "image/png"].includes(blob.type)) return blob;
  } catch {} // some cameras cannot while they show a live picture
  return frame();
};

const send = async () => {
  while (waiting.length) {
    const shot = waiting[0];
    const detail = { ...shot };
    shutter().dispatchEvent(new CustomEvent("shot", { bubbles: true, detail }));
    try {
      const kept = await detail.kept;
      waiting.shift();
      lay(); // it may be another view that is wanted now
      kept ? tell("kept") : say("");
    } catch {
      tell("lost");
      break;
    }
  }
  part("resend").hidden = waiting.length === 0;
};

let sending = Promise.resolve();
const take = async () => {
  if (taking) return;
  taking = true;
  again();
  try {
    const blob = await taken();
    finder.classList.remove("took");
    void finder.offsetWidth; // so that it flashes again
    finder.classList.add("took");
    waiting.push({ file: new File([blob], blob.type === "image/png" ? "camera.png" : "camera.jpg", { type: blob.type }), instead });
    instead = undefined;
    sending = sending.then(send);
  } catch (error) {
    stop();
    failed(error);
  }
  taking = false;
};

const press = async () => {
  if (stream) return take();
  try {
    await start();
  } catch (error) {
    stop();
    failed(error);
    // The tap still counts for a short while: what the device has opens by itself.
    try { shutter().showPicker(); } catch {}
  }
};

document.addEventListener("click", (e) => {
  const redo = e.target.closest("button[value^='again:']");
  if (redo) {
    e.preventDefault();
    instead = redo.value.slice("again:".length);
    if (plain) {
      shutter().dataset.instead = instead;
      instead = undefined;
      shutter().click();
    } else {
      if (!stream) press();
      (finder.hidden ? photos() : finder).scrollIntoView({ block: "start" });
      tell("again");
    }
  } else if (!plain && e.target === shutter()) {
    e.preventDefault();
    press();
  }
});

const pressed = (name, act) => part(name).addEventListener("click", act);
part("ghost").addEventListener("error", () => { absent = part("ghost").getAttribute("src"); lay(); });
pressed("stop", stop);
pressed("resend", () => { sending = sending.then(send); });
pressed("lay", () => { laid = part("lay").getAttribute("aria-pressed") !== "true"; lay(); });
pressed("torch", async () => {
  const on = part("torch").getAttribute("aria-pressed") !== "true";
  await track()?.applyConstraints({ advanced: [{ torch: on }] });
  part("torch").setAttribute("aria-pressed", String(on));
});
pressed("turn", async () => {
  const all = (await navigator.mediaDevices.enumerateDevices()).filter((d) => d.kind === "videoinput");
  const now = all.findIndex((d) => d.deviceId === track()?.getSettings().deviceId);
  chosen = all[(now + 1) % all.length]?.deviceId;
  try { await start(); } catch (error) { stop(); failed(error); }
});

// A page that nobody sees has no camera on. What the tablet has not taken yet is
// not left behind without a question.
let resume = false;
document.addEventListener("visibilitychange", () => {
  if (document.hidden) { resume = Boolean(stream); stop(); }
  else if (resume) press();
});
addEventListener("pagehide", stop);
addEventListener("beforeunload", (e) => { if (waiting.length) e.preventDefault(); });

// Who let this page use the camera before need not be asked, nor tap, where a
// photograph is wanted.
const allowed = async () => {
  if (plain || photos()?.dataset.wanted === undefined) return;
  const answer = await navigator.permissions?.query({ name: "camera" }).catch(() => undefined);
  if (answer?.state !== "granted") return;
  new IntersectionObserver((seen, watch) => {
    if (!seen.some((s) => s.isIntersecting) || document.hidden) return;
    watch.disconnect();
    if (!stream) press();
  }).observe(photos());
};
allowed();
