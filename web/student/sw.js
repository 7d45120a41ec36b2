// Keeps the page for when there is no network. It stands beside the page where that is hosted.
const kept = "practice-1";
self.addEventListener("install", (event) => event.waitUntil(self.skipWaiting()));
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));
self.addEventListener("fetch", (event) => {
  if (event.request.method !== "GET" || new URL(event.request.url).origin !== location.origin) return;
  event.respondWith(
    fetch(event.request)
      .then(async (response) => {
        if (response.ok) await (await caches.open(kept)).put(event.request, response.clone());
        return response;
      })
      .catch(async () => (await caches.match(event.request)) ?? Response.error()),
  );
});
