// parts/slots.js - a page in parts that are drawn one by one: each only when its markup is another, and all but the
// first ones in tasks of their own, so that a fresh answer never keeps the page from a finger.
import { draw } from '../html.js';

/** @param {HTMLElement} root holds an element with data-slot="name" for each part */
export function makeSlots(root) {
  const drawn = new Map();
  let turn = 0;

  const put = (name, markup) => {
    const text = String(markup);
    if (drawn.get(name) === text) return;
    drawn.set(name, text);
    const slot = root.querySelector(`[data-slot="${name}"]`);
    const focused = focusIn(slot);
    draw(slot, markup);
    if (focused) slot.querySelector(focused)?.focus({ preventScroll: true });
  };

  return {
    /**
     * @param {Array<[string, () => object]>} first drawn at once @param {Array<[string, () => object]>} rest drawn after
     * @returns {Promise<void>} when all are drawn, or a newer call has taken over
     */
    async fill(first, rest) {
      turn += 1;
      const mine = turn;
      for (const [name, make] of first) put(name, make());
      for (const [name, make] of rest) {
        await new Promise((resolve) => { setTimeout(resolve); });
        if (mine !== turn || !root.isConnected) return;
        put(name, make());
      }
    },
  };
}

/** How to find what has the focus again once its part is drawn anew. */
function focusIn(slot) {
  const element = document.activeElement;
  if (!element || !slot.contains(element)) return null;
  if (element.dataset.value) return `[data-value="${element.dataset.value}"]`;
  return element.getAttribute('href') ? `a[href="${element.getAttribute('href')}"]` : element.tagName;
}
