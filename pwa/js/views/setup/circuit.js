// views/setup/circuit.js - the form of a circuit: what it draws and where that figure comes from, when it runs, how it is
// fed; a fridge by what a person knows of it. Its fuse and wire are judged by the model's own sums (sheet).
import { html } from '../../html.js';
import { decimal } from '../../numbers.js';
import { behindInverter, draw, hoursADay, ofKind, wire } from '../../quantities.js';
import { BOXES, fridgeDuty, loadOf, SETTINGS, STANDS, unusual } from '../../typical-loads.js';
import { options, painter, reader, within, withUnit } from './fields.js';

const FEEDS = ['bank', 'fuse_block', 'controller_output'];
const FROM = ['measured', 'label', 'guess'];
const WHEN = ['evening', 'night', 'day', 'any', 'always', 'thermostat'];
const MARKS = ['essential', 'inverter'];
const WATTS_TO_A = 12.5; // V, for the look at a fuse only

export const circuit = {
  tbl: 'circuit',

  /** @param {object|null} row @param {string} kind of typical load, or 'own' */
  begin(row, app, kind = 'own') {
    const { say, locale } = app.words;
    if (row) return fromRow(row, locale);
    const load = loadOf(kind);
    const fields = { kind, name: load ? say(`setup.load.${kind}`) : '', draw: '', hours: '', when: load ? load.when : 'any', feed: load ? load.feed : 'fuse_block',
      from: 'guess', fuse: '', wire: '', cutoff: '', box: 'middle', setting: 'usual', stands: 'airy', duty: '',
      marks: MARKS.filter((mark) => load && load[mark]) };
    return fields;
  },

  markup(app, fields, faults, prefix = 'circuit') {
    const { say, locale } = app.words;
    const { text, pick } = painter(app, prefix, fields, faults);
    const load = loadOf(fields.kind);
    const fridge = fields.when === 'thermostat';
    const usual = load ? { hint: say('setup.circuit.draw_usual', { low: load.range[0], high: load.range[1] }), usual: load.draw } : { hint: say('setup.circuit.draw_hint'), example: '3.5 A' };
    return html`<input type="hidden" name="${prefix}.kind" value="${fields.kind}">
      ${text('name', say('setup.circuit.name'), { example: say('setup.circuit.name_example') })}
      ${text('draw', say('setup.circuit.draw'), usual)}
      ${pick('from', say('setup.circuit.from'), options(say, 'setup.circuit.from', FROM))}
      ${fridge && html`${pick('box', say('setup.fridge.box'), options(say, 'setup.fridge.box', BOXES))}
        ${pick('setting', say('setup.fridge.setting'), options(say, 'setup.fridge.setting', SETTINGS))}
        ${pick('stands', say('setup.fridge.stands'), options(say, 'setup.fridge.stands', STANDS))}
        <p class="quiet">${say('setup.fridge.duty', { share: dutyOf(fields) })}</p>`}
      ${pick('when', say('setup.circuit.when'), options(say, 'use', WHEN))}
      ${!fridge && fields.when !== 'always' && text('hours', say('setup.circuit.hours'), { usual: load && load.hours ? `${decimal(load.hours, 1, locale)} h` : '1 h' })}
      ${pick('feed', say('setup.circuit.feed'), options(say, 'feed', FEEDS), { note: say('setup.circuit.feed_note') })}
      ${pick('marks', say('setup.circuit.marks'), options(say, 'setup.circuit.marks', MARKS), { many: true })}
      ${text('fuse', say('setup.circuit.fuse'), { hint: say('setup.circuit.fuse_hint'), example: '10 A', mode: 'decimal' })}
      ${text('wire', say('setup.circuit.wire'), { hint: say('setup.circuit.wire_hint'), example: '14 AWG' })}
      ${text('cutoff', say('setup.circuit.cutoff'), { hint: say('setup.circuit.cutoff_hint'), example: '10.5 V', mode: 'decimal' })}
      <p class="quiet" data-judged role="status"></p>`;
  },

  read(fields, { tables, nominalV = 12 }) {
    const { faults, take, refuse } = reader();
    const load = loadOf(fields.kind);
    const set = { name: fields.name.trim(), when: fields.when, feed: fields.feed, draw_from: fields.from, essential: fields.marks.includes('essential') ? true : null, load: load ? load.id : null };
    if (!set.name) refuse('name', 'setup.fault.name_missing');
    const hours = fields.hours.trim() || (load && load.hours ? `${load.hours} h` : '1 h');
    const steady = ['thermostat', 'always'].includes(fields.when);
    set.typical_h_per_day = steady ? null : take('hours', () => within(hoursADay(tables, withUnit(hours, 'h')), 0, 24, 'h'));
    set.duty_at_25c = fields.when === 'thermostat' ? dutyOf(fields) : null;
    set.fridge = fields.when === 'thermostat' && fields.box ? { box: fields.box, setting: fields.setting, stands: fields.stands } : null;
    const typed = fields.draw.trim() || (load ? load.draw : '');
    if (!typed) refuse('draw', 'setup.fault.draw_missing');
    else take('draw', () => Object.assign(set, drawFields(typed, set, { tables, nominalV })));
    set.through_inverter = fields.marks.includes('inverter') || (typed && behindInverter(tables, typed)) ? true : null;
    set.fuse_a = fields.fuse.trim() ? take('fuse', () => within(ofKind(tables, withUnit(fields.fuse, 'A'), 'current'), 0.1, 1000, 'A')) : null;
    set.cutoff_v = fields.cutoff.trim() ? take('cutoff', () => within(ofKind(tables, withUnit(fields.cutoff, 'V'), 'voltage'), (5 / 12) * nominalV, (15 / 12) * nominalV, 'V')) : null;
    Object.assign(set, { wire_awg: null, wire_mm2: null });
    if (fields.wire.trim()) {
      const size = take('wire', () => wire(tables, fields.wire));
      if (size) set[size.field] = size.value;
    }
    set.typed = { ...(fields.draw.trim() && { [set.draw_w ? 'draw_w' : 'draw_a']: fields.draw.trim() }), ...(fields.wire.trim() && { wire: fields.wire.trim() }) };
    const amps = runningA(set);
    if (!faults.draw && !faults.fuse && set.fuse_a && amps > set.fuse_a) refuse('draw', 'setup.fault.above_fuse', { amps, fuse: set.fuse_a });
    if (!faults.draw && fields.sure !== fields.draw && unusual(load, aDay(set, amps))) refuse('draw', 'setup.fault.unusual', { ah: aDay(set, amps), most: load.mostAh });
    return { set, faults };
  },
};

