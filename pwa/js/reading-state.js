// reading-state.js - from two taps, the sun and the last charge to the state of a reading. Pure.

/** A battery is not at rest in the first hours after a charge or a draw; a third of an hour is what a fridge's pause gives. */
const PAUSE_H = 0.3; // our assumption, no source
const LONGEST_REST_H = 24;
/** Below these volts of a 12 V bank a panel in the sun does not win against what is on. Our assumption, no source. */
const GAINS_ABOVE_V = { lifepo4: 13.25, flooded: 12.75, gel: 12.75, agm: 12.75 };

/** @param {number} volts as typed, NaN when not yet @param {string} chemistry @param {number} nominalV @returns {boolean} */
export const tooLowToGain = (volts, chemistry, nominalV) => volts < (GAINS_ABOVE_V[chemistry] ?? 12.75) * (nominalV / 12);

/** @typedef {{fridge: 'humming'|'silent'|'unknown'|null, others: 'nothing'|'unknown'|null|string[]}} Taps */
/** @typedef {{fridgeId: string|null, otherIds: string[], hasSolar: boolean, sun: 'up'|'down'|'unknown', sunSetS: number|null,
 *   chargingNow: boolean, lastChargeEndS: number|null, tooLow?: boolean}} Circumstances */

/**
 * @param {Taps} taps @param {Circumstances} around @param {number} atS epoch [s]
 * @returns {{state: string, why: string, on: string[], off: string[], rested_h: number|null}} why is a code of the words table
 */
export function readingState(taps, around, atS) {
  const { on, off } = running(taps, around);
  if (around.chargingNow) return { state: 'charging', why: 'state.why.charge', on, off, rested_h: null };
  if (on.length > 0 && around.tooLow && !around.chargingNow && around.sun === 'up') {
    return { state: 'loaded', why: 'state.why.low_sun', on, off, rested_h: null };
  }
  if (around.hasSolar && around.sun === 'up') return { state: 'charging', why: 'state.why.sun', on, off, rested_h: null };
  if (on.length > 0) return { state: 'loaded', why: 'state.why.on', on, off, rested_h: null };
  const fridgeQuiet = around.fridgeId === null || taps.fridge === 'silent';
  if (!fridgeQuiet || taps.others !== 'nothing') return { state: 'unknown', why: 'state.why.unknown', on, off, rested_h: null };
  if (around.hasSolar && around.sun === 'unknown') return { state: 'unknown', why: 'state.why.no_place', on, off, rested_h: null };
  return { state: 'rested', why: 'state.why.rested', on, off, rested_h: restedHours(around, atS) };
}

/** Which circuits the two taps say are running, and which are not. */
function running(taps, around) {
  const on = [];
  const off = [];
  if (around.fridgeId !== null && taps.fridge === 'humming') on.push(around.fridgeId);
  if (around.fridgeId !== null && taps.fridge === 'silent') off.push(around.fridgeId);
  if (taps.others === 'nothing') off.push(...around.otherIds);
  if (Array.isArray(taps.others)) {
    for (const id of around.otherIds) (taps.others.includes(id) ? on : off).push(id);
  }
  return { on, off };
}

/** Hours since the last charge or sun, unless a fridge is about: its pauses are short, so the rest is too. */
function restedHours(around, atS) {
  if (around.fridgeId !== null) return PAUSE_H;
  const since = Math.max(around.lastChargeEndS ?? -Infinity, around.hasSolar ? around.sunSetS ?? -Infinity : -Infinity);
  if (!Number.isFinite(since)) return PAUSE_H;
  return Math.round(Math.min(LONGEST_REST_H, Math.max(0, (atS - since) / 3600)) * 10) / 10;
}
