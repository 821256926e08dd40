// Keeps the pages of the cab as they were last seen, for reloading without a connection. It runs
// only where the browser trusts the connection: on this computer, or by HTTPS.
"use strict";

const CACHE = `triplog-${KEPT.join()}`;

self.addEventListener("install", (event) => {
  event.waitUntil(caches.open(CACHE).then((cache) => cache.addAll(KEPT)).then(() => self.skipWaiting()));
});

self.addEventListener("activate", (event) => {
  event.waitUntil(
    caches.keys()
      .then((names) => Promise.all(names.filter((name) => name !== CACHE).map((name) => caches.delete(name))))
      .then(() => self.clients.claim()),
  );
});

self.addEventListener("fetch", (event) => {
  const address = new URL(event.request.url);
  const isPage = event.request.mode === "navigate" && address.pathname.startsWith("/cab");
  if (event.request.method !== "GET" || !(isPage || KEPT.includes(address.pathname))) return;
  event.respondWith(
    fetch(event.request).then((answer) => {
      if (answer.ok && !answer.redirected) {
        const copy = answer.clone();
        caches.open(CACHE).then((cache) => cache.put(address.pathname, copy));
      }
      return answer;
    }).catch(() => caches.match(address.pathname).then((found) => found || Response.error())),
  );
});
