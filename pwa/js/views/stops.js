// views/stops.js - trips and their stops, and the card for the evening of arrival: tomorrow's sun, and what the shade costs.
import { placeAt, tripAt } from '../circumstances.js';
import { addDays, dayOf, dayStartS, iso, wall } from '../clock.js';
import { draw, html } from '../html.js';
import { decimal, roundDays } from '../numbers.js';
import { direction, summary, sunArc } from '../parts/sun-arc.js';
import { LOG_DAYS, questionFromExport, recent } from '../question.js';
import { SHADES } from './setup/stop.js';

const MEMBERS = 40; // of each of the two questions: their difference is steadier than either
const NOON_H = 12;

export async function mount(root, app) {
  const now = app.now();
  const trip = tripAt(app.data, now);
  draw(root, html`<header class="form-head"><a class="back" href="#/tonight">${app.words.say('form.back')}</a><h1 tabindex="-1">${app.words.say('stops.title')}</h1></header>
    <div data-slot="card"></div>${trip ? current(app, trip) : html`<p>${app.words.say('stops.no_trip')}</p>`}
    <section><h2>${app.words.say('stops.trips')}</h2><ul class="rows">${app.data.trips.map((one) => html`<li><a href="#/trip/${encodeURIComponent(one.id)}">${tripLine(app, one)}</a></li>`)}
      <li><a href="#/trip/new">${app.words.say('stops.new_trip')}</a></li></ul></section>`);
  const card = root.querySelector('[data-slot=card]');
  arrival(app, card, trip).catch((error) => draw(card, html`<p class="problem" role="alert">${app.words.say('stops.failed', { reason: error.message })}</p>`));
  return { lead: 'h1' };
}

const tripLine = ({ words: { say } }, trip) => say('rig.trip', { name: trip.name || trip.id, from: Date.parse(trip.starts_at) / 1000, until: Date.parse(trip.ends_at) / 1000 });

function current(app, trip) {
  const { say } = app.words;
  const stops = (trip.stops || []).map((stop, i) => ({ stop, i })).sort((a, b) => Date.parse(a.stop.from) - Date.parse(b.stop.from));
  return html`<section><h2>${say('stops.of', { name: trip.name || trip.id })}</h2><ul class="rows">
    ${stops.map(({ stop, i }) => html`<li><a href="#/stop/${encodeURIComponent(trip.id)}/${i}">${stopLine(app, stop)}</a></li>`)}
    <li><a href="#/stop/${encodeURIComponent(trip.id)}/new">${say('stops.new')}</a></li></ul></section>`;
}

/** "Spruce bend, since Tuesday 8 July, trees until noon, nose to the east" */
function stopLine({ words: { say } }, stop) {
  const facts = [say('stops.since', { name: stop.name || say('stops.unnamed'), at: Date.parse(stop.from) / 1000 })];
  const word = stop.shade_word && SHADES[stop.shade_word] ? stop.shade_word : null;
  if (word) facts.push(say(`stops.shade.${word}`));
  else if (stop.shade !== undefined) facts.push(say('stops.shade_share', { share: stop.shade }));
  if (stop.heading_deg !== undefined) facts.push(say('stops.nose', { where: say(`stops.compass.${direction(stop.heading_deg)}`) }));
  return facts.join(', ');
}

const stopNow = (trip, nowS) => (trip ? [...(trip.stops || [])].filter((stop) => Date.parse(stop.from) / 1000 <= nowS).sort((a, b) => Date.parse(b.from) - Date.parse(a.from))[0] : null) || {};

/** Tomorrow's sun; in the morning, today's. */
async function arrival(app, card, trip) {
  const { say } = app.words;
  const now = app.now();
  const place = placeAt(app.data, now);
  if (!place) {
    draw(card, html`<p>${say('stops.no_place')}</p>`);
    return;
  }
  const today = dayOf(now, app.zone());
  const day = wall(now, app.zone()).hour < NOON_H ? today : addDays(today, 1);
  const { arc } = await app.energy.sum('arc', { day_start_s: dayStartS(day, app.zone()), ...place });
  if (!card.isConnected) return;
  const stop = stopNow(trip, now);
  draw(card, html`<section class="arrival"><h2>${say('stops.arc.title', { day: app.dayName(day) })}</h2><p class="likely">${summary(app, arc)}</p>
    ${sunArc(app, arc, { headingDeg: stop.heading_deg })}<p class="quiet">${say('stops.arc.true_north')}</p>
    <p data-cost role="status">${trip && hasSun(app, stop) ? say('stops.cost.asking') : ''}</p></section>`);
  if (trip && hasSun(app, stop)) await tellCost(app, card.querySelector('[data-cost]'), trip, stop);
}

const hasSun = ({ data }, stop) => data.sources.some((source) => source.kind === 'solar' && !(stop.sources_off || []).includes(source.id));

/** The same evening asked twice, in the open and under dappled shade: the difference is what the shade costs. */
async function tellCost(app, line, trip, stop) {
  const { say, locale } = app.words;
  const now = app.now();
  const asked = (shade) => {
    const here = { ...stop, from: iso(now, app.zone()), shade };
    delete here.sun_window;
    const trips = app.data.trips.map((one) => (one.id === trip.id ? { ...one, stops: [...(one.stops || []), here] } : one));
    return app.energy.sum('answer', { question: questionFromExport(recent({ ...app.data, trips }, now), now, { mostDaysBack: LOG_DAYS }), members: MEMBERS, seed: 1 });
  };
  const [open, shady] = [(await asked(0)).answer, (await asked(SHADES.dappled.shade)).answer];
  if (!line.isConnected) return;
  const horizon = open.horizon_days - 0.01;
  const cost = open.days_left.p50 - shady.days_left.p50;
  if (shady.days_left.p50 >= horizon) line.textContent = say('stops.cost.none', { high: open.horizon_days });
  else if (roundDays(cost).unit === 'moment') line.textContent = say('stops.cost.little', { shady: shady.days_left.p50 });
  else line.textContent = say(open.days_left.p50 >= horizon ? 'stops.cost.at_least' : 'stops.cost.days', { cost, open: open.days_left.p50, shady: shady.days_left.p50, high: decimal(open.horizon_days, 0, locale) });
}
