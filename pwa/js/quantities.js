// quantities.js - quantities as a person types them ("45 W", "20 ft", "8 AWG", "160 min reserve"), by the tables that the
// server bakes from pint (units.json). The same spellings and the same refusals as server/daybank/units.py; a test reads
// one list of texts with both. Pure: the tables come as an argument.

const NUMBER = '[+-]?(?:\\d+(?:[.,]\\d*)?|[.,]\\d+)(?:[eE][+-]?\\d{1,3})?';
const WHOLE_NUMBER = new RegExp(`^${NUMBER}$`);
const QUANTITY = new RegExp(`^(${NUMBER})\\s*([^\\d+\\s.,-][^]*|)$`);
const AT = /\s*(?:\bat\b|@)\s*/;
const A_DAY = /\s*(?:\b(?:a|per|each|every)\s+(?:day|d)|\/\s*(?:day|d)|\bdaily)\s*$/i;
const RESERVE = /\b(?:reserve(?:\s+capacity)?|rc)\b:?/i;
const AWG = /^(?:(awg)\s*)?#?\s*(\d{1,2}|[1-4]\/0|0{2,4})\s*(awg|sae)?$/i;
const MAINS_V = 90; // from here on "at 120 V" means an appliance behind the inverter
const AS_NOMINAL = [10.5 / 12, 15 / 12]; // "at 13.8 V" speaks of a 12 V rig: our assumption, no source

/** Why a text cannot be taken; `code` and `args` make the sentence beside the field. */
export class Fault extends Error {
  constructor(code, args = {}) {
    super(code);
    this.code = `setup.fault.${code}`;
    this.args = args;
  }
}

/** @param {string} text @returns {number} @throws {Fault} no number, or "1,500", which two people read in two ways */
export function number(text) {
  const plain = text.trim().replace('\u2212', '-');
  if (!WHOLE_NUMBER.test(plain)) throw new Fault('number', { given: short(text) });
  if (/^[+-]?[1-9]\d{0,2},\d{3}$/.test(plain)) throw new Fault('two_ways', { given: short(text) });
  return finite(Number(plain.replace(',', '.')), text);
}

/**
 * @param {object} tables units.json @param {string} text @param {string[]} accepted kinds that may come back
 * @returns {{kind: string, value: number}} in the kind's base unit @throws {Fault}
 */
export function quantity(tables, text, ...accepted) {
  const example = accepted.map((kind) => `“${tables.kinds[kind].example}”`).join(' / ');
  const found = QUANTITY.exec(tidy(text));
  if (!found) throw new Fault('quantity', { given: short(text), example });
  const amount = number(found[1]);
  const unit = found[2].trim();
  if (!unit) throw new Fault('no_unit', { given: short(text), example });
  const parts = new RegExp(`^(ft|feet|foot|')\\s*(${NUMBER})\\s*(in|inch|inches|"|)$`, 'i').exec(unit);
  const length = tables.kinds.length.units;
  if (parts && accepted.includes('length')) return { kind: 'length', value: clean(amount * length.ft[0] + number(parts[2]) * length.in[0]) };
  const known = unitOf(tables, unit);
  if (!known) throw new Fault('unit', { given: short(text), example });
  if (!accepted.includes(known.kind)) throw new Fault('other_kind', { given: short(text), example });
  const [factor, offset] = known.table;
  if (factor === 1 && offset === 0) return { kind: known.kind, value: amount };
  return { kind: known.kind, value: clean(finite(amount * factor + offset, text)) };
}

/** A quantity of one kind, in its base unit. */
export const ofKind = (tables, text, kind) => quantity(tables, text, kind).value;

/**
 * What a circuit draws: "3.5 A", "45 W", "0.6 A at 24 V", "12 Ah a day".
 * @returns {{field: 'draw_a'|'draw_w'|'ah_per_day', value: number}} @throws {Fault}
 */
export function draw(tables, text, nominalV = 12) {
  const plain = tidy(text);
  const daily = A_DAY.exec(plain);
  if (daily) {
    const { kind, value } = quantity(tables, plain.slice(0, daily.index), 'charge', 'energy');
    return { field: 'ah_per_day', value: kind === 'charge' ? value : value / nominalV };
  }
  const [amount, at] = splitAt(plain);
  if (/\d\s*[mk]?[aw]\s*[- ]?h/i.test(amount)) throw new Fault('over_what_time', { given: short(text), example: `${amount} a day` });
  const { kind, value } = quantity(tables, amount, 'current', 'power');
  if (at === null || kind === 'power') {
    if (at !== null) ofKind(tables, at, 'voltage');
    return { field: kind === 'power' ? 'draw_w' : 'draw_a', value };
  }
  const volts = aboveZero(ofKind(tables, at, 'voltage'), text);
  const asRig = AS_NOMINAL[0] * nominalV <= volts && volts <= AS_NOMINAL[1] * nominalV;
  return asRig ? { field: 'draw_a', value } : { field: 'draw_w', value: clean(value * volts) };
}

/** Whether a draw is said to be at mains voltage, as in "1 A at 120 V". */
export function behindInverter(tables, text) {
  const [, at] = splitAt(tidy(text));
  try {
    return at !== null && ofKind(tables, at, 'voltage') >= MAINS_V;
  } catch {
    return false;
  }
}

