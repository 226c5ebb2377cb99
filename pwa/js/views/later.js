// views/later.js - the places whose work is still to come: they say so, and show nothing made up.
import { draw, html } from '../html.js';

const page = (name) => ({
  mount(root, app) {
    const { say } = app.words;
    draw(root, html`<h1 tabindex="-1">${say(`tab.${name}`)}</h1><p>${say(`later.${name}`)}</p><p class="quiet">${say('later.note')}</p>`);
    return { lead: 'h1' };
  },
});

export const last = page('last');
export const checks = page('checks');
