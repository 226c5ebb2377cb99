// circumstances.js - what the log says about a moment: the trip, the place, the sun, the last charge. Pure.
import { dayOf } from './clock.js';

const seconds = (text) => Date.parse(text) / 1000;
const SUN_UP_MARGIN_S = 20 * 60; // a low sun gives a panel next to nothing (our assumption, no source)

/** The trip in force at a moment, or null. */
export function tripAt(data, atS) {
  const trip = data.trips.find((item) => seconds(item.starts_at) <= atS && atS <= seconds(item.ends_at));
  return trip ? { ...trip, startsS: seconds(trip.starts_at), endsS: seconds(trip.ends_at) } : null;
}

/** Where the rig stands: the stop, else the trip, else the rig's own place, else null. */
export function placeAt(data, atS) {
  const trip = tripAt(data, atS);
  const stops = trip ? (trip.stops || []).filter((stop) => seconds(stop.from) <= atS).sort((a, b) => seconds(b.from) - seconds(a.from)) : [];
  const found = [stops[0], trip, data.rig].find((item) => item && Number.isFinite(item.lat_deg) && Number.isFinite(item.lon_deg));
  return found ? { lat_deg: found.lat_deg, lon_deg: found.lon_deg } : null;
}

/** The bank in service on a day: its dates in and out decide. */
export function bankOn(data, day) {
  return data.banks.find((bank) => (bank.installed_on || '') <= day && !((bank.removed_on || '9999') <= day)) || data.banks[0];
}

/** The fridge (the first circuit with a thermostat) and everything else that a person switches. */
export function switchable(data) {
  const fridge = data.circuits.find((circuit) => circuit.when === 'thermostat');
  return {
    fridgeId: fridge ? fridge.id : null,
    otherIds: data.circuits.filter((circuit) => circuit !== fridge && circuit.when !== 'always').map((circuit) => circuit.id),
  };
}

/**
 * What reading-state.js needs to know about a moment.
 * @param {object} data the rig's export @param {Array<{day, state, rise_s, set_s}>} suns @param {number} atS epoch [s]
 */
export function around(data, suns, atS, zone) {
  const charges = data.charges.map((charge) => [seconds(charge.starts_at), seconds(charge.starts_at) + charge.hours * 3600]);
  const ended = charges.map(([, end]) => end).filter((end) => end < atS);
  return {
    ...switchable(data),
    hasSolar: data.sources.some((source) => source.kind === 'solar'),
    chargingNow: charges.some(([start, end]) => start <= atS && atS < end),
    lastChargeEndS: ended.length > 0 ? Math.max(...ended) : null,
    ...sunAt(suns, atS, zone),
  };
}

function sunAt(suns, atS, zone) {
  const today = suns.find((sun) => sun.day === dayOf(atS, zone));
  if (!today) return { sun: 'unknown', sunSetS: null };
  if (today.state === 'polar_day') return { sun: 'up', sunSetS: null };
  if (today.state === 'polar_night') return { sun: 'down', sunSetS: null };
  const up = today.rise_s + SUN_UP_MARGIN_S <= atS && atS <= today.set_s - SUN_UP_MARGIN_S;
  const sets = suns.map((sun) => sun.set_s).filter((set) => set !== null && set <= atS);
  return { sun: up ? 'up' : 'down', sunSetS: sets.length > 0 ? Math.max(...sets) : null };
}
