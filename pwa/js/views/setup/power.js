// views/setup/power.js - the forms of what stores and what brings power: a bank by its kind in plain words and its label,
// a panel with its controller, a tow vehicle, a charger.
import { html } from '../../html.js';
import { decimal } from '../../numbers.js';
import { number, ofKind, rated } from '../../quantities.js';
import { dayFrom, options, painter, reader, within, withUnit } from './fields.js';

const KINDS = ['agm', 'flooded', 'gel', 'lifepo4'];
const FLOOR = { agm: 0.5, flooded: 0.5, gel: 0.5, lifepo4: 0.2 }; // lead lasts longer above half: common practice, no source
const LIVES = ['inside', 'outside', 'heated'];
const MOST = 50;

export const battery = {
  tbl: 'bank',

  begin(row, app) {
    if (!row) return { chemistry: 'agm', label: '', count: '1', floor: '', lives: null, since: '' };
    const { locale } = app.words;
    const hours = row.rated_h && row.rated_h !== 20 ? ` at ${decimal(row.rated_h, 0, locale)} h` : '';
    return { chemistry: row.chemistry, label: (row.typed || {}).rated_ah ?? `${decimal(row.rated_ah, 1, locale)} Ah${hours}`, count: String(row.in_parallel || 1),
      floor: `${decimal(row.floor_soc * 100, 0, locale)} %`, lives: row.lives ?? null, since: row.installed_on ?? '' };
  },

  markup(app, fields, faults, prefix = 'bank') {
    const { say } = app.words;
    const { text, pick } = painter(app, prefix, fields, faults);
    const usual = decimal(100 * FLOOR[fields.chemistry], 0, app.words.locale);
    return html`${pick('chemistry', say('setup.bank.kind'), options(say, 'setup.bank.kind', KINDS))}
      ${text('label', say('setup.bank.label'), { hint: say('setup.bank.label_hint'), example: '100 Ah' })}
      ${pick('count', say('setup.bank.count'), ['1', '2', '3', '4'].map((count) => [count, count]))}
      ${Number(fields.count) > 1 && html`<p class="caution">${say('setup.bank.mixed')}</p>`}
      ${fields.chemistry === 'lifepo4' && html`<p class="caution">${say('setup.bank.lithium')}</p>`}
      <p class="caution">${say('setup.bank.short')}</p>
      <details data-key="${prefix}"><summary>${say('setup.more')}</summary>
        ${text('floor', say('setup.bank.floor'), { hint: say('setup.bank.floor_hint', { usual }), usual: `${usual} %`, mode: 'decimal' })}
        ${pick('lives', say('setup.bank.lives'), options(say, 'setup.bank.lives', LIVES))}
        ${text('since', say('setup.bank.since'), { hint: say('setup.bank.since_hint'), example: '2024-05' })}</details>`;
  },

  read(fields, { tables }) {
    const { faults, take, refuse } = reader();
    const set = { chemistry: fields.chemistry };
    if (!fields.label.trim()) refuse('label', 'setup.fault.label_missing');
    else {
      const label = take('label', () => rated(tables, withUnit(fields.label, 'Ah'), fields.chemistry));
      if (label) {
        take('label', () => within(label.ah, 1, 5000, 'Ah'));
        take('label', () => within(label.hours, 1, 200, 'h'));
        Object.assign(set, { rated_ah: label.ah, rated_h: label.hours, typed: { rated_ah: fields.label.trim() } });
      }
    }
    set.in_parallel = take('count', () => within(number(fields.count), 1, MOST, ''));
    set.floor_soc = fields.floor.trim() ? take('floor', () => within(ofKind(tables, withUnit(fields.floor, '%'), 'share'), 0, 0.95, '')) : FLOOR[fields.chemistry];
    set.installed_on = fields.since.trim() ? take('since', () => dayFrom(fields.since)) : null;
    set.lives = fields.lives;
    return { set, faults };
  },
};

const MOUNTS = ['flat', 'tilted', 'ground'];
const FACES = { nose: 0, right: 90, tail: 180, left: 270 }; // of a tilted panel, seen from the nose, clockwise [deg]
const TILT_GROUND_DEG = 35; // of a panel set up by hand towards the midday sun: our assumption, no source
// What really arrives through a thin tow lead, and what makers rate the others for: common practice, no source. [A]
const USUAL_A = { alternator: { plain: '8', dc_dc: '20' }, shore: '10' };

