// parts/strip.js - the nights ahead as a strip: day and night columns over a horizon, a dawn on it for every morning,
// and below it how far the battery carries: solid as far as it very likely reaches, hatched as far as it may.
import { addDays, dayOf, dayStartS } from '../clock.js';
import { html } from '../html.js';

const WIDTH = 360;
const HORIZON_Y = 52;
const BAND_Y = 62;
const BAND_HEIGHT = 18;
const DAY_S = 86400;

/**
 * @param {object} app @param {object} answer
 * @returns {Markup} a figure; its words stand in the headline above it and its numbers in the table of dawns
 */
export function strip(app, answer) {
  const { say } = app.words;
  const zone = app.zone();
  const from = answer.asked_at;
  const { p10, p50, p90 } = answer.days_left;
  const trip = app.trip();
  const tripDays = trip ? (trip.endsS - from) / DAY_S : 0;
  const shown = Math.min(answer.horizon_days, Math.max(2, p90 + 0.4, tripDays + 0.5));
  const x = (days) => Math.round((Math.max(0, Math.min(shown, days)) / shown) * WIDTH * 10) / 10;
  const nights = nightsOf(app, from, shown, zone);
  const column = WIDTH / shown;
  const every = column >= 34 ? 1 : Math.ceil(34 / column);
  return html`<figure class="strip"><svg viewBox="0 0 ${WIDTH} 104" role="img" aria-label="${say('strip.what', { low: p10, middle: p50, high: p90 })}">
    <defs><pattern id="maybe" width="7" height="7" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
      <rect class="strip-maybe-ground" width="7" height="7"></rect><rect class="strip-maybe-line" width="3" height="7"></rect></pattern></defs>
    <rect class="strip-day" x="0" y="8" width="${WIDTH}" height="${HORIZON_Y - 8}"></rect>
    ${nights.map(({ start, end }) => html`<rect class="strip-night" x="${x(start)}" y="8" width="${Math.max(0, x(end) - x(start))}" height="${HORIZON_Y - 8}"></rect>`)}
    ${nights.filter(({ end }) => end > 0 && end < shown).map(({ end, day }) => dawn(x(end), Math.min(9, column / 3.2), dawnKind(answer, app.floor(), day)))}
    <line class="strip-horizon" x1="0" x2="${WIDTH}" y1="${HORIZON_Y}" y2="${HORIZON_Y}"></line>
    <rect class="strip-sure" x="0" y="${BAND_Y}" width="${x(p10)}" height="${BAND_HEIGHT}"></rect>
    <rect fill="url(#maybe)" x="${x(p10)}" y="${BAND_Y}" width="${Math.max(1, x(p90) - x(p10))}" height="${BAND_HEIGHT}"></rect>
    ${p50 < answer.horizon_days && html`<line class="strip-middle" x1="${x(p50)}" x2="${x(p50)}" y1="${BAND_Y - 4}" y2="${BAND_Y + BAND_HEIGHT + 4}"></line>`}
    ${trip && tripDays > 0 && tripDays <= shown && html`<g class="strip-end"><line x1="${x(tripDays)}" x2="${x(tripDays)}" y1="4" y2="${BAND_Y + BAND_HEIGHT + 4}"></line>
      <path d="M${x(tripDays)} 4 l${x(tripDays) > WIDTH - 16 ? -12 : 12} 5 l${x(tripDays) > WIDTH - 16 ? 12 : -12} 5 z"></path></g>`}
    ${labels(say, from, shown, zone, x, every)}
  </svg></figure>`;
}

/** A half sun on the horizon: full when the battery is very likely above the floor, striped when it may be, hollow when not. */
function dawn(x, radius, kind) {
  return html`<path class="strip-dawn strip-dawn-${kind}" d="M${x - radius} ${HORIZON_Y} a${radius} ${radius} 0 0 1 ${radius * 2} 0 z"></path>`;
}

export function dawnKind(answer, floor, day) {
  const night = answer.nights.find((entry) => entry.day === day);
  if (!night) return 'none';
  if (night.dawn_soc.p10 > floor) return 'above';
  return night.dawn_soc.p90 < floor ? 'below' : 'maybe';
}

function nightsOf(app, from, shown, zone) {
  const nights = [];
  const today = dayOf(from, zone);
  for (let i = -1; i <= shown + 1; i += 1) {
    const day = addDays(today, i);
    const next = addDays(day, 1);
    const set = app.sunOn(day);
    const rise = app.sunOn(next);
    // Without a place: six in the evening to six in the morning.
    const startS = set ? set.set_s : dayStartS(day, zone) + 18 * 3600;
    const endS = rise ? rise.rise_s : dayStartS(next, zone) + 6 * 3600;
    if (startS === null || endS === null) continue; // the sun stays up or down at that latitude
    nights.push({ day: next, start: (startS - from) / DAY_S, end: (endS - from) / DAY_S });
  }
  return nights.filter(({ start, end }) => end > 0 && start < shown);
}

function labels(say, from, shown, zone, x, every) {
  const texts = [];
  const today = dayOf(from, zone);
  for (let i = 0; i <= shown + 1; i += every) {
    const day = addDays(today, i);
    const noon = (dayStartS(day, zone) + DAY_S / 2 - from) / DAY_S;
    if (x(noon) < 14 || x(noon) > WIDTH - 14 || noon > shown || noon < 0) continue;
    const weekday = new Date(`${day}T00:00:00Z`).getUTCDay();
    texts.push(html`<text class="strip-label" x="${x(noon)}" y="100" text-anchor="middle">${say(`weekday.short.${weekday}`)}</text>`);
  }
  return texts;
}
