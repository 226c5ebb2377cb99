// hlc.js - the hybrid logical clock that orders changes (Kulkarni, Demirbas et al., "Logical Physical
// Clocks", OPODIS 2014). Written as "<13-digit milliseconds>-<4 hex digits>", so text order is time order.

export const ZERO = '0000000000000-0000';
const HIGHEST_COUNTER = 0xffff;

/**
 * The next clock value after `last`: never earlier than it, even when the phone's clock went back.
 * @param {string} last @param {number} nowMs @returns {string}
 */
export function tick(last, nowMs) {
  const { ms, counter } = read(last);
  if (nowMs > ms) return write(nowMs, 0);
  return counter < HIGHEST_COUNTER ? write(ms, counter + 1) : write(ms + 1, 0);
}

/**
 * The clock after seeing another device's value.
 * @param {string} last @param {string} seen @returns {string} the later of the two
 */
export const witness = (last, seen) => (seen > last ? seen : last);

/** @param {string} value @returns {{ms: number, counter: number}} */
export function read(value) {
  if (!/^\d{13}-[0-9a-f]{4}$/.test(value)) {
    throw new Error(`The clock value ${JSON.stringify(value)} is not "<13 digits>-<4 hex digits>".`);
  }
  return { ms: Number(value.slice(0, 13)), counter: parseInt(value.slice(14), 16) };
}

const write = (ms, counter) => `${String(ms).padStart(13, '0')}-${counter.toString(16).padStart(4, '0')}`;
