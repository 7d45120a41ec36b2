// Keeps the page, which is this worker's scope, for when there is no network. It stands beside the page where that is hosted.
// Lesson: @STAMP@
const page = self.registration.scope;
const manifest = new URL("@NAME@-practice.webmanifest", location.href).href;
const prefix = `${page} `; // pages of one host share their caches
const kept = `${prefix}@STAMP@`;
/** Milliseconds after which a slow network has had its chance. */
const patience = 3000;

self.addEventListener("install", (event) => {
  const keep = async () => (await caches.open(kept)).addAll([page, manifest]);
  event.waitUntil(keep().then(() => self.skipWaiting()));
});

self.addEventListener("activate", (event) => {
  const others = async () => {
    for (const name of await caches.keys()) if (name.startsWith(prefix) && name !== kept) await caches.delete(name);
  };
  event.waitUntil(others().then(() => self.clients.claim()));
});

/** The newest that there is: from the host, else as it was kept. */
async function newest(request, address, event) {
  const cache = await caches.open(kept);
  const old = await cache.match(address);
  const fresh = fetch(request).then(async (response) => {
    if (response.ok) await cache.put(address, response.clone());
    return response.ok ? response : (old ?? response);
  });
  if (old === undefined) return fresh;
  const sure = fresh.catch(() => old.clone());
  event.waitUntil(sure);
  return Promise.race([sure, new Promise((done) => setTimeout(() => done(old), patience))]);
}

self.addEventListener("fetch", (event) => {
  const address = event.request.url.split(/[?#]/)[0];
  if (event.request.method !== "GET" || ![page, manifest].includes(address)) return;
  event.respondWith(newest(event.request, address, event));
});
