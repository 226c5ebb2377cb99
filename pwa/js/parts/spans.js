// parts/spans.js - ranges and chances as a person says them.
import { halves, roundDays } from '../numbers.js';

/** "2½ and 5 days": the unit once, where both ends share it; the horizon as "more than". */
export function span(say, range, horizon, locale) {
  const low = roundDays(range.p10);
  const high = roundDays(range.p90);
  const beyond = range.p90 >= horizon - 0.01;
  const text = (length) => say(`length.${length.unit}`, { n: length.count, count: halves(length.count, locale) });
  if (range.p10 >= horizon - 0.01) return say('span.beyond', { high: horizon });
  if (beyond) return say('span.open', { low: text(low), high: horizon });
  if (low.unit === high.unit && low.count === high.count) return say('span.close', { high: text(high) });
  const first = low.unit === high.unit ? halves(low.count, locale) : text(low);
  return say('span.between', { low: first, high: text(high) });
}

/** @returns {string} the middle of a range in words */
export function middle(say, range, horizon) {
  if (range.p50 <= 0) return say('middle.none');
  return range.p50 >= horizon - 0.01 ? say('middle.beyond', { high: horizon }) : say('middle.about', { days: range.p50 });
}

/** A probability in tenths, since no one plans by single percents. */
export function chance(say, share, args) {
  if (share >= 0.95) return say('chance.sure', args);
  if (share < 0.05) return say('chance.unlikely', args);
  return say('chance.tenths', { ...args, n: Math.max(1, Math.round(share * 10)) });
}
