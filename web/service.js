// Gives the page its files without asking the network, so that it works where there is no signal.
//
// All files of one build lie in one cache, filled in one go before this script counts as installed: glue and module are
// never of two builds. A new build waits beside the old one until the page asks for it.

const CACHES = "loomwright-";
const CACHE = `${CACHES}{{BUILD}}`;
const START = "{{start.js}}";
const FILES = {{FILES}};

addEventListener("install", (event) => event.waitUntil(fill()));
addEventListener("activate", (event) => event.waitUntil(begin()));
addEventListener("message", ({ data }) => data === "take over" && skipWaiting());
addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method === "GET" && url.origin === location.origin) {
    event.respondWith(answer(request, url));
  }
});

async function fill() {
  const page = await fetch("./", { cache: "reload" });
  // The host may have got its next build while this script was on its way.
  if (!page.ok || !(await page.clone().text()).includes(START)) {
    throw new Error("the page on the host is of another build than this script");
  }
  const cache = await caches.open(CACHE);
  await cache.addAll(FILES);
  await cache.put("./", page);
}

async function begin() {
  // A window that is still open on the build before fetches what it lacks from there.
  const before = (await caches.keys()).filter((name) => name.startsWith(CACHES) && name !== CACHE);
  await Promise.all(before.slice(0, -1).map((name) => caches.delete(name)));
  await clients.claim();
}

async function answer(request, url) {
  const root = new URL(registration.scope).pathname;
  const isPage = request.mode === "navigate" && [root, `${root}index.html`].includes(url.pathname);
  // Names carry a hash of the content, so any cache that has one has the right one. How a file was compressed on its
  // way does not matter any more.
  const found = await (isPage ? caches.match("./", { cacheName: CACHE }) : caches.match(request, { ignoreVary: true }));
  return found ?? fetch(request);
}
