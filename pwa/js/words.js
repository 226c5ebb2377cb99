// words.js - sentences from codes. One table per language; every sentence that a person reads comes from it.
// A sentence holds {name} or {name:form}; the forms are in FORMS below.
import { partOfDay, wall } from './clock.js';
import { decimal, fixed, halves, roundDays } from './numbers.js';

/**
 * @param {Object<string, string>} table code -> sentence
 * @param {{locale: string, zone: () => string}} context zone gives the rig's time zone at the moment of speaking
 */
export function makeWords(table, context) {
  const say = (code, args = {}) => {
    const key = args.n > 0 && args.n <= 1 && `${code}.one` in table ? `${code}.one` : code;
    const sentence = table[key];
    if (sentence === undefined) return code; // shown as it is: a missing sentence must not hide the fact
    return sentence.replace(/\{(\w+)(?::(\w+))?\}/g, (whole, name, form) => {
      if (!(name in args)) return whole;
      const value = args[name];
      if (value === null || value === undefined) return '?';
      if (form && FORMS[form]) return FORMS[form](value, say, context);
      return typeof value === 'number' ? decimal(value, 2, context.locale) : String(value);
    });
  };
  return { say, has: (code) => code in table, locale: context.locale };
}

const MOMENT_MIN = 2.5; // minutes are told in fives
const DAYS_FROM_H = 47.5;

/** Minutes in fives below half an hour and a little, halves below ten hours, whole hours above. */
function hours(value, say, locale) {
  const minutes = Math.round(value * 12) * 5;
  if (value * 60 < MOMENT_MIN) return say('length.moment');
  if (minutes < 30) return say('length.minutes', { count: decimal(minutes, 0, locale) });
  const count = value < 10 ? Math.round(value * 2) / 2 : Math.round(value);
  return say('length.hours', { n: count, count: halves(count, locale) });
}

/** How a value inside a sentence is written. The command line's words follow the same list. */
export const FORMS = {
  days: (value, say, { locale }) => {
    const { unit, count } = roundDays(value);
    return say(`length.${unit}`, { n: count, count: halves(count, locale) });
  },
  percent: (value, say, { locale }) => `${decimal(value * 100, 0, locale)} %`,
  volts: (value, say, { locale }) => `${fixed(value, 2, locale)} V`,
  amps: (value, say, { locale }) => `${decimal(value, Math.abs(value) < 1 ? 2 : 1, locale)} A`,
  ah: (value, say, { locale }) => `${decimal(value, Math.abs(value) < 10 ? 1 : 0, locale)} Ah`,
  mohm: (value, say, { locale }) => `${decimal(value, 0, locale)} mohm`,
  hours: (value, say, { locale }) => hours(value, say, locale),
  // Two days back and more are told in days; a moment ago is no length.
  ago: (value, say, { locale }) => (value * 60 < MOMENT_MIN ? say('ago.moment') : say('ago.length', {
    length: value < DAYS_FROM_H ? hours(value, say, locale) : say('length.days', { n: 2, count: decimal(value / 24, 0, locale) }),
  })),
  clock: (value, say, { zone }) => {
    const { hour, minute } = wall(value, zone());
    return `${String(hour).padStart(2, '0')}:${String(minute).padStart(2, '0')}`;
  },
  weekday: (value, say, { zone }) => say(`weekday.${wall(value, zone()).weekday}`),
  part: (value, say, { zone }) => {
    const { weekday, part } = partOfDay(value, zone());
    return say(`part.${part}`, { weekday: say(`weekday.${weekday}`) });
  },
  date: (value, say, { zone }) => {
    const { day, weekday } = wall(value, zone());
    return say('date.long', { weekday: say(`weekday.${weekday}`), day: Number(day.slice(8)), month: say(`month.${Number(day.slice(5, 7))}`) });
  },
};
