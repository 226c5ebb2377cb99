// logbook-csv.js - the logbook as CSV, column for column as server/daybank/logbook_csv.py writes and reads it: one file for
// each kind of record, units in the header, dates in ISO 8601, an apostrophe before what a spreadsheet would take for a
// formula. Pure: reading says what it would add and what it refuses, and writes nothing. Units other than the header's
// own are the computer's to read; here they are refused.
import { fromWallS, iso } from './clock.js';
import { checkExport, FORMAT, Refusal } from './export-file.js';

const MORE = 'more (JSON)';
const MOST_CHARACTERS = 20e6;
export const KINDS = { // list -> first column, and the others as [header, field, kind, unit]
  readings: ['reading id', [['at', 'at', 'moment'], ['volts', 'volts', 'number', 'V'], ['gauge', 'gauge_id', 'text'], ['state', 'state', 'text'], ['on', 'on', 'list'], ['off', 'off', 'list'],
    ['amps', 'amps', 'number', 'A'], ['rested', 'rested_h', 'number', 'h'], ['bank', 'bank_c', 'number', 'C'], ['charge left', 'soc', 'number', 'share'], ['confirmed', 'confirmed', 'flag'], ['note', 'note', 'text']]],
  uses: ['use id', [['day', 'day', 'text'], ['circuit', 'circuit_id', 'text'], ['hours', 'hours', 'number', 'h'], ['from', 'from', 'moment'], ['until', 'until', 'moment'], ['kind', 'kind', 'text']]],
  skies: ['sky id', [['day', 'day', 'text'], ['condition', 'condition', 'text'], ['shade', 'shade', 'number', 'share'], ['harvest', 'harvest_ah', 'number', 'Ah'],
    ['night temperature', 'night_c', 'number', 'C'], ['day temperature', 'day_c', 'number', 'C']]],
  charges: ['charge id', [['source', 'source_id', 'text'], ['starts at', 'starts_at', 'moment'], ['hours', 'hours', 'number', 'h']]],
  positions: ['position id', [['at', 'at', 'moment'], ['position', 'position', 'text']]],
  events: ['event id', [['at', 'at', 'moment'], ['between', 'between', 'pair'], ['kind', 'kind', 'text'], ['circuit', 'circuit_id', 'text'], ['note', 'note', 'text']]],
};
export const TBL_OF = { readings: 'reading', uses: 'use', skies: 'sky', charges: 'charge', positions: 'position', events: 'event' };
const REFERS = { gauge_id: 'gauges', on: 'circuits', off: 'circuits', circuit_id: 'circuits', source_id: 'sources' };
const FORMULA = '=+-@\t\r';

// ---- out

/** @param {object} data daybank-export/1 @param {string} name of KINDS @returns {string} lines ended as RFC 4180 has them */
export function write(data, name) {
  const [first, columns] = KINDS[name];
  const rows = data[name] || [];
  const rest = rows.map((row) => Object.fromEntries(Object.entries(row).filter(([field, value]) => field !== 'id' && !columns.some((column) => column[1] === field && fits(column, value)))));
  const more = rest.some((one) => Object.keys(one).length > 0);
  const header = [first, ...columns.map(([title, , , unit]) => (unit ? `${title} (${unit})` : title)), ...(more ? [MORE] : [])];
  const lines = rows.map((row, i) => [guarded(String(row.id)), ...columns.map((column) => (fits(column, row[column[1]]) ? cell(column, row[column[1]]) : '')),
    ...(more ? [Object.keys(rest[i]).length > 0 ? textOf(rest[i]) : ''] : [])]);
  return [header, ...lines].map((cells) => `${cells.map(quoted).join(',')}\r\n`).join('');
}

