// sw.js - keeps the shell of the app on the phone, so that it opens with no signal.
//
// Data never passes through here: it lives in IndexedDB, and /api/ is left alone. The build writes the list of files
// and its hash into the two constants below; with the same files the worker has the same bytes. A new version waits
// until the person picks the moment (message SKIP_WAITING), so a half-filled form is never pulled away.

const BUILD = 'BUILD';
/** address -> integrity; a login page of some network, served in place of a file, fails the comparison */
const FILES = { FILES: '' };
const CACHE = `shell-${BUILD}`;

self.addEventListener('install', (event) => event.waitUntil(fill()));
self.addEventListener('activate', (event) => event.waitUntil(takeOver()));
self.addEventListener('message', (event) => {
  if (event.data?.type === 'SKIP_WAITING') self.skipWaiting();
});
self.addEventListener('fetch', (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method !== 'GET' || url.origin !== self.location.origin || url.pathname.startsWith('/api/')) return;
  if (request.mode === 'navigate') {
    event.respondWith(kept(url.pathname in FILES ? url.pathname : '/', request));
  } else if (url.pathname in FILES) {
    event.respondWith(kept(url.pathname, request));
  }
});

async function fill() {
  const requests = Object.entries(FILES).map(([url, integrity]) => new Request(url, { cache: 'reload', integrity }));
  try {
    await (await caches.open(CACHE)).addAll(requests);
  } catch (error) {
    await caches.delete(CACHE); // addAll stores all or nothing, but the empty cache would stay behind
    throw error;
  }
}

async function takeOver() {
  const names = await caches.keys();
  await Promise.all(names.filter((name) => name.startsWith('shell-') && name !== CACHE)
    .map((name) => caches.delete(name)));
  await self.clients.claim();
}

/** The stored answer; the network only where storage was emptied under us. */
async function kept(address, request) {
  return (await caches.match(address, { cacheName: CACHE })) ?? fetch(request);
}
