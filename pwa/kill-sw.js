// kill-sw.js - the emergency exit: served as /sw.js (setting DAYBANK_KILL_WORKER=1) it replaces a faulty worker,
// removes the stored shell and itself, and loads the pages anew from the server. What was typed is in IndexedDB and
// stays. (A missing /sw.js would not do: browsers keep the old worker then.)

self.addEventListener('install', () => self.skipWaiting());
self.addEventListener('activate', (event) => event.waitUntil(leave()));

async function leave() {
  const names = await caches.keys();
  await Promise.all(names.filter((name) => name.startsWith('shell-')).map((name) => caches.delete(name)));
  const pages = await self.clients.matchAll({ type: 'window', includeUncontrolled: true });
  await self.registration.unregister();
  await Promise.all(pages.map((page) => page.navigate(page.url).catch(() => undefined))); // a closed page is no fault
}
