// views/logbook.js - everything noted, newest first; each entry can be changed, or deleted and brought back.
import { dayOf } from '../clock.js';
import { draw, html } from '../html.js';

const PAGE = 60;

export function mount(root, app) {
  let shown = PAGE;
  root.addEventListener('click', async (event) => {
    const button = event.target.closest('[data-act]');
    if (!button) return;
    if (button.dataset.act === 'older') {
      shown += PAGE;
      if (app.older && shown > entries(app).length) await app.reachBack();
      update();
    }
    if (button.dataset.act === 'delete') remove(app, button.dataset.tbl, button.dataset.id);
  });
  const update = () => draw(root, page(app, shown));
  update();
  return { update, lead: 'h1' };
}

function page(app, shown) {
  const { say } = app.words;
  const all = entries(app);
  const today = dayOf(app.now(), app.zone());
  const days = new Map();
  for (const entry of all.slice(0, shown)) days.set(entry.day, [...(days.get(entry.day) || []), entry]);
  return html`<h1 tabindex="-1">${say('tab.logbook')}</h1>
    ${app.data.selector && html`<ul class="rows"><li><a href="#/position">${say('positions.note')}</a></li></ul>`}
    ${all.length === 0 && html`<p>${say('logbook.empty')}</p>`}
    ${[...days].map(([day, list]) => html`<section class="log-day"><h2>${day > today ? say('logbook.planned', { day: app.dayName(day) }) : app.dayName(day)}</h2><ul class="log">${list.map((entry) => line(say, entry))}</ul></section>`)}
    ${(all.length > shown || app.older) && html`<p><button type="button" data-act="older">${say('logbook.older')}</button></p>`}
    <p><a class="small" href="#/csv">${say('csv.title')}</a></p>
    <div class="action-bar"><a class="primary" href="#/reading">${say('tonight.add_reading')}</a></div>`;
}

function line(say, { tbl, id, text, clock, link }) {
  return html`<li><span class="log-text"><b>${text}</b>${clock && html` <span class="quiet">${clock}</span>`}</span>
    <span class="log-acts"><a class="small" href="${link}" aria-label="${say('logbook.edit_what', { what: text })}">${say('logbook.edit')}</a>
    <button type="button" class="small" data-act="delete" data-tbl="${tbl}" data-id="${id}" aria-label="${say('logbook.delete_what', { what: text })}">${say('logbook.delete')}</button></span></li>`;
}

/** One line for each record, in the words of the form that wrote it. */
function entries(app) {
  const { say } = app.words;
  const { data } = app;
  const zone = app.zone();
  const list = [];
  const add = (tbl, id, atS, day, text, link) => list.push({
    tbl, id, text, link, clock: atS === null ? '' : say('logbook.clock', { at: atS }),
    day: day ?? dayOf(atS, zone), order: atS ?? Date.parse(`${day}T00:00:00Z`) / 1000,
  });
  const s = (text) => Date.parse(text) / 1000;
  for (const reading of data.readings) {
    const state = say(`state.${reading.state}`);
    const code = reading.volts === undefined ? 'log.full' : reading.confirmed ? 'log.confirmed' : 'log.reading';
    const text = say(code, { volts: reading.volts, state });
    add('reading', reading.id, s(reading.at), null, reading.note ? say('log.with_note', { text, note: reading.note }) : text, `#/reading/${encodeURIComponent(reading.id)}`);
  }
  for (const use of data.uses) {
    const name = app.circuitName(use.circuit_id);
    if (use.from) {
      const text = use.until ? say('log.from_until', { name, from: s(use.from), until: s(use.until) }) : say('log.since', { name, from: s(use.from) });
      add('use', use.id, s(use.from), null, text, '#/ran');
    } else if (use.kind) add('use', use.id, null, use.day, say(`log.${use.kind}`), `#/ran/${use.day}`);
    else add('use', use.id, null, use.day, say(use.hours > 0 ? 'log.hours' : 'log.not_used', { name, hours: use.hours }), `#/ran/${use.day}`);
  }
  for (const sky of data.skies) add('sky', sky.id, null, sky.day, say('log.sky', { word: say(`sky.${sky.condition}`) }), `#/sky/${sky.day}`);
  for (const charge of data.charges) {
    const source = data.sources.find((item) => item.id === charge.source_id);
    add('charge', charge.id, s(charge.starts_at), null, say('log.charge', { name: source ? say(`charge.${source.kind}`) : charge.source_id, hours: charge.hours }), `#/charge/${encodeURIComponent(charge.id)}`);
  }
  for (const position of data.positions) add('position', position.id, s(position.at), null, say('log.position', { name: position.position }), `#/position/${encodeURIComponent(position.id)}`);
  for (const event of data.events) {
    const text = say(event.circuit_id ? 'log.event_circuit' : 'log.event', { kind: say(`event.${event.kind}`), name: app.circuitName(event.circuit_id) });
    add('event', event.id, s(event.at || event.between[1]), null, text, `#/event/${encodeURIComponent(event.id)}`);
  }
  return list.sort((a, b) => (a.day < b.day ? 1 : a.day > b.day ? -1 : b.order - a.order || (a.id < b.id ? 1 : -1)));
}

async function remove(app, tbl, row) {
  try {
    const undo = await app.save([{ tbl, row, set: { deleted: true } }]);
    app.toast({ code: 'logbook.deleted', args: {}, undo });
  } catch (error) {
    app.toast({ code: 'store.refused', args: { reason: error.name } });
  }
}
