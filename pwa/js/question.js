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

/** Member-hours that a phone may spend on the first range and on the final one. */
export const FIRST_MEMBER_HOURS = 13000;
export const FINAL_MEMBER_HOURS = 50000;
const HORIZON_H = 14 * 24;

/**
 * @param {object} exported a daybank-export/1 object, already checked
 * @param {number} [askedAt] epoch [s]; without it the export's own asked_at stands
 * @returns {object} the question; the export is left as it was
 */
export function questionFromExport(exported, askedAt) {
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
  question.days = daysTable(question, asked);
  return question;
}

/**
 * Members for the first and the final range, so that a long log costs the phone no more than a short one.
 * @param {object} question @returns {[number, number]}
 */
export function membersFor(question) {
  const earliest = Math.min(question.asked_at, ...momentsOf(question));
  const hours = HORIZON_H + Math.min(400 * 24, (question.asked_at - earliest) / 3600);
  const within = (budget, most) => Math.max(16, Math.min(most, Math.floor(budget / hours)));
  return [within(FIRST_MEMBER_HOURS, 40), within(FINAL_MEMBER_HOURS, 160)];
}

function daysTable(question, asked) {
  const zone = question.rig.timezone;
  const askedDay = dayOf(asked, zone);
  let first = askedDay;
  for (const list of LOG) {
    for (const record of question[list]) {
      if (typeof record.day === 'string' && record.day < first) first = record.day;
    }
  }
  const earliest = Math.min(asked, ...momentsOf(question));
  const earliestDay = dayOf(earliest, zone);
  if (earliestDay < first) first = earliestDay;
  first = addDays(first, -1);
  const limit = addDays(askedDay, -MOST_DAYS_BACK);
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
  return moments;
}
