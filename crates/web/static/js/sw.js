// Service worker; the server puts the list of files and one hash over them in front of this, so a
// new binary is a new cache, filled whole before it is used and used at the next opening.
/* global FILES, CACHE */

/** Only what was fetched whole counts: one file missing, and the old cache stays. */
self.addEventListener("install", (event) => {
  const all = FILES.map((file) => new Request(file, { cache: "reload", credentials: "same-origin" }));
  event.waitUntil(caches.open(CACHE).then((cache) => cache.addAll(all)).then(() => self.skipWaiting()));
});

self.addEventListener("activate", (event) => {
  event.waitUntil(
    caches.keys()
      .then((names) => Promise.all(names.filter((name) => name !== CACHE).map((name) => caches.delete(name))))
      .then(() => self.clients.claim()),
  );
});

/** @param {string} path */
const kept = async (path) => (await caches.open(CACHE)).match(path);

/** Whether the page that asks is the Cab. */
async function fromCab(event) {
  const page = event.clientId ? await self.clients.get(event.clientId) : null;
  return page ? new URL(page.url).pathname === "/cab" : false;
}

/** The Cab's own page, always from this phone; other pages from the laptop, or a page that says why not. */
async function page(event, path) {
  if (path === "/cab") return (await kept("/cab")) ?? fetch(event.request);
  try {
    return await fetch(event.request);
  } catch {
    // the Cab's document, which sees by its address that it stands in for another page
    return (await kept("/cab")) ?? Response.error();
  }
}

/** The Cab's files from this phone; the same files for other pages as the laptop has them now. */
async function file(event, path) {
  if (await fromCab(event)) return (await kept(path)) ?? fetch(event.request);
  try {
    return await fetch(event.request);
  } catch (why) {
    const held = await kept(path);
    if (held) return held;
    throw why;
  }
}

self.addEventListener("fetch", (event) => {
  const address = new URL(event.request.url);
  if (event.request.method !== "GET" || address.origin !== self.location.origin) return;
  if (address.pathname.startsWith("/api/")) return;
  if (event.request.mode === "navigate") event.respondWith(page(event, address.pathname));
  else if (FILES.includes(address.pathname)) event.respondWith(file(event, address.pathname));
});
