// numbers.js - figures as a person types and reads them.

/**
 * A decimal number as typed: comma or point, spaces around it, an optional unit after it.
 * @param {string} text @returns {number} NaN when it is not one number
 */
export function parseDecimal(text) {
  const match = /^\s*([+-]?\d*[.,]?\d*)\s*[a-zA-Z]*\s*$/.exec(String(text));
  if (!match || !/\d/.test(match[1])) return NaN;
  return Number(match[1].replace(',', '.'));
}

/** Volts that a bank of this nominal voltage can show, from flat to equalising (common practice, no source). */
export const plausibleVolts = (nominalV) => [8 * (nominalV / 12), 16 * (nominalV / 12)];

/**
 * What an implausible voltage was probably meant to be: the same digits with the point elsewhere.
 * @param {number} volts @param {number} nominalV @returns {number|null}
 */
export function meantVolts(volts, nominalV) {
  const [low, high] = plausibleVolts(nominalV);
  for (const factor of [0.1, 0.01, 0.001, 10]) {
    const value = Math.round(volts * factor * 1000) / 1000;
    if (value >= low && value <= high) return value;
  }
  return null;
}

/** @returns {string} at most `digits` decimals, no trailing zeros, in the reader's own notation */
export const decimal = (value, digits, locale) => formatter(locale, 0, digits).format(value);

/** @returns {string} exactly `digits` decimals */
export const fixed = (value, digits, locale) => formatter(locale, digits, digits).format(value);

/**
 * Days as a rounded length: whole hours below one day, halves below ten days, whole days above. A range as
 * wide as ours deserves no finer figure.
 * @param {number} days @returns {{unit: 'moment'|'hours'|'days', count: number}}
 */
export function roundDays(days) {
  const hours = days * 24;
  if (hours < 0.75) return { unit: 'moment', count: 0 };
  if (hours < 23.5) return { unit: 'hours', count: Math.round(hours) };
  return { unit: 'days', count: days < 9.75 ? Math.round(days * 2) / 2 : Math.round(days) };
}

/** @returns {string} 3.5 as "3½" */
export function halves(count, locale) {
  const whole = Math.floor(count);
  if (count === whole) return decimal(whole, 0, locale);
  return `${whole > 0 ? decimal(whole, 0, locale) : ''}½`;
}

const formatters = new Map();

/** Made once each: making one costs a slow phone a millisecond, and a page holds a hundred figures. */
function formatter(locale, least, most) {
  const key = `${locale}/${least}/${most}`;
  if (!formatters.has(key)) {
    formatters.set(key, new Intl.NumberFormat(locale, { minimumFractionDigits: least, maximumFractionDigits: most, useGrouping: false }));
  }
  return formatters.get(key);
}
