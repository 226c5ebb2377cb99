// views/setup/stop.js - a stop of a trip: since when, where the nose points, the slope, the shade in words, panels that
// are covered or not set up, and its place where that is not the trip's.
import { fromInput, iso, toInput } from '../../clock.js';
import { draw, html } from '../../html.js';
import { decimal } from '../../numbers.js';
import { heading, problem, readForm, saveAndLeave, saveBar } from '../../parts/form.js';
import { direction } from '../../parts/sun-arc.js';
import { degreesOfPlace } from '../../quantities.js';
import { options, painter, reader, within } from './fields.js';

/** What the words about shade stand for: shares lost and hours of sun are our assumptions, no source. */
export const SHADES = {
  open: { shade: 0 }, few: { shade: 0.2 }, until_noon: { shade: 0, sun_window: ['12:00', '21:00'] }, from_noon: { shade: 0, sun_window: ['05:00', '13:00'] },
  dappled: { shade: 0.5 }, later: {},
};
const COMPASS = { n: 0, ne: 45, e: 90, se: 135, s: 180, sw: 225, w: 270, nw: 315 };
const SLOPES = { level: 0, slight: 3, steep: 7 }; // degrees: our assumption, no source

export async function mount(root, app, [tripId, index]) {
  const trip = app.data.trips.find((one) => one.id === tripId);
  const held = trip && index !== 'new' ? (trip.stops || [])[Number(index)] : null;
  if (!trip || (index !== 'new' && !held)) {
    location.hash = '#/stops';
    return { lead: 'h1' };
  }
  const draftKey = `${app.rigId}/stop/${tripId}/${index}`;
  const view = { app, root, held, solar: app.data.sources.filter((source) => source.kind === 'solar'), faults: {}, draft: (await app.draft(draftKey)) || begin(app, held) };
  paint(view);
  root.addEventListener('input', (event) => {
    view.draft = readForm(root.querySelector('form'), view.draft);
    app.store.saveDraft(draftKey, view.draft).catch(() => app.keepElsewhere(draftKey, view.draft));
    if (event.target.name !== 'stop.slope') return;
    paint(view);
    root.querySelector(`[name="stop.slope"][value="${event.target.value}"]`).focus({ preventScroll: true });
  });
  root.addEventListener('submit', async (event) => {
    event.preventDefault();
    const { stop, faults } = read(view, trip);
    view.faults = faults;
    if (Object.keys(faults).length > 0) {
      paint(view);
      (root.querySelector('[aria-invalid]') || root.querySelector('[type=datetime-local]')).focus();
      return;
    }
    const stops = [...(trip.stops || [])];
    stops.splice(held ? Number(index) : stops.length, held ? 1 : 0, stop);
    await saveAndLeave(app, root, [{ tbl: 'trip', row: tripId, set: { stops } }], { draft: draftKey, done: { code: 'stops.saved', args: {} }, leave: '#/tonight' });
  });
  return { lead: 'h1' };
}

function begin(app, held) {
  const stop = held || {};
  const { locale } = app.words;
  const shade = stop.shade_word ?? (held ? Object.keys(SHADES).find((word) => SHADES[word].shade === stop.shade && !SHADES[word].sun_window && !stop.sun_window) ?? 'later' : 'later');
  const steps = Object.entries(SLOPES).find(([, deg]) => (stop.slope_deg ?? 0) <= deg) ?? ['steep'];
  return { 'stop.name': stop.name ?? '', 'stop.from': toInput(held ? Date.parse(stop.from) / 1000 : app.now(), app.zone()), 'stop.shade': shade,
    'stop.nose': stop.heading_deg === undefined ? 'unknown' : direction(stop.heading_deg), 'stop.slope': steps[0],
    'stop.down': stop.slope_toward_deg === undefined ? null : direction(stop.slope_toward_deg), 'stop.off': stop.sources_off || [],
    'stop.lat': stop.lat_deg === undefined ? '' : decimal(stop.lat_deg, 3, locale), 'stop.lon': stop.lon_deg === undefined ? '' : decimal(stop.lon_deg, 3, locale) };
}

const fieldsOf = (draft) => Object.fromEntries(Object.entries(draft).map(([name, value]) => [name.slice(5), value]));

function paint({ app, root, held, solar, draft, faults }) {
  const { say } = app.words;
  const { text, pick } = painter(app, 'stop', fieldsOf(draft), faults);
  const compass = options(say, 'stops.compass', Object.keys(COMPASS));
  draw(root, html`<form novalidate autocomplete="off">${heading(app, say(held ? 'stops.change' : 'stops.new'))}
    ${pick('shade', say('stops.shade'), options(say, 'stops.shade', Object.keys(SHADES)))}
    ${pick('nose', say('stops.heading'), [...compass, ['unknown', say('stops.unknown')]], { note: say('stops.heading_note') })}
    ${pick('slope', say('stops.slope'), options(say, 'stops.slope', Object.keys(SLOPES)))}
    ${draft['stop.slope'] !== 'level' && pick('down', say('stops.down'), compass)}
    ${solar.length > 0 && pick('off', say('stops.off'), solar.map((source) => [source.id, source.name || say('rig.panel', { watts: source.panel_w })]), { many: true })}
    <label class="field"><span>${say('stops.from')}</span><input type="datetime-local" name="stop.from" value="${draft['stop.from']}"></label>
    ${problem(faults.from ? say(faults.from.code, faults.from.args) : '', 'stop.from-problem')}
    ${text('name', say('stops.name'), { example: say('stops.name_example') })}
    <details data-key="place"><summary>${say('stops.elsewhere')}</summary>${text('lat', say('setup.place.lat'), { example: '40.4 N' })}${text('lon', say('setup.place.lon'), { example: '109.3 W' })}</details>
    ${problem('')}${saveBar(say('form.save'))}</form>`);
  root.querySelector('.back').setAttribute('href', '#/stops');
  const details = root.querySelector('details');
  details.open = Boolean(draft['stop.lat'] || draft['stop.lon'] || faults.lat || faults.lon);
}

function read({ app, draft, held }, trip) {
  const fields = fieldsOf(draft);
  const { faults, take, refuse } = reader();
  const known = { ...(held || {}) };
  for (const name of ['shade', 'sun_window', 'heading_deg', 'slope_deg', 'slope_toward_deg', 'sources_off', 'lat_deg', 'lon_deg', 'name']) delete known[name];
  const stop = { ...known, shade_word: fields.shade, ...SHADES[fields.shade] };
  if (fields.name.trim()) stop.name = fields.name.trim();
  const fromS = fromInput(fields.from, app.zone());
  const [startS, endS] = [trip.starts_at, trip.ends_at].map((at) => Date.parse(at) / 1000);
  if (!(fromS >= startS - 60 && fromS <= endS)) refuse('from', 'stops.fault.from', { from: startS, until: endS });
  else stop.from = iso(fromS, app.zone());
  if (fields.nose !== 'unknown') stop.heading_deg = COMPASS[fields.nose];
  if (fields.slope !== 'level') {
    if (!fields.down) refuse('down', 'stops.fault.down');
    Object.assign(stop, { slope_deg: SLOPES[fields.slope], slope_toward_deg: COMPASS[fields.down] });
  }
  if (fields.off.length > 0) stop.sources_off = fields.off;
  if (fields.lat.trim() || fields.lon.trim()) {
    stop.lat_deg = take('lat', () => within(degreesOfPlace(fields.lat), -90, 90, '°'));
    stop.lon_deg = take('lon', () => within(degreesOfPlace(fields.lon), -180, 180, '°'));
  }
  return { stop, faults };
}
