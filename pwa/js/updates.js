// updates.js - registers the service worker and offers a new version; the person picks the moment.
import { draw, html } from './html.js';

/** @param {{say: function}} words @param {() => Promise|null} keep resolves when what was typed is stored */
export async function registerWorker({ say }, keep) {
  if (!('serviceWorker' in navigator)) return;
  const controlled = Boolean(navigator.serviceWorker.controller);
  let wanted = false;
  navigator.serviceWorker.addEventListener('controllerchange', () => {
    // The first installation takes control too; only an update that was asked for reloads the page.
    if (controlled && wanted) location.reload();
  });
  let registration;
  try {
    registration = await navigator.serviceWorker.register('/sw.js', { updateViaCache: 'none' });
  } catch {
    return; // no signal, or a login page in place of our script: the installed worker goes on serving
  }
  const offer = (waiting) => {
    const bar = document.getElementById('update');
    draw(bar, html`<span>${say('update.ready')}</span><button type="button" data-now>${say('update.now')}</button><button type="button">${say('update.later')}</button>`);
    bar.addEventListener('click', async (event) => {
      if (!event.target.closest('button')) return;
      draw(bar, '');
      if (!('now' in event.target.dataset)) return;
      await keep();
      wanted = true;
      waiting.postMessage({ type: 'SKIP_WAITING' });
    }, { once: true });
  };
  if (!registration) return; // switched off in this browser
  if (registration.waiting && controlled) offer(registration.waiting);
  registration.addEventListener('updatefound', () => {
    const fresh = registration.installing;
    fresh.addEventListener('statechange', () => {
      if (fresh.state === 'installed' && navigator.serviceWorker.controller) offer(fresh);
    });
  });
}
