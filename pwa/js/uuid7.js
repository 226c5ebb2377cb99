// uuid7.js - identifiers made on the phone: UUID version 7, RFC 9562 section 5.7.

/**
 * A new identifier. The first 48 bits are the time, so that an index over ids grows at one end; the
 * rest is random and never derived from the device, since a restored backup would repeat it.
 * @param {number} nowMs milliseconds since the epoch
 * @param {Uint8Array} random ten random bytes
 * @returns {string} 36 characters, lower case
 */
export function uuid7(nowMs, random) {
  const bytes = new Uint8Array(16);
  let rest = nowMs;
  for (let i = 5; i >= 0; i -= 1) {
    bytes[i] = rest % 256;
    rest = Math.floor(rest / 256);
  }
  bytes.set(random.subarray(0, 10), 6);
  bytes[6] = 0x70 | (bytes[6] & 0x0f);
  bytes[8] = 0x80 | (bytes[8] & 0x3f);
  const hex = Array.from(bytes, (byte) => byte.toString(16).padStart(2, '0')).join('');
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join('-');
}

/** @returns {string} a new identifier from the clock and the platform's random source */
export const newId = () => uuid7(Date.now(), crypto.getRandomValues(new Uint8Array(10)));
