// views/position.js - the selector was turned: one tap on the position it stands in now, or stood in from a moment on.
import { iso, toInput } from '../clock.js';
import { draw, flag, html } from '../html.js';
import { moment, momentS, problem, readForm } from '../parts/form.js';
import { newId } from '../uuid7.js';

export async function mount(root, app, [id]) {
  const { say } = app.words;
  const edited = id ? app.data.positions.find((one) => one.id === id) : null;
  let draft = edited ? { when: 'other', at: toInput(Date.parse(edited.at) / 1000, app.zone()) } : { when: 'now' };
  const places = (app.data.selector && app.data.selector.positions) || [];
  const paint = (open) => draw(root, html`<header class="form-head"><a class="back" href="#/logbook">${say('form.back')}</a><h1 tabindex="-1">${say('positions.title')}</h1></header>
    ${places.length === 0 ? html`<p>${say('positions.none')}</p>` : html`<form novalidate autocomplete="off"><p class="quiet">${said(app)}</p>
    <details${flag('open', open || Boolean(edited))}><summary>${say('positions.earlier')}</summary>${moment(app, draft, say('positions.when'))}</details>
    ${places.some((place) => place.feeds === 'both') && html`<p class="caution">${say('caution_selector_both')}</p>`}
    ${problem('')}<div class="stack">${places.map((place) => html`<button type="submit" name="to" value="${place.name}"${flag('class="chip-button" aria-pressed="true"', edited && edited.position === place.name)}>
      <span><b>${place.name}</b> <span class="quiet">${say(`drawing.feeds.${place.feeds}`)}${place.kills_gauge && html`. ${say('drawing.kills_gauge')}`}</span></span></button>`)}</div></form>`}`);
  paint(false);
  root.addEventListener('input', (event) => {
    draft = readForm(root.querySelector('form'), draft);
    if (event.target.name === 'when') {
      paint(true);
      root.querySelector(`[name=when][value=${draft.when}]`).focus();
    }
  });
  root.addEventListener('submit', async (event) => {
    event.preventDefault();
    const atS = momentS(app, draft);
    const fault = Number.isNaN(atS) ? 'when.unfilled' : atS > app.now() + 60 ? 'when.future' : '';
    const position = event.submitter && event.submitter.value;
    if (fault || !position) {
      root.querySelector('#problem').textContent = say(fault || 'positions.choose');
      return;
    }
    try {
      const undo = await app.save([{ tbl: 'position', row: edited ? edited.id : newId(), set: { at: iso(Math.min(atS, app.now()), app.zone()), position } }]);
      app.toast({ code: 'positions.saved', args: { name: position, live: stillLive(app, places.find((place) => place.name === position).feeds) }, undo });
      location.hash = '#/logbook';
    } catch (error) {
      root.querySelector('#problem').textContent = say('store.refused', { reason: error.name || String(error) });
    }
  });
  return { lead: 'h1' };
}

/** Where the selector stands by the log, or that nothing is noted. */
export function said(app) {
  const last = [...app.data.positions].filter((one) => Date.parse(one.at) / 1000 <= app.now()).sort((a, b) => Date.parse(b.at) - Date.parse(a.at))[0];
  return last ? app.words.say('positions.stands', { name: last.position, at: Date.parse(last.at) / 1000 }) : app.words.say('positions.unknown');
}

/** The circuits that have power in a position, as one line. */
function stillLive(app, feeds) {
  const live = app.data.circuits.filter((circuit) => circuit.feed !== 'fuse_block' || feeds !== 'nothing').map((circuit) => circuit.name || circuit.id);
  return live.length === 0 ? app.words.say('positions.nothing') : live.length === app.data.circuits.length ? app.words.say('positions.all') : live.join(', ');
}
