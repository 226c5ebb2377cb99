// clock.js - times in the rig's own time zone. Epoch seconds in, local days and words out; never the phone's zone.

const DAY_S = 86400;
const formatters = new Map();

/** @returns {boolean} whether this browser knows the zone */
export function zoneKnown(zone) {
  try {
    formatter(zone);
    return true;
  } catch {
    return false;
  }
}

/** Offset from UTC at a moment. @param {number} atS epoch [s] @param {string} zone @returns {number} [s] */
export function offsetS(atS, zone) {
  const parts = {};
  const wholeS = Math.floor(atS);
  for (const { type, value } of formatter(zone).formatToParts(wholeS * 1000)) parts[type] = Number(value);
  return Date.UTC(parts.year, parts.month - 1, parts.day, parts.hour, parts.minute, parts.second) / 1000 - wholeS;
}

/**
 * The moment at which a wall clock in the zone shows the given time. A time that comes twice is its first
 * coming; a time that is skipped counts on with the offset that held before (the rule of Python's PEP 495,
 * fold 0, which the server's half of this conversion follows).
 * @param {number} wallS the wall clock's reading, as if it were UTC [s] @param {string} zone @returns {number} epoch [s]
 */
export function fromWallS(wallS, zone) {
  const before = offsetS(wallS - DAY_S, zone);
  const after = offsetS(wallS + DAY_S, zone);
  if (before === after) return wallS - before;
  if (offsetS(wallS - before, zone) === before) return wallS - before;
  if (offsetS(wallS - after, zone) === after) return wallS - after;
  return wallS - before;
}

/** Midnight that begins a local day. @param {string} day "YYYY-MM-DD" @param {string} zone @returns {number} epoch [s] */
export const dayStartS = (day, zone) => fromWallS(Date.parse(`${day}T00:00:00Z`) / 1000, zone);

/** @param {string} day @param {number} days @returns {string} the day that many days later */
export const addDays = (day, days) => new Date(Date.parse(`${day}T00:00:00Z`) + days * DAY_S * 1000).toISOString().slice(0, 10);

/** The wall clock of the zone. @returns {{day: string, hour: number, minute: number, weekday: number}} weekday 0 is Sunday */
export function wall(atS, zone) {
  const local = new Date((atS + offsetS(atS, zone)) * 1000);
  return { day: local.toISOString().slice(0, 10), hour: local.getUTCHours(), minute: local.getUTCMinutes(), weekday: local.getUTCDay() };
}

/** @returns {string} the local day of a moment, "YYYY-MM-DD" */
export const dayOf = (atS, zone) => wall(atS, zone).day;

/** ISO 8601 with the zone's offset at that moment, to the second. */
export function iso(atS, zone) {
  const offset = offsetS(atS, zone);
  const text = new Date((Math.floor(atS) + offset) * 1000).toISOString().slice(0, 19);
  const minutes = Math.abs(Math.round(offset / 60));
  const two = (n) => String(n).padStart(2, '0');
  return `${text}${offset < 0 ? '-' : '+'}${two(Math.floor(minutes / 60))}:${two(minutes % 60)}`;
}

/** @param {string} text ISO 8601 with offset @returns {number} epoch [s]; NaN when it is not such a time */
export function epochS(text) {
  if (typeof text !== 'string' || !/^\d{4}-\d\d-\d\dT\d\d:\d\d(:\d\d(\.\d+)?)?(Z|[+-]\d\d:?\d\d)$/.test(text)) return NaN;
  return Date.parse(text) / 1000;
}

/** @returns {string} value for an <input type="datetime-local"> */
export const toInput = (atS, zone) => iso(atS, zone).slice(0, 16);

/** @param {string} value of an <input type="datetime-local"> @returns {number} epoch [s]; NaN when unfilled */
export const fromInput = (value, zone) => (value ? fromWallS(Date.parse(`${value.slice(0, 16)}:00Z`) / 1000, zone) : NaN);

/**
 * The part of the day as people name it: the hours after midnight belong to the evening before.
 * @returns {{weekday: number, part: 'morning'|'afternoon'|'evening'|'night', day: string}}
 */
export function partOfDay(atS, zone) {
  const { day, hour, weekday } = wall(atS, zone);
  if (hour < 5) return { day: addDays(day, -1), weekday: (weekday + 6) % 7, part: 'night' };
  const part = hour < 12 ? 'morning' : hour < 17 ? 'afternoon' : hour < 21 ? 'evening' : 'night';
  return { day, weekday, part };
}

function formatter(zone) {
  if (!formatters.has(zone)) {
    formatters.set(zone, new Intl.DateTimeFormat('en-US-u-ca-gregory-nu-latn', {
      timeZone: zone, hourCycle: 'h23', year: 'numeric', month: 'numeric', day: 'numeric',
      hour: 'numeric', minute: 'numeric', second: 'numeric',
    }));
  }
  return formatters.get(zone);
}
