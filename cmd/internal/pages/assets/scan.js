// Codes are read from the live picture: by the browser where it can, else the
// tablet's program reads a frame at a time. Both go the way that the form goes.

const finder = document.querySelector("[data-scan]");
const form = document.getElementById("scan");
const video = finder.querySelector("video");
const said = finder.querySelector("[data-camera-says]");
const tell = (what) => { said.textContent = finder.querySelector(`[data-say="${what}"]`).textContent; };
const pause = (ms) => new Promise((done) => setTimeout(done, ms));

const between = 300; // from one look to the next, ms
const widest = 1280; // of a frame that is sent, px

let stream, last = "";

// sent has the program read a picture or a text, and shows what came of it.
const sent = async (name, what) => {
  const data = new FormData(form);
  data.delete("picture");
  data.append(name, what);
  const answer = await fetch(form.action, { method: "POST", body: data, headers: { "X-Part": "scanned" } });
  if (!answer.ok) return; // it is busy; the next look comes soon
  const fresh = new DOMParser().parseFromString(await answer.text(), "text/html").getElementById("scanned");
  const { to } = fresh.dataset;
  if (to) {
    stop();
    location.assign(to);
    return;
  }
  // The same code in sight says nothing new, nor does a frame without one.
  if (name === "picture" && what.name === "frame.jpg" && fresh.dataset.unread !== undefined) return;
  if (fresh.outerHTML === last) return;
  last = fresh.outerHTML;
  document.getElementById("scanned").replaceWith(fresh);
  if (navigator.userActivation?.hasBeenActive) navigator.vibrate?.(40);
};

const frame = () => {
  const canvas = document.createElement("canvas");
  const part = Math.min(1, widest / Math.max(video.videoWidth, video.videoHeight));
  [canvas.width, canvas.height] = [video.videoWidth * part, video.videoHeight * part];
  canvas.getContext("2d").drawImage(video, 0, 0, canvas.width, canvas.height);
  return new Promise((done) => canvas.toBlob((blob) => done(new File([blob], "frame.jpg", { type: "image/jpeg" })), "image/jpeg", 0.8));
};

const reader = async () => {
  const able = "BarcodeDetector" in window ? await BarcodeDetector.getSupportedFormats() : [];
  if (!able.includes("qr_code")) return async () => sent("picture", await frame());
  const detector = new BarcodeDetector({ formats: ["qr_code"] });
  return async () => {
    const [code] = await detector.detect(video);
    if (code) await sent("text", code.rawValue);
  };
};

const stop = () => {
  for (const t of stream?.getTracks() ?? []) t.stop();
  stream = undefined;
  video.srcObject = null;
};

const start = async () => {
  finder.hidden = false;
  try {
    stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment", width: { ideal: 1280 }, height: { ideal: 960 } } });
    video.srcObject = stream;
    await video.play();
  } catch (error) {
    stop();
    finder.classList.add("without");
    tell(error.name === "NotAllowedError" || error.name === "SecurityError" ? "refused" : error.name === "NotReadableError" || error.name === "AbortError" ? "busy" : "none");
    return;
  }
  tell("on");
  const read = await reader();
  for (const mine = stream; stream === mine; await pause(between)) {
    try { await read(); } catch { tell("lost"); }
  }
};

form.addEventListener("change", (e) => {
  if (e.target.matches("[data-code]") && e.target.files.length) form.requestSubmit();
});
let resume = false;
document.addEventListener("visibilitychange", () => {
  if (document.hidden) { resume = Boolean(stream); stop(); }
  else if (resume) start();
});
addEventListener("pagehide", stop);
addEventListener("pageshow", (e) => { if (e.persisted) start(); });
if (navigator.mediaDevices?.getUserMedia) start();
