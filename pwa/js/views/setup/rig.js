// views/setup/rig.js - the forms of the rig itself: its battery selector in the plate's own words, where volts are read,
// its name, nominal volts and usual place, and what the season's sky is like there.
import { zoneKnown } from '../../clock.js';
import { html } from '../../html.js';
import { degreesOfPlace } from '../../quantities.js';
import { options, painter, reader, within } from './fields.js';

const POSITIONS = [0, 1, 2, 3];
const FEEDS_FROM = ['bank', 'nothing', 'controller', 'both'];

export const selector = {
  tbl: 'selector',

  begin(row) {
    const fields = { has: row ? 'yes' : 'no' };
    for (const i of POSITIONS) {
      const position = ((row && row.positions) || [])[i];
      Object.assign(fields, { [`name${i}`]: position ? position.name : '', [`feeds${i}`]: position ? position.feeds : i === 0 ? 'bank' : null,
        [`dark${i}`]: position && position.kills_gauge ? ['yes'] : [] });
    }
    return fields;
  },

  markup(app, fields, faults, prefix = 'selector') {
    const { say } = app.words;
    const { text, pick } = painter(app, prefix, fields, faults);
    const shown = POSITIONS.filter((i) => i < 2 || fields[`name${i}`] || fields[`name${i - 1}`]);
    return html`${pick('has', say('setup.selector.has'), options(say, 'setup.selector.has', ['no', 'yes']))}
      ${fields.has === 'yes' && html`<p class="quiet">${say('setup.selector.note')}</p>${shown.map((i) => html`<div class="position">
        ${text(`name${i}`, say('setup.selector.name', { count: i + 1 }), { example: say(`setup.selector.example.${i}`) })}
        ${pick(`feeds${i}`, say('setup.selector.feeds'), options(say, 'setup.selector.feeds', FEEDS_FROM))}
        ${pick(`dark${i}`, say('setup.selector.dark'), [['yes', say('setup.selector.dark.yes')]], { many: true })}</div>`)}
        ${POSITIONS.some((i) => fields[`feeds${i}`] === 'both') && html`<p class="caution">${say('caution_selector_both')}</p>`}`}`;
  },

  /** @returns {{set: object|null, faults: object}} null: the rig has none */
  read(fields) {
    const { faults, refuse } = reader();
    if (fields.has !== 'yes') return { set: null, faults };
    const positions = [];
    for (const i of POSITIONS) {
      const name = (fields[`name${i}`] || '').trim();
      if (!name) continue;
      const feeds = fields[`feeds${i}`];
      if (!feeds) refuse(`feeds${i}`, 'setup.fault.feeds_missing', { name });
      if (positions.some((position) => position.name === name)) refuse(`name${i}`, 'setup.fault.position_twice', { name });
      positions.push({ name, feeds, ...((fields[`dark${i}`] || []).includes('yes') && { kills_gauge: true }) });
    }
    if (positions.length < 2) refuse(`name${positions.length}`, 'setup.fault.positions');
    return { set: { positions }, faults };
  },
};

const RESOLUTION_V = { one: 0.1, two: 0.01 };

export const gauge = {
  tbl: 'gauge',

  begin(row) {
    return { at: row ? row.at : 'panel', decimals: row && row.resolution_v <= 0.02 ? 'two' : 'one', name: row ? row.name : '' };
  },

  markup(app, fields, faults, prefix = 'gauge') {
    const { say } = app.words;
    const { text, pick } = painter(app, prefix, fields, faults);
    return html`${pick('at', say('setup.gauge.at'), options(say, 'rig.at', ['panel', 'posts']))}
      ${pick('decimals', say('setup.gauge.decimals'), options(say, 'setup.gauge.decimals', ['one', 'two']))}
      ${text('name', say('setup.gauge.name'), { usual: say(`setup.gauge.usual.${fields.at}`) })}`;
  },

  read(fields, { say }) {
    return { set: { name: fields.name.trim() || say(`setup.gauge.usual.${fields.at}`), at: fields.at, resolution_v: RESOLUTION_V[fields.decimals] }, faults: reader().faults };
  },
};

const BANDS = ['60', '50', '40', '30', '15', '-30', '-40']; // latitudes to pick from [deg]
const SKIES = ['dry', 'average', 'wet'];

export const place = {
  tbl: 'rig',

  begin(row, app) {
    const known = row && Number.isFinite(row.lat_deg);
    return { name: row ? row.name : '', volts: String((row && row.nominal_v) || 12), where: known ? 'typed' : null, lat: known ? String(row.lat_deg) : '',
      lon: known ? String(row.lon_deg) : '', sky: (row && row.season_sky) ?? 'average', held: Boolean(row), zone: row ? row.timezone : Intl.DateTimeFormat().resolvedOptions().timeZone };
  },

  markup(app, fields, faults, prefix = 'place') {
    const { say } = app.words;
    const { text, pick } = painter(app, prefix, fields, faults);
    const bands = [...BANDS.map((band) => [band, say('setup.place.band', { side: say(Number(band) < 0 ? 'setup.place.south' : 'setup.place.north'), degrees: Math.abs(Number(band)) })]), ['typed', say('setup.place.typed')]];
    return html`${text('name', say('setup.place.name'), { usual: say('setup.place.name_usual') })}
      ${pick('volts', say('setup.place.volts'), [['12', '12 V'], ['24', '24 V']])}
      ${pick('where', say('setup.place.where'), bands, { note: say('setup.place.where_note') })}
      ${fields.where === 'typed' && html`${text('lat', say('setup.place.lat'), { example: '40.4 N' })}${text('lon', say('setup.place.lon'), { example: '109.3 W' })}`}
      ${pick('sky', say('setup.place.sky'), options(say, 'setup.place.sky', SKIES))}
      ${text('zone', say('setup.place.zone'), { hint: say('setup.place.zone_hint') })}`;
  },

  /** A band's longitude is the one on which the zone's clock is set. @param {{offsetS: (zone: string) => number}} context */
  read(fields, { say, offsetS }) {
    const { faults, take, refuse } = reader();
    const set = { name: fields.name.trim() || say('setup.place.name_usual'), nominal_v: Number(fields.volts), timezone: fields.zone.trim(), season_sky: fields.sky };
    if (!zoneKnown(set.timezone) || !set.timezone) refuse('zone', 'setup.fault.zone', { given: set.timezone.slice(0, 40) });
    if (fields.where === 'typed') {
      set.lat_deg = take('lat', () => within(degreesOfPlace(fields.lat), -90, 90, '°'));
      set.lon_deg = take('lon', () => within(degreesOfPlace(fields.lon), -180, 180, '°'));
    } else if (!fields.where && !fields.held) refuse('where', 'setup.fault.where_missing');
    else if (fields.where && !faults.zone) Object.assign(set, { lat_deg: Number(fields.where), lon_deg: Math.max(-180, Math.min(180, offsetS(set.timezone) / 240)) });
    return { set, faults };
  },
};
