// checkpoints.js - which ensembles that the model laid aside at a midnight still stand, after a change and for a
// question. Pure; the rule is that of server/daybank/energy/checkpoints.py: one answers for the records before its midnight.
import { dayStartS } from './clock.js';
import { timeOf } from './export-file.js';

const OF_THE_LOG = ['reading', 'use', 'sky', 'charge', 'position', 'event'];
const OF_NO_WEIGHT = ['check', 'finding']; // the model does not read them
export const MOST_MIDNIGHTS = 3; // a back-dated entry of yesterday or the day before still finds an older one

/**
 * The first moment that a row says something about.
 * @param {string} tbl @param {object|undefined} fields undefined for a row that was not there
 * @param {string|null} zone the rig's time zone, null when it is not known
 * @returns {number} epoch [s]; -Infinity for a part of the rig, Infinity for what the model does not read
 */
export function speaksFromS(tbl, fields, zone) {
  if (!fields || OF_NO_WEIGHT.includes(tbl)) return Infinity;
  if (!OF_THE_LOG.includes(tbl)) return -Infinity;
  const byMoment = fields.at ?? fields.from ?? fields.starts_at ?? fields.between;
  if (byMoment) return timeOf(tbl, fields);
  return fields.day && zone ? dayStartS(fields.day, zone) : -Infinity;
}

/**
 * The latest checkpoint of each size that fits a question.
 * @param {Array<{members: number, at: number, model: string, text: string}>} kept @param {number} askedS epoch [s]
 * @param {string} model which model laid them aside
 */
export function fitting(kept, askedS, model) {
  const latest = new Map();
  for (const one of kept) {
    const held = latest.get(one.members);
    if (one.model === model && one.at <= askedS && !(held && held.at >= one.at)) latest.set(one.members, one);
  }
  return [...latest.values()];
}

/**
 * Those that make room: other models', and of each size all but the latest midnights.
 * @param {Array<{members: number, at: number, model: string}>} kept @returns {Array<object>}
 */
export function outworn(kept, model) {
  const seen = new Map();
  return [...kept].sort((a, b) => b.at - a.at).filter((one) => {
    if (one.model !== model) return true;
    const before = seen.get(one.members) ?? 0;
    seen.set(one.members, before + 1);
    return before >= MOST_MIDNIGHTS;
  });
}
