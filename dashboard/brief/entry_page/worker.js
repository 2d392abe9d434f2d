// Keeps the page on the phone: answers at once from what is kept, and renews it while there is signal.

const KEPT = "score-ewes";
const PAGE = ["./", "entry.css", "entry.js", "record.js", "store.js", "stopping.json", "manifest.webmanifest", "icon.svg"];

self.addEventListener("install", (event) => {
  event.waitUntil(caches.open(KEPT).then((kept) => kept.addAll(PAGE)).then(() => self.skipWaiting()));
});

self.addEventListener("activate", (event) => {
  event.waitUntil(self.clients.claim());
});

self.addEventListener("fetch", (event) => {
  const own = event.request.url.startsWith(self.registration.scope); // the practice itself must answer the rest
  if (event.request.method === "GET" && own) event.respondWith(answer(event));
});

async function answer(event) {
  const kept = await caches.open(KEPT);
  const found = await kept.match(event.request, { ignoreSearch: true });
  const renewed = fetch(event.request).then(async (fresh) => {
    if (fresh.ok && !fresh.redirected) await kept.put(event.request.url.split("?")[0], fresh.clone());
    return fresh;
  });
  if (!found) return renewed;
  event.waitUntil(renewed.catch(() => undefined)); // no signal: what is kept is good enough
  return found;
}
