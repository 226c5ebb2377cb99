// views/setup/trip.js - a trip: its name, from when until when, its place, and what the season's sky is like there.
import { fromInput, iso, toInput } from '../../clock.js';
import { draw, html } from '../../html.js';
import { decimal } from '../../numbers.js';
import { heading, problem, readForm, saveAndLeave, saveBar } from '../../parts/form.js';
import { degreesOfPlace } from '../../quantities.js';
import { newId } from '../../uuid7.js';
import { options, painter, reader, within } from './fields.js';

const USUAL_DAYS = 3;
const MOST_DAYS = 366;

export async function mount(root, app, [id]) {
  const held = app.data.trips.find((trip) => trip.id === id) || null;
  const draftKey = `${app.rigId}/trip/${held ? id : 'new'}`;
  const view = { app, root, held, faults: {}, draft: (await app.draft(draftKey)) || begin(app, held) };
  paint(view);
  root.addEventListener('input', () => {
    view.draft = readForm(root.querySelector('form'), view.draft);
    app.store.saveDraft(draftKey, view.draft).catch(() => app.keepElsewhere(draftKey, view.draft));
  });
  root.addEventListener('submit', async (event) => {
    event.preventDefault();
    const { set, faults } = read(view);
    view.faults = faults;
    if (Object.keys(faults).length > 0) {
      paint(view);
      (root.querySelector('[aria-invalid]') || root.querySelector('[type=datetime-local]')).focus();
      return;
    }
    await saveAndLeave(app, root, [{ tbl: 'trip', row: held ? id : newId(), set }], { draft: draftKey, done: { code: 'stops.trip_saved', args: { name: set.name } }, leave: '#/tonight' });
  });
  return { lead: 'h1' };
}

function begin(app, held) {
  const from = held ? Date.parse(held.starts_at) / 1000 : app.now();
  const until = held ? Date.parse(held.ends_at) / 1000 : app.now() + USUAL_DAYS * 86400;
  const place = held || app.data.rig;
  const degrees = (value) => (Number.isFinite(value) ? decimal(value, 3, app.words.locale) : '');
  return { 'trip.name': held ? held.name ?? '' : '', 'trip.starts': toInput(from, app.zone()), 'trip.ends': toInput(until, app.zone()), 'trip.lat': degrees(place.lat_deg), 'trip.lon': degrees(place.lon_deg),
    'trip.sky': (held && held.season_sky) ?? app.data.rig.season_sky ?? 'average' };
}

const fieldsOf = (draft) => Object.fromEntries(Object.entries(draft).map(([name, value]) => [name.slice(5), value]));

function paint({ app, root, held, draft, faults }) {
  const { say } = app.words;
  const { text, pick } = painter(app, 'trip', fieldsOf(draft), faults);
  const moment = (name) => html`<label class="field"><span>${say(`stops.${name}`)}</span><input type="datetime-local" name="trip.${name}" value="${draft[`trip.${name}`]}"></label>
    ${problem(faults[name] ? say(faults[name].code) : '', `trip.${name}-problem`)}`;
  draw(root, html`<form novalidate autocomplete="off">${heading(app, say(held ? 'stops.change_trip' : 'stops.new_trip'))}
    ${text('name', say('stops.trip_name'), { usual: say('stops.trip_usual') })}${moment('starts')}${moment('ends')}
    ${text('lat', say('setup.place.lat'), { example: '40.4 N' })}${text('lon', say('setup.place.lon'), { example: '109.3 W' })}
    ${pick('sky', say('setup.place.sky'), options(say, 'setup.place.sky', ['dry', 'average', 'wet']))}${problem('')}${saveBar(say('form.save'))}</form>`);
  root.querySelector('.back').setAttribute('href', '#/stops');
}

function read({ app, draft }) {
  const fields = fieldsOf(draft);
  const { faults, take, refuse } = reader();
  const set = { name: fields.name.trim() || app.words.say('stops.trip_usual'), season_sky: fields.sky };
  const [startS, endS] = [fields.starts, fields.ends].map((value) => fromInput(value, app.zone()));
  if (Number.isNaN(startS)) refuse('starts', 'when.unfilled');
  else if (!(endS > startS && endS - startS <= MOST_DAYS * 86400)) refuse('ends', 'stops.fault.ends');
  else Object.assign(set, { starts_at: iso(startS, app.zone()), ends_at: iso(endS, app.zone()) });
  set.lat_deg = take('lat', () => within(degreesOfPlace(fields.lat), -90, 90, '°'));
  set.lon_deg = take('lon', () => within(degreesOfPlace(fields.lon), -180, 180, '°'));
  return { set, faults };
}
