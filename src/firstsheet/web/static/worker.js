// Keeps the page of a run and its files, so that a reload works when the server or the network is gone.
// The network comes first: what is kept is only ever a fallback. Nothing under /api/ and nothing but GET is touched.

const KEPT = "firstsheet-trays-1";
const PATIENCE_MS = 4000;

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => {
  event.waitUntil((async () => {
    for (const name of await caches.keys()) {
      if (name.startsWith("firstsheet-trays-") && name !== KEPT) await caches.delete(name);
    }
    await self.clients.claim();
  })());
});

function ours(request) {
  const url = new URL(request.url);
  return request.method === "GET" && url.origin === self.location.origin && !url.pathname.startsWith("/api/")
    && (url.pathname.startsWith("/trays") || url.pathname.startsWith("/static/"));
}

async function keep(url) {
  const answer = await fetch(url, { cache: "no-cache" });
  if (answer.status === 200) await (await caches.open(KEPT)).put(url, answer);
}

// The page tells which addresses it lives on: it was loaded before this worker was there.
self.addEventListener("message", (event) => {
  const urls = (event.data && event.data.keep) || [];
  event.waitUntil((async () => {
    const done = await Promise.allSettled(urls.map(keep));
    event.source?.postMessage({ kept: done.filter((d) => d.status === "fulfilled").length, of: urls.length });
  })());
});

self.addEventListener("fetch", (event) => {
  if (!ours(event.request)) return;
  event.respondWith((async () => {
    const cache = await caches.open(KEPT);
    const stop = new AbortController();
    const limit = setTimeout(() => stop.abort(), PATIENCE_MS);
    try {
      const answer = await fetch(event.request, { signal: stop.signal });
      clearTimeout(limit); // patience is for the first word of an answer, not for the length of it
      const whole = answer.status === 200 && !event.request.headers.has("range") && !event.request.url.endsWith(".wav");
      if (whole) event.waitUntil(cache.put(event.request.url, answer.clone()));
      if (answer.status < 500) return answer;
      return (await cache.match(event.request.url)) ?? answer;
    } catch (error) {
      const kept = await cache.match(event.request.url);
      if (kept) return kept;
      throw error;
    } finally {
      clearTimeout(limit);
    }
  })());
});