/**
 * A wire's size: "8 AWG", "1/0", "10 mm2"; "8 SAE" becomes its copper area.
 * @returns {{field: 'wire_awg'|'wire_mm2', value: number|string}} @throws {Fault} also for a bare "4 mm" or "8 gauge"
 */
export function wire(tables, text) {
  const plain = tidy(text);
  const found = AWG.exec(plain);
  if (found && (found[1] || found[3] || plain.includes('/') || found[2].startsWith('00'))) {
    let size = found[2];
    const kind = (found[3] || 'awg').toLowerCase();
    if (/^0+$/.test(size) && kind === 'awg') size = `${size.length}/0`;
    const known = tables.wires[kind][kind === 'awg' ? String(size.includes('/') ? size : Number(size)) : size];
    if (known === undefined) throw new Fault('wire_size', { given: short(text) });
    if (kind === 'sae') return { field: 'wire_mm2', value: known };
    return { field: 'wire_awg', value: size.includes('/') ? size : Number(size) };
  }
  if (/gauge|ga\b|swg/i.test(plain)) throw new Fault('wire_gauge', { given: short(text) });
  if (WHOLE_NUMBER.test(plain)) throw new Fault('wire_bare', { given: short(text) });
  if (new RegExp(`^${NUMBER}\\s*mm$`, 'i').test(plain)) throw new Fault('wire_mm', { given: short(text) });
  try {
    return { field: 'wire_mm2', value: ofKind(tables, plain, 'area') };
  } catch {
    throw new Fault('wire_size', { given: short(text) });
  }
}

/**
 * A battery's capacity from its label: "100 Ah", "95 Ah at 100 h", "1280 Wh at 12.8 V", "160 min reserve".
 * @returns {{ah: number, hours: number}} @throws {Fault} also for cold-cranking amps
 */
export function rated(tables, text, chemistry) {
  const plain = tidy(text);
  if (/\b(cca|mca|ca)\b|crank/i.test(plain)) throw new Fault('cranking', { given: short(text) });
  if (RESERVE.test(plain)) {
    const minutes = plain.replace(RESERVE, ' ').trim();
    const hours = WHOLE_NUMBER.test(minutes) ? number(minutes) / 60 : ofKind(tables, minutes, 'time');
    return { ah: Math.round(ahOfReserve(tables, hours, chemistry) * 10) / 10, hours: 20 };
  }
  const [amount, at] = splitAt(plain);
  const { kind, value } = quantity(tables, amount, 'charge', 'energy');
  if (kind === 'energy') {
    if (at === null) throw new Fault('energy_volts', { given: short(text) });
    return { ah: clean(value / aboveZero(ofKind(tables, at, 'voltage'), text)), hours: 20 };
  }
  return { ah: value, hours: at === null ? 20 : ofKind(tables, at.replace(/\s*rate$/, ''), 'time') };
}

/** Amp-hours at 20 h of a battery that gives the reserve current for so many hours (see units.py). */
function ahOfReserve(tables, hours, chemistry) {
  if (!(hours > 0 && hours <= 24)) throw new Fault('reserve', { given: Math.round(hours * 60) });
  const { reserve_a: amps, reserve_exponent: exponent } = tables.ratings[chemistry];
  return amps * 20 * (hours / 20) ** (1 / exponent);
}

/** Hours of a day: "3 h a day", "20 min". [h] */
export const hoursADay = (tables, text) => ofKind(tables, tidy(text).replace(A_DAY, ''), 'time');

/** A latitude or longitude: "40.4", "40.4 N", "109.3 W". [deg] */
export function degreesOfPlace(text) {
  const found = /^\s*(.+?)\s*°?\s*([NSEW])\s*$/i.exec(text);
  const degrees = number((found ? found[1] : text).replace('°', ''));
  return found && /[SW]/i.test(found[2]) ? -degrees : degrees;
}

const short = (text) => String(text).slice(0, 40);
const tidy = (text) => text.replace(/\u2212/g, '-').replace(/\s+/g, ' ').trim();
const clean = (value) => Number(value.toPrecision(12)); // without the dust of binary arithmetic
const bare = (spelling) => spelling.replace(/[\s.·-]/g, '');

function splitAt(plain) {
  const found = AT.exec(plain);
  return found ? [plain.slice(0, found.index), plain.slice(found.index + found[0].length)] : [plain, null];
}

function finite(value, text) {
  if (!Number.isFinite(value)) throw new Fault('too_large', { given: short(text) });
  return value;
}

function aboveZero(value, text) {
  if (!(value > 0)) throw new Fault('volts', { given: short(text) });
  return value;
}

/** Letters' case matters only where a capital M would mean a million. */
function unitOf(tables, spelling) {
  const wanted = bare(spelling);
  const all = Object.entries(tables.kinds).flatMap(([kind, about]) => Object.entries(about.units).map(([name, table]) => ({ kind, name: bare(name), table })));
  const exact = all.find(({ name }) => name === wanted);
  if (exact) return exact;
  if (wanted.length <= 3 && wanted.startsWith('M') && !['Min', 'MIN'].includes(wanted)) return null;
  return all.findLast(({ name }) => name.toLowerCase() === wanted.toLowerCase()) ?? null;
}
