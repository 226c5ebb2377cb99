// question.js - turns an export (rows with ISO times) into the question that the model answers: every time an
// epoch number, and a table of the rig's local days. server/daybank/records.py does the same on the computer.
import { addDays, dayOf, dayStartS, epochS } from './clock.js';

export const LISTS = ['banks', 'sources', 'circuits', 'inverters', 'gauges', 'trips', 'readings', 'uses', 'skies',
  'charges', 'positions', 'events', 'checks', 'findings'];
const TIMES = {
  trips: ['starts_at', 'ends_at'], readings: ['at'], uses: ['from', 'until'], charges: ['starts_at'],
  positions: ['at'], events: ['at'],
};
// Lists whose earliest record says how far back the days must reach.
const LOG = ['readings', 'uses', 'skies', 'charges', 'positions', 'events'];
const MOST_DAYS_BACK = 400;
const DAYS_AHEAD = 33;

/**
 * Members for the first and the final range. Fixed, since a checkpoint serves one size only: with one, ten years of
 * log cost no more than a day of it. A member costs some 360 rows of hours, and a row some 10 us on a desktop core.
 */
export const MEMBERS = [12, 80];

/** Days of log that the model is given: it replays 30, and learns habits from 60. */
export const LOG_DAYS = 60;

/**
 * A log without what the model no longer reads. Where the selector stands and which fuses are whole may have been
 * settled long ago, so those records stay.
 * @param {object} exported @param {number} askedS epoch [s] @returns {object} the same lists, shorter; the export is left as it was
 */
export function recent(exported, askedS) {
  const sinceS = askedS - LOG_DAYS * 86400;
  const sinceDay = new Date(sinceS * 1000).toISOString().slice(0, 10);
  const shorter = { ...exported };
  for (const list of ['readings', 'uses', 'skies', 'charges']) {
    shorter[list] = (exported[list] || []).filter((record) => {
      const text = record.at ?? record.from ?? record.starts_at;
      return text ? epochS(text) >= sinceS : !(record.day < sinceDay);
    });
  }
  return shorter;
}

/**
 * @param {object} exported a daybank-export/1 object, already checked
 * @param {number} [askedAt] epoch [s]; without it the export's own asked_at stands
 * @param {{mostDaysBack?: number, reachS?: number}} [span] of the table of days: at most so many back, and at least to a moment
 * @returns {object} the question; the export is left as it was
 */
export function questionFromExport(exported, askedAt, span = {}) {
  const question = structuredClone(exported);
  delete question.truth;
  const asked = askedAt ?? epochS(question.asked_at);
  question.asked_at = asked;
  for (const list of LISTS) question[list] = question[list] || [];
  for (const [list, names] of Object.entries(TIMES)) {
    for (const record of question[list]) {
      for (const name of names) if (typeof record[name] === 'string') record[name] = epochS(record[name]);
    }
  }
  for (const event of question.events) if (event.between) event.between = event.between.map(epochS);
  for (const trip of question.trips) {
    for (const stop of trip.stops || []) if (typeof stop.from === 'string') stop.from = epochS(stop.from);
  }
  question.days = daysTable(question, asked, span);
  return question;
}

function daysTable(question, asked, { mostDaysBack = MOST_DAYS_BACK, reachS = asked }) {
  const zone = question.rig.timezone;
  const askedDay = dayOf(asked, zone);
  let first = askedDay;
  for (const list of LOG) {
    for (const record of question[list]) {
      if (typeof record.day === 'string' && record.day < first) first = record.day;
    }
  }
  const earliest = Math.min(asked, reachS, ...momentsOf(question));
  const earliestDay = dayOf(earliest, zone);
  if (earliestDay < first) first = earliestDay;
  first = addDays(first, -1);
  const limit = addDays(askedDay, -mostDaysBack);
  if (first < limit) first = limit;
  const last = addDays(askedDay, DAYS_AHEAD);
  const days = [];
  for (let day = first; day <= last; day = addDays(day, 1)) days.push([day, dayStartS(day, zone)]);
  return days;
}

function momentsOf(question) {
  const moments = [];
  for (const list of LOG) {
    for (const record of question[list]) {
      for (const name of TIMES[list] || []) if (Number.isFinite(record[name])) moments.push(record[name]);
      if (record.between) moments.push(...record.between);
    }
  }
  const asked = question.asked_at;
  for (const trip of question.trips) if (trip.starts_at <= asked && asked <= trip.ends_at) moments.push(trip.starts_at);
  return moments;
}
