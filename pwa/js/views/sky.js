// views/sky.js - the sky of a past day, changed in one tap.
import { draw, html } from '../html.js';
import { heading } from '../parts/form.js';
import { newId } from '../uuid7.js';

const WORDS = ['clear', 'partly', 'overcast', 'rain', 'unknown'];

export function mount(root, app, [day]) {
  const { say } = app.words;
  const noted = app.data.skies.find((sky) => sky.day === day);
  draw(root, html`${heading(app, say('sky.of', { day: app.dayName(day) }))}<p id="problem" class="problem" role="alert"></p>
    <div class="chips-row">${WORDS.map((word) => html`<button type="button" class="chip-button" data-word="${word}"
      aria-pressed="${Boolean(noted && noted.condition === word)}">${say(`sky.${word}`)}</button>`)}</div>`);
  root.addEventListener('click', async (event) => {
    const { word } = event.target.dataset;
    if (!word) return;
    try {
      await app.save([{ tbl: 'sky', row: noted ? noted.id : newId(), set: noted ? { condition: word } : { day, condition: word } }]);
      location.hash = '#/logbook';
    } catch (error) {
      root.querySelector('#problem').textContent = say('store.refused', { reason: error.name });
    }
  });
  return { lead: 'h1' };
}
