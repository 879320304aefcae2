// Where the program on this machine does not run, this says so instead of the
// browser. It keeps nothing, and never speaks while the program does.
const page = `<!doctype html>
<html lang="en"><meta charset="utf-8"><meta name="viewport" content="width=device-width,initial-scale=1"><meta name="color-scheme" content="light dark">
<meta http-equiv="refresh" content="2"><title>Not running · fettlebook</title>
<style>body{margin:0;padding:2rem 1.25rem;background:#f1e8d4;color:#16233f;font:20px/1.5 Georgia,serif}h1{font-size:1.4rem;border-bottom:3px double;padding-bottom:.6rem}p{max-width:40rem}
@media(prefers-color-scheme:dark){body{background:#181c20;color:#efe8d6}}</style>
<h1>The program on this machine is not running</h1>
<p role="alert">Start it, and this page comes back by itself. What was stamped is on this machine’s disk.</p></html>`;
const say = () => new Response(page, { status: 503, headers: { "Content-Type": "text/html; charset=utf-8", "Content-Security-Policy": "default-src 'none'; style-src 'unsafe-inline'", "Cache-Control": "no-store" } });

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (e) => e.waitUntil(self.clients.claim()));
self.addEventListener("fetch", (e) => {
  if (e.request.mode === "navigate" && e.request.method === "GET") e.respondWith(fetch(e.request).catch(say));
});
