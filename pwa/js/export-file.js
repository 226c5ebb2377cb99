// export-file.js - a person's own file: checks a daybank-export/1 object, and takes it apart into rows and back.
import { epochS, zoneKnown } from './clock.js';
import { meantVolts, plausibleVolts } from './numbers.js';

export const FORMAT = 'daybank-export/1';
export const MOST_BYTES = 20e6;
const TABLES = {
  banks: 'bank', sources: 'source', circuits: 'circuit', inverters: 'inverter', gauges: 'gauge', trips: 'trip',
  readings: 'reading', uses: 'use', skies: 'sky', charges: 'charge', positions: 'position', events: 'event',
  checks: 'check', findings: 'finding',
};
const LIST_OF = Object.fromEntries(Object.entries(TABLES).map(([list, tbl]) => [tbl, list]));
const CHEMISTRIES = ['agm', 'flooded', 'gel', 'lifepo4'];
const STATES = ['rested', 'loaded', 'charging', 'full', 'unknown'];
const CONDITIONS = ['clear', 'partly', 'overcast', 'rain', 'unknown'];

/** What a file holds that cannot be taken; `code` and `args` make the sentence. */
export class Refusal extends Error {
  constructor(code, args = {}) {
    super(code);
    this.code = code;
    this.args = args;
  }
}

/**
 * @param {string} text the file @param {number} nowS epoch [s], for files without their own asked_at
 * @returns {object} the export
 * @throws {Refusal}
 */
export function readExport(text, nowS) {
  if (text.length > MOST_BYTES) throw new Refusal('file.too_large', { given: Math.round(text.length / 1e6), most: MOST_BYTES / 1e6 });
  let data;
  try {
    data = JSON.parse(text);
  } catch {
    throw new Refusal('file.not_json');
  }
  if (!isObject(data)) throw new Refusal('file.not_json');
  checkExport(data, nowS);
  return data;
}

/** @throws {Refusal} the first fault found */
export function checkExport(data, nowS) {
  const format = String(data.format ?? '');
  if (/^daybank-export\/\d+$/.test(format) && format !== FORMAT) throw new Refusal('file.newer', { given: format.slice(0, 40), accepted: FORMAT });
  if (format !== FORMAT) throw new Refusal('file.other_format', { given: format.slice(0, 40) || '-', accepted: FORMAT });
  if (!isObject(data.rig)) missing('rig');
  text(data.rig, 'name', 'rig.name');
  text(data.rig, 'timezone', 'rig.timezone');
  if (!zoneKnown(data.rig.timezone)) throw new Refusal('file.zone', { given: data.rig.timezone });
  for (const list of Object.keys(TABLES)) {
    if (data[list] === undefined || data[list] === null) continue;
    if (!Array.isArray(data[list]) || !data[list].every(isObject)) throw new Refusal('file.list', { field: list });
  }
  const askedS = data.asked_at ? time(data.asked_at, 'asked_at') : nowS;
  checkParts(data);
  checkLog(data, askedS);
}

/**
 * The export as rows; records without an id get one from `newId`.
 * @returns {Array<{tbl: string, row: string, set: object}>}
 */
export function toRows(data, rigId, newId) {
  const rows = [{ tbl: 'rig', row: rigId, set: without(data.rig, ['id']) }];
  for (const [key, value] of Object.entries(data)) {
    if (TABLES[key]) {
      for (const record of value || []) rows.push({ tbl: TABLES[key], row: String(record.id ?? newId()), set: without(record, ['id']) });
    } else if (key === 'selector' && isObject(value)) {
      rows.push({ tbl: 'selector', row: 'selector', set: value });
    } else if (!['format', 'rig', 'asked_at', 'truth'].includes(key)) {
      // A later version may have written it; it goes out again as it came in.
      rows.push({ tbl: 'other', row: key, set: { value } });
    }
  }
  return rows;
}

/**
 * Rows as an export again. Fields set to null are absent ones; deleted rows stay out.
 * @param {Array<{tbl: string, row: string, fields: object, made: string, t: number}>} rows
 */
export function fromRows(rows) {
  const data = { format: FORMAT, rig: {} };
  for (const list of Object.keys(TABLES)) data[list] = [];
  const ordered = rows.filter((row) => !row.fields.deleted)
    .sort((a, b) => a.t - b.t || (a.made < b.made ? -1 : a.made > b.made ? 1 : 0) || (a.row < b.row ? -1 : 1));
  for (const row of ordered) {
    const fields = Object.fromEntries(Object.entries(row.fields).filter(([name, value]) => value !== null && name !== 'deleted'));
    if (row.tbl === 'rig') data.rig = { id: row.row, ...fields };
    else if (row.tbl === 'selector') data.selector = fields;
    else if (row.tbl === 'other') data[row.row] = fields.value;
    else if (LIST_OF[row.tbl]) data[LIST_OF[row.tbl]].push({ id: row.row, ...fields });
  }
  return data;
}

/** Seconds since the epoch by which a row is found again; 0 for parts of the rig. */
export function timeOf(tbl, fields) {
  if (!['reading', 'use', 'sky', 'charge', 'position', 'event', 'finding'].includes(tbl)) return 0;
  const text = fields.at ?? fields.from ?? fields.starts_at ?? (fields.between ? fields.between[0] : null);
  if (text) return epochS(text) || 1;
  return fields.day ? Date.parse(`${fields.day}T12:00:00Z`) / 1000 : 1;
}