/** What is told of the box stands above a figure from elsewhere; that figure stands until then. */
const dutyOf = ({ box, setting, stands, duty }) => (duty && !(box && setting && stands) ? duty : fridgeDuty({ box: box ?? undefined, setting: setting ?? undefined, stands: stands ?? undefined }));

/** A draw as the model wants it; amp-hours a day are spread over the hours that it runs. */
function drawFields(typed, { when, typical_h_per_day: hours, duty_at_25c: duty }, { tables, nominalV }) {
  const { field, value } = draw(tables, withUnit(typed, 'A'), nominalV);
  if (field !== 'ah_per_day') return { draw_a: null, draw_w: null, [field]: within(value, 0, 20000, '') };
  const runs = when === 'thermostat' ? 24 * duty : when === 'always' ? 24 : hours;
  return { draw_a: Number((value / runs).toPrecision(6)), draw_w: null };
}

const runningA = ({ draw_a: amps, draw_w: watts }) => amps ?? (watts ?? 0) / WATTS_TO_A;
const aDay = (set, amps) => amps * (set.when === 'always' ? 24 : set.when === 'thermostat' ? 24 * set.duty_at_25c : set.typical_h_per_day ?? 0);

function fromRow(row, locale) {
  const typed = row.typed || {};
  const figure = (value, unit, digits = 2) => (value === undefined ? '' : `${decimal(value, digits, locale)} ${unit}`);
  const size = row.wire_awg !== undefined ? `${row.wire_awg} AWG` : figure(row.wire_mm2, 'mm2');
  return { kind: row.load ?? 'own', name: row.name, draw: typed.draw_a ?? typed.draw_w ?? (row.draw_a !== undefined ? figure(row.draw_a, 'A') : figure(row.draw_w, 'W', 1)), from: row.draw_from ?? 'guess',
    hours: figure(row.typical_h_per_day, 'h'), when: row.when ?? 'any', feed: row.feed ?? 'fuse_block', fuse: figure(row.fuse_a, 'A', 1), wire: typed.wire ?? size,
    cutoff: figure(row.cutoff_v, 'V'), box: null, setting: null, stands: null, ...row.fridge, duty: row.fridge ? '' : row.duty_at_25c ?? '',
    marks: MARKS.filter((mark) => (mark === 'essential' ? row.essential : row.through_inverter)) };
}