export const solar = {
  tbl: 'source',

  begin(row, app) {
    if (!row) return { watts: '', mount: 'flat', tilt: '30', faces: 'nose', controller: 'unknown', max: '', held: null };
    const { locale } = app.words;
    const mount = !row.tilt_deg ? 'flat' : row.azimuth_deg === undefined ? 'tilted' : 'ground';
    const faces = Object.entries(FACES).find(([, deg]) => deg === row.azimuth_from_nose_deg);
    return { watts: (row.typed || {}).panel_w ?? `${decimal(row.panel_w, 0, locale)} W`, mount, tilt: decimal(row.tilt_deg || 30, 0, locale),
      faces: faces ? faces[0] : 'nose', controller: row.controller_from === 'guess' ? 'unknown' : row.controller, max: row.max_a === undefined ? '' : decimal(row.max_a, 1, locale),
      held: mount === 'ground' ? { tilt_deg: row.tilt_deg, azimuth_deg: row.azimuth_deg } : null };
  },

  markup(app, fields, faults, prefix = 'solar') {
    const { say } = app.words;
    const { text, pick } = painter(app, prefix, fields, faults);
    return html`${text('watts', say('setup.solar.watts'), { hint: say('setup.solar.watts_hint'), example: '100 W', mode: 'decimal' })}
      ${pick('mount', say('setup.solar.mount'), options(say, 'setup.solar.mount', MOUNTS))}
      ${fields.mount === 'tilted' && html`${text('tilt', say('setup.solar.tilt'), { example: '30', mode: 'decimal' })}
        ${pick('faces', say('setup.solar.faces'), options(say, 'setup.solar.faces', Object.keys(FACES)))}`}
      ${pick('controller', say('setup.solar.controller'), options(say, 'setup.solar.controller', ['mppt', 'pwm', 'unknown']), { note: say('setup.solar.controller_note') })}
      <details data-key="${prefix}"><summary>${say('setup.more')}</summary>
        ${text('max', say('setup.solar.max'), { hint: say('setup.solar.max_hint'), example: '15 A', mode: 'decimal' })}</details>`;
  },

  /** @param {{latDeg?: number}} context decides where "towards the midday sun" is */
  read(fields, { tables, latDeg = 45 }) {
    const { faults, take, refuse } = reader();
    const set = { kind: 'solar', controller: fields.controller === 'unknown' ? 'pwm' : fields.controller, controller_from: fields.controller === 'unknown' ? 'guess' : null,
      tilt_deg: 0, azimuth_deg: null, azimuth_from_nose_deg: 0, typed: { panel_w: fields.watts.trim() } };
    if (!fields.watts.trim()) refuse('watts', 'setup.fault.watts_missing');
    else set.panel_w = take('watts', () => within(ofKind(tables, withUnit(fields.watts, 'W'), 'power'), 1, 10000, 'W'));
    if (fields.mount === 'tilted') {
      set.tilt_deg = take('tilt', () => within(number(fields.tilt.replace('°', '')), 0, 90, '°'));
      set.azimuth_from_nose_deg = FACES[fields.faces] ?? 0;
    }
    if (fields.mount === 'ground') Object.assign(set, { tilt_deg: TILT_GROUND_DEG, azimuth_deg: latDeg < 0 ? 0 : 180, azimuth_from_nose_deg: null, ...fields.held });
    set.max_a = fields.max.trim() ? take('max', () => within(ofKind(tables, withUnit(fields.max, 'A'), 'current'), 0.1, 1000, 'A')) : null;
    return { set, faults };
  },
};

/** @param {'alternator'|'shore'} kind */
const charger = (kind) => ({
  tbl: 'source',

  begin(row, app) {
    if (!row) return { link: 'plain', amps: '' };
    return { link: row.link ?? 'plain', amps: (row.typed || {}).max_a ?? `${decimal(row.max_a, 1, app.words.locale)} A` };
  },

  markup(app, fields, faults, prefix = kind) {
    const { say } = app.words;
    const { text, pick } = painter(app, prefix, fields, faults);
    const usual = kind === 'shore' ? USUAL_A.shore : USUAL_A.alternator[fields.link];
    return html`${kind === 'alternator' && pick('link', say('setup.tow.link'), options(say, 'setup.tow.link', ['plain', 'dc_dc']))}
      ${text('amps', say(`setup.${kind}.amps`), { hint: say(`setup.${kind}.amps_hint`, { usual }), usual: `${usual} A`, mode: 'decimal' })}
      ${kind === 'alternator' && html`<p class="caution">${say('setup.tow.fuse')}</p>`}
      ${kind === 'shore' && html`<p class="caution">${say('setup.shore.care')}</p>`}`;
  },

  read(fields, { tables }) {
    const { faults, take } = reader();
    const usual = kind === 'shore' ? USUAL_A.shore : USUAL_A.alternator[fields.link];
    const typed = fields.amps.trim();
    const amps = take('amps', () => within(ofKind(tables, withUnit(typed || usual, 'A'), 'current'), 0.1, 1000, 'A'));
    return { set: { kind, max_a: amps, link: kind === 'alternator' ? fields.link : null, typed: typed ? { max_a: typed } : null }, faults };
  },
});

export const alternator = charger('alternator');
export const shore = charger('shore');