function checkParts(data) {
  if (!(data.banks || []).length) missing('banks');
  data.banks.forEach((bank, i) => {
    oneOf(bank, 'chemistry', CHEMISTRIES, `banks[${i}].chemistry`);
    number(bank, 'rated_ah', `banks[${i}].rated_ah`, 1, 5000);
    number(bank, 'floor_soc', `banks[${i}].floor_soc`, 0, 1);
  });
  (data.sources || []).forEach((source, i) => {
    oneOf(source, 'kind', ['solar', 'alternator', 'shore'], `sources[${i}].kind`);
    if (source.kind === 'solar') number(source, 'panel_w', `sources[${i}].panel_w`, 0, 10000);
    else number(source, 'max_a', `sources[${i}].max_a`, 0, 1000);
  });
  (data.circuits || []).forEach((circuit, i) => {
    text(circuit, 'name', `circuits[${i}].name`);
    if (circuit.draw_a === undefined && circuit.draw_w === undefined) throw new Refusal('file.no_draw', { name: circuit.name });
    if (circuit.draw_a !== undefined) number(circuit, 'draw_a', `circuits[${i}].draw_a`, 0, 1000);
    if (circuit.draw_w !== undefined) number(circuit, 'draw_w', `circuits[${i}].draw_w`, 0, 20000);
  });
  (data.trips || []).forEach((trip, i) => {
    const starts = time(trip.starts_at, `trips[${i}].starts_at`);
    const ends = time(trip.ends_at, `trips[${i}].ends_at`);
    if (ends <= starts) throw new Refusal('file.trip_order', { name: trip.name || String(i + 1) });
    number(trip, 'lat_deg', `trips[${i}].lat_deg`, -90, 90);
    number(trip, 'lon_deg', `trips[${i}].lon_deg`, -180, 180);
  });
}

function checkLog(data, askedS) {
  const circuits = new Set((data.circuits || []).map((circuit) => circuit.id));
  const sources = new Set((data.sources || []).map((source) => source.id));
  const [low, high] = plausibleVolts(data.rig.nominal_v || 12);
  const known = (set, id, field) => {
    if (!set.has(id)) throw new Refusal('file.unknown_id', { field, given: String(id).slice(0, 40) });
  };
  const past = (atS, field) => {
    if (atS > askedS) throw new Refusal('file.future', { field });
  };
  (data.readings || []).forEach((reading, i) => {
    const field = `readings[${i}]`;
    past(time(reading.at, `${field}.at`), `${field}.at`);
    oneOf(reading, 'state', STATES, `${field}.state`);
    if (reading.volts === undefined || reading.volts === null) {
      if (reading.state !== 'full') missing(`${field}.volts`);
      return;
    }
    number(reading, 'volts', `${field}.volts`, -1e6, 1e6);
    if (!reading.confirmed && (reading.volts < low || reading.volts > high)) {
      const meant = meantVolts(reading.volts, data.rig.nominal_v || 12);
      throw new Refusal(meant === null ? 'file.volts' : 'file.volts_meant', { field, given: reading.volts, low, high, meant });
    }
  });
  (data.uses || []).forEach((use, i) => {
    if (use.from !== undefined && use.from !== null) time(use.from, `uses[${i}].from`);
    else day(use, `uses[${i}].day`);
    if (!use.kind) known(circuits, use.circuit_id, `uses[${i}].circuit_id`);
    if (use.hours !== undefined) number(use, 'hours', `uses[${i}].hours`, 0, 24);
  });
  (data.skies || []).forEach((sky, i) => {
    day(sky, `skies[${i}].day`);
    oneOf(sky, 'condition', CONDITIONS, `skies[${i}].condition`);
  });
  (data.charges || []).forEach((charge, i) => {
    time(charge.starts_at, `charges[${i}].starts_at`);
    number(charge, 'hours', `charges[${i}].hours`, 0, 1000);
    known(sources, charge.source_id, `charges[${i}].source_id`);
  });
  (data.events || []).forEach((event, i) => {
    for (const at of event.between || [event.at]) past(time(at, `events[${i}].at`), `events[${i}].at`);
  });
  (data.positions || []).forEach((position, i) => past(time(position.at, `positions[${i}].at`), `positions[${i}].at`));
}

const isObject = (value) => typeof value === 'object' && value !== null && !Array.isArray(value);
const without = (record, names) => Object.fromEntries(Object.entries(record).filter(([name]) => !names.includes(name)));

function missing(field) {
  throw new Refusal('file.missing', { field });
}

function text(record, name, field) {
  if (typeof record[name] !== 'string' || !record[name]) missing(field);
}

function number(record, name, field, low, high) {
  const value = record[name];
  if (value === undefined || value === null) missing(field);
  if (typeof value !== 'number' || !(value >= low && value <= high)) {
    throw new Refusal('file.number', { field, given: String(value).slice(0, 40), low, high });
  }
}

function oneOf(record, name, choices, field) {
  if (record[name] === undefined) missing(field);
  if (!choices.includes(record[name])) throw new Refusal('file.choice', { field, given: String(record[name]).slice(0, 40), accepted: choices.join(', ') });
}

function day(record, field) {
  if (!/^\d{4}-\d\d-\d\d$/.test(record.day || '') || Number.isNaN(Date.parse(`${record.day}T00:00:00Z`))) {
    throw new Refusal('file.day', { field, given: String(record.day).slice(0, 40) });
  }
}

function time(value, field) {
  if (value === undefined || value === null) missing(field);
  const atS = epochS(value);
  if (Number.isNaN(atS)) throw new Refusal('file.time', { field, given: String(value).slice(0, 40) });
  return atS;
}
