// typical-loads.js - loads that trailers usually carry, with their usual range, to pick from; and a fridge's duty from
// what a person knows of it. Figures are common practice, no source, unless a line says otherwise: a label or a
// measurement always stands above them.

/**
 * id -> draw as it would be typed, usual range of the running draw [A or W, as text], hours a day (null: round the
 * clock), when, feed that such a load most often has, most amp-hours a day that are usual, essential.
 */
export const LOADS = [
  { id: 'fridge', draw: '4 A', range: ['3 A', '6 A'], hours: null, when: 'thermostat', feed: 'bank', mostAh: 45, essential: true },
  { id: 'lights', draw: '1.2 A', range: ['0.4 A', '3 A'], hours: 4, when: 'evening', feed: 'fuse_block', mostAh: 12 },
  { id: 'pump', draw: '5 A', range: ['3 A', '8 A'], hours: 0.2, when: 'any', feed: 'fuse_block', mostAh: 2 },
  { id: 'phones', draw: '1 A', range: ['0.5 A', '3 A'], hours: 3, when: 'evening', feed: 'fuse_block', mostAh: 6 },
  { id: 'fan', draw: '0.8 A', range: ['0.2 A', '3 A'], hours: 6, when: 'night', feed: 'fuse_block', mostAh: 20 },
  { id: 'alarm', draw: '80 mA', range: ['40 mA', '120 mA'], hours: null, when: 'always', feed: 'bank', mostAh: 3, essential: true }, // from memory
  { id: 'radio', draw: '0.6 A', range: ['0.3 A', '1.5 A'], hours: 2, when: 'any', feed: 'fuse_block', mostAh: 6 },
  { id: 'flood', draw: '20 W', range: ['10 W', '30 W'], hours: 0.5, when: 'evening', feed: 'fuse_block', mostAh: 5 },
  { id: 'laptop', draw: '55 W', range: ['30 W', '90 W'], hours: 1, when: 'evening', feed: 'bank', mostAh: 15, inverter: true },
  { id: 'heater', draw: '2 A', range: ['1 A', '8 A'], hours: 6, when: 'night', feed: 'fuse_block', mostAh: 40 }, // a fan heater on gas or diesel: from memory
  { id: 'display', draw: '20 mA', range: ['10 mA', '30 mA'], hours: null, when: 'always', feed: 'fuse_block', mostAh: 1 },
];

export const loadOf = (id) => LOADS.find((load) => load.id === id) || null;

// A box of 30-50 l at 25 C with a fridge's setting runs 0.20-0.45 of the time: common practice, no source. How size,
// setting and place move that figure is our assumption, no source; the model takes it as a guess and learns.
const DUTY_USUAL = 0.3;
const BY_BOX = { small: 0.85, middle: 1, large: 1.25 };
const BY_SETTING = { mild: 0.8, usual: 1, freezer: 1.9 };
const BY_PLACE = { airy: 1, closed: 1.2, sun: 1.4 };
export const BOXES = Object.keys(BY_BOX);
export const SETTINGS = Object.keys(BY_SETTING);
export const STANDS = Object.keys(BY_PLACE);

/** @param {{box: string, setting: string, stands: string}} fridge @returns {number} share of the hour at 25 C, 0..0.95 */
export function fridgeDuty({ box = 'middle', setting = 'usual', stands = 'airy' }) {
  return Math.min(0.95, Math.round(100 * DUTY_USUAL * BY_BOX[box] * BY_SETTING[setting] * BY_PLACE[stands]) / 100);
}

const MUCH = 1.5; // above the usual range by half: common practice, no source

/** @returns {boolean} whether so much a day is more than such a load ever takes */
export const unusual = (load, ahPerDay) => Boolean(load) && ahPerDay > MUCH * load.mostAh;
