// The page without a server, kept by the browser once it was hosted somewhere and opened: it opens without a network, too.

/** Another one for another page: set by scripts/build_web.mjs. */
declare const FRETLOOM_PAGE: string;

interface Waiting extends Event {
  waitUntil(work: Promise<unknown>): void;
}
interface Asking extends Event {
  readonly request: Request;
  respondWith(answer: Promise<Response>): void;
}

const worker = self as unknown as {
  readonly location: Location;
  addEventListener(type: "install" | "activate", listener: (event: Waiting) => void): void;
  addEventListener(type: "fetch", listener: (event: Asking) => void): void;
};

const PREFIX = "fretloom-";
const CACHE = PREFIX + FRETLOOM_PAGE;
const FILES = ["./", "./app.webmanifest", "./icon.svg"].map((file) => new URL(file, worker.location.href).href);

worker.addEventListener("install", (event) => {
  event.waitUntil(caches.open(CACHE).then((cache) => cache.addAll(FILES)));
});

// Not before all windows of the page before are closed: this is when a browser calls it.
worker.addEventListener("activate", (event) => {
  const others = async (): Promise<void> => {
    for (const name of await caches.keys()) if (name.startsWith(PREFIX) && name !== CACHE) await caches.delete(name);
  };
  event.waitUntil(others());
});

worker.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  url.search = "";
  url.hash = "";
  if (url.href.endsWith("/index.html")) url.pathname = url.pathname.slice(0, -"index.html".length);
  if (event.request.method !== "GET" || !FILES.includes(url.href)) return;
  event.respondWith(caches.match(url.href, { cacheName: CACHE }).then((kept) => kept ?? fetch(event.request)));
});