const quoted = (text) => (/[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text);
const mistaken = (text) => text[0] === "'" && text.length > 1 && (FORMULA.includes(text[1]) || text[1] === "'");

/** Text that no spreadsheet takes for a formula; unguarded() gives it back. */
export const guarded = (text) => (text && (FORMULA.includes(text[0]) || mistaken(text)) ? `'${text}` : text);
export const unguarded = (text) => (mistaken(text) ? text.slice(1) : text);

function fits([, , kind], value) {
  if (value === undefined || value === null) return false;
  if (kind === 'list') return Array.isArray(value) && value.every((item) => typeof item === 'string');
  if (kind === 'pair') return Array.isArray(value) && value.length === 2 && value.every(isMoment);
  if (kind === 'flag') return typeof value === 'boolean';
  if (kind === 'moment') return isMoment(value);
  if (kind === 'text') return typeof value === 'string' && value !== '' && value === value.trim();
  return typeof value === 'number';
}

const isMoment = (value) => typeof value === 'string' && /^\d{4}-\d\d-\d\dT\d\d:\d\d(:\d\d(\.\d+)?)?(Z|[+-]\d\d:\d\d)$/.test(value) && !Number.isNaN(Date.parse(value));

function cell([, , kind], value) {
  if (kind === 'list') {
    const simple = value.length > 0 && value.every((item) => item && item.trim() === item && !item.includes(';'));
    return simple && value[0][0] !== '[' ? guarded(value.join('; ')) : `[${value.map((item) => JSON.stringify(item)).join(', ')}]`;
  }
  if (kind === 'pair') return value.join(' / ');
  if (kind === 'flag') return value ? 'yes' : 'no';
  return typeof value === 'string' ? guarded(value) : String(value);
}

/** JSON with its keys in order, as the computer stores it. */
function textOf(value) {
  if (Array.isArray(value)) return `[${value.map(textOf).join(',')}]`;
  if (value && typeof value === 'object') return `{${Object.keys(value).sort().map((key) => `${JSON.stringify(key)}:${textOf(value[key])}`).join(',')}}`;
  return JSON.stringify(value);
}

// ---- in

/**
 * @param {string} text @param {object} data the rig as it stands @param {(name: string) => Array<{id: string}>} heldOf
 *   its records of a kind, deleted ones too (`deleted: true`) @param {number} nowS epoch [s] @param {() => string} newId
 * @returns {{name: string, adds: Array<{row: string, set: object}>, same: number, kept: number, refused: Array<{line: number, code, args}>}}
 *   kept: rows that are here already and say something else, or were deleted here; they stay as they are here
 * @throws {Refusal} the file as a whole cannot be read
 */
export function read(text, data, heldOf, nowS, newId) {
  if (text.length > MOST_CHARACTERS) throw new Refusal('csv.too_large', { most: MOST_CHARACTERS / 1e6 });
  const body = text.replace(/^\ufeff/, '');
  const head = body.split('\n', 1)[0];
  const separator = [',', ';', '\t'].reduce((best, one) => (head.split(one).length > head.split(best).length ? one : best));
  const records = recordsOf(body, separator);
  const { name, columns } = headerOf((records[0] || { cells: [''] }).cells);
  const held = new Map(heldOf(name).map((row) => [row.id, row]));
  const plan = { name, adds: [], same: 0, kept: 0, refused: [] };
  const seen = new Set();
  for (const { line, cells } of records.slice(1)) {
    if (!cells.some((one) => one.trim())) continue;
    try {
      take(plan, cells, { columns, data, held, seen, nowS, newId });
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      plan.refused.push({ line, code: error.code, args: error.args });
    }
  }
  return plan;
}

function take(plan, cells, { columns, data, held, seen, nowS, newId }) {
  if (cells.slice(columns.length + 1).some((one) => one.trim())) throw new Refusal('csv.cells', { given: cells.length, accepted: columns.length + 1 });
  const fields = {};
  columns.forEach((column, i) => {
    const text = (cells[i + 1] || '').trim();
    if (!text) return;
    if (column === MORE) Object.assign(fields, moreOf(text));
    else fields[column[1]] = valueOf(column, text, data.rig.timezone);
  });
  if (plan.name === 'readings') fields.state ??= 'unknown';
  refer(fields, plan.name, data);
  const id = unguarded(cells[0].trim());
  const key = id || textOf(fields);
  if (seen.has(key)) throw new Refusal('csv.twice', {});
  seen.add(key);
  const { rig, banks, circuits, sources, gauges } = data;
  checkExport({ format: FORMAT, rig, banks, circuits, sources, gauges, [plan.name]: [fields] }, nowS);
  const alike = (row) => textOf(plain(row)) === textOf(plain(fields));
  if (id && held.has(id)) {
    const here = held.get(id);
    if (here.deleted || !alike(here)) plan.kept += 1;
    else plan.same += 1;
  } else if (!id && [...held.values()].some((row) => !row.deleted && alike(row))) plan.same += 1;
  else plan.adds.push({ row: id || newId(), set: fields });
}

const plain = (row) => Object.fromEntries(Object.entries(row).filter(([name, value]) => name !== 'id' && value !== null));

function headerOf(cells) {
  const name = Object.keys(KINDS).find((list) => KINDS[list][0] === cells[0].trim().toLowerCase());
  if (!name) throw new Refusal('csv.first', { given: cells[0].slice(0, 40), accepted: Object.values(KINDS).map(([first]) => first).join(', ') });
  const columns = cells.slice(1).map((text) => {
    if (text.trim().toLowerCase() === MORE.toLowerCase()) return MORE;
    const [, title, unit] = /^\s*(.*?)\s*(?:[([]\s*(.*?)\s*[)\]])?\s*$/.exec(text);
    const column = KINDS[name][1].find(([header]) => header === title.toLowerCase());
    if (!column) throw new Refusal('csv.column', { given: text.slice(0, 40), accepted: [...KINDS[name][1].map(([header]) => header), MORE].join(', ') });
    if ((column[3] || '') !== (unit || '')) throw new Refusal('csv.unit', { given: text.slice(0, 40), accepted: column[3] ? `${column[0]} (${column[3]})` : column[0] });
    return column;
  });
  const twice = columns.find((column, i) => columns.indexOf(column) !== i);
  if (twice) throw new Refusal('csv.column_twice', { given: twice === MORE ? MORE : twice[0] });
  return { name, columns };
}

function valueOf([title, , kind], text, zone) {
  if (kind === 'text') return unguarded(text);
  if (kind === 'moment') return withOffset(text, zone);
  if (kind === 'pair') return text.split(' / ').map((part) => withOffset(part, zone));
  if (kind === 'list') return listOf(title, unguarded(text));
  if (kind === 'flag') {
    if (!['yes', 'true', '1', 'no', 'false', '0'].includes(text.toLowerCase())) throw new Refusal('csv.flag', { title, given: text.slice(0, 40) });
    return ['yes', 'true', '1'].includes(text.toLowerCase());
  }
  if (!/^[+\-\u2212]?(\d+([.,]\d*)?|[.,]\d+)(e[+-]?\d+)?$/i.test(text)) throw new Refusal('csv.number', { title, given: text.slice(0, 40) });
  return Number(text.replace(',', '.').replace('\u2212', '-'));
}

/** "2025-07-08 20:10" in Denver is 2025-07-08T20:10-06:00; what has an offset keeps it. */
function withOffset(text, zone) {
  const found = /^(\d{4}-\d\d-\d\d)[T ]+(\d\d?:\d\d)(:\d\d(?:\.\d{1,6})?)?\s*(Z|[+-]\d\d:?\d\d)?$/.exec(text.trim());
  if (!found) return text;
  const [, day, clock, seconds = '', offset] = found;
  const moment = `${day}T${clock.padStart(5, '0')}${seconds}`;
  if (offset) return moment + offset;
  const wallMs = Date.parse(`${moment}Z`);
  return Number.isNaN(wallMs) ? text : moment + iso(fromWallS(wallMs / 1000, zone), zone).slice(19);
}

function listOf(title, text) {
  if (!text.startsWith('[')) return text.split(';').map((part) => part.trim()).filter(Boolean);
  try {
    const made = JSON.parse(text);
    if (Array.isArray(made) && made.every((item) => typeof item === 'string')) return made;
  } catch { /* refused below */ }
  throw new Refusal('csv.list', { title, given: text.slice(0, 40) });
}

function moreOf(text) {
  try {
    const made = JSON.parse(text);
    if (made && typeof made === 'object' && !Array.isArray(made)) return made;
  } catch { /* refused below */ }
  throw new Refusal('csv.more', { given: text.slice(0, 40) });
}

/** Names of circuits, gauges and positions become their ids; one that the rig lacks is refused. */
function refer(fields, name, data) {
  for (const [field, list] of Object.entries(REFERS)) {
    if (fields[field] === undefined) continue;
    const idOf = (given) => {
      const found = (data[list] || []).find((one) => one.id === given) || (data[list] || []).find((one) => one.name === given);
      if (!found) throw new Refusal('csv.refers', { field, given: String(given).slice(0, 40), accepted: (data[list] || []).map((one) => one.name || one.id).slice(0, 10).join(', ') || '-' });
      return found.id;
    };
    fields[field] = Array.isArray(fields[field]) ? fields[field].map(idOf) : idOf(fields[field]);
  }
  const places = ((data.selector || {}).positions || []).map((one) => one.name);
  if (name === 'positions' && !places.includes(fields.position)) throw new Refusal('csv.refers', { field: 'position', given: String(fields.position ?? '').slice(0, 40), accepted: places.join(', ') || '-' });
}

/** RFC 4180 records, each with the number of its last line. @throws {Refusal} a quote that never ends */
function recordsOf(text, separator) {
  const records = [];
  let cells = [];
  let one = '';
  let inside = false;
  let line = 1;
  for (let i = 0; i < text.length; i += 1) {
    const char = text[i];
    if (char === '\n') line += 1;
    if (inside) {
      if (char !== '"') one += char;
      else if (text[i + 1] === '"') {
        one += '"';
        i += 1;
      } else inside = false;
    } else if (char === '"' && one === '') inside = true;
    else if (char === separator) {
      cells.push(one);
      one = '';
    } else if (char === '\n' || (char === '\r' && text[i + 1] !== '\n')) {
      records.push({ line: char === '\n' ? line - 1 : line, cells: [...cells, one] });
      cells = [];
      one = '';
    } else if (char !== '\r') one += char;
  }
  if (inside) throw new Refusal('csv.quote', { line });
  if (one || cells.length > 0) records.push({ line, cells: [...cells, one] });
  return records;
}
