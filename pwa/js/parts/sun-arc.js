// parts/sun-arc.js - one day's path of the sun as seen by a person who looks straight up with the head to the north: the
// rim is the horizon, the middle is overhead. A table says the same. Pure.
import { wall } from '../clock.js';
import { html } from '../html.js';
import { decimal } from '../numbers.js';

const SIZE = 320;
const MIDDLE = SIZE / 2;
const RIM = 128;
const NAMES = ['n', 'ne', 'e', 'se', 's', 'sw', 'w', 'nw'];

/** @returns {string} code of the nearest of eight directions @param {number} azimuthDeg clockwise from north */
export const direction = (azimuthDeg) => NAMES[Math.round((((azimuthDeg % 360) + 360) % 360) / 45) % 8];

/** A direction and a height as a point of the drawing. [deg] */
function point(azimuthDeg, elevationDeg) {
  const radius = (RIM * (90 - Math.max(0, elevationDeg))) / 90;
  const angle = (azimuthDeg * Math.PI) / 180;
  return [MIDDLE + radius * Math.sin(angle), MIDDLE - radius * Math.cos(angle)].map((value) => value.toFixed(1));
}

/**
 * @param {object} app @param {object} arc as energy/arc.py gives it @param {{headingDeg?: number}} rig
 * @returns {object} markup: the drawing and, behind a line, the table
 */
export function sunArc(app, arc, { headingDeg } = {}) {
  const { say, locale } = app.words;
  const line = (points) => points.map(([, azimuth, elevation]) => point(azimuth, elevation).join(',')).join(' ');
  const kept = arc.points.filter(([at]) => arc.keep && arc.keep.from_s <= at && at <= arc.keep.until_s);
  const rim = [...kept].reverse().map(([, azimuth]) => point(azimuth, 0).join(',')).join(' ');
  const hours = arc.points.filter(([at]) => wall(at, app.zone()).minute === 0);
  const letters = ['n', 'e', 's', 'w'].map((name, i) => {
    const angle = (i * Math.PI) / 2;
    return html`<text class="arc-letter" x="${MIDDLE + (RIM + 15) * Math.sin(angle)}" y="${MIDDLE - (RIM + 15) * Math.cos(angle)}">${say(`stops.letter.${name}`)}</text>`;
  });
  return html`<figure class="arc-figure"><svg viewBox="0 0 ${SIZE} ${SIZE}" role="img" aria-label="${summary(app, arc)}">
    <circle class="arc-rim" cx="${MIDDLE}" cy="${MIDDLE}" r="${RIM}"/>
    ${kept.length > 1 && html`<polygon class="arc-keep" points="${line(kept)} ${rim}"/>`}
    ${[30, 60].map((elevation) => html`<circle class="arc-ring" cx="${MIDDLE}" cy="${MIDDLE}" r="${(RIM * (90 - elevation)) / 90}"/>`)}
    <polyline class="arc-path-low" points="${line(arc.points)}"/>${kept.length > 1 && html`<polyline class="arc-path" points="${line(kept)}"/>`}
    ${hours.map(([at, azimuth, elevation]) => {
    const [x, y] = point(azimuth, elevation);
    const { hour } = wall(at, app.zone());
    const [labelX, labelY] = point(azimuth, elevation + 11);
    return html`<circle class="arc-hour" cx="${x}" cy="${y}" r="3.5"/>${hour % 3 === 0 && html`<text class="arc-label" x="${labelX}" y="${labelY}">${hour}</text>`}`;
  })}
    ${headingDeg !== undefined && nose(headingDeg)}${letters}</svg><figcaption>${say(headingDeg === undefined ? 'stops.arc.caption' : 'stops.arc.caption_nose')}</figcaption></figure>
    <details><summary>${say('stops.arc.table')}</summary><table><thead><tr><th scope="col">${say('stops.arc.at')}</th><th scope="col">${say('stops.arc.where')}</th><th scope="col">${say('stops.arc.high')}</th></tr></thead>
      <tbody>${hours.map(([at, azimuth, elevation]) => html`<tr><th scope="row">${say('stops.arc.clock', { at })}</th><td>${say(`stops.compass.${direction(azimuth)}`)} (${decimal(azimuth, 0, locale)}°)</td><td>${decimal(elevation, 0, locale)}°</td></tr>`)}</tbody></table></details>`;
}

/** The rig's nose as an arrow from the middle. */
function nose(headingDeg) {
  const [x, y] = point(headingDeg, 62);
  const [tailX, tailY] = point(headingDeg + 180, 72);
  const wings = [headingDeg - 12, headingDeg + 12].map((deg) => point(deg, 68).join(','));
  return html`<path class="arc-nose" d="M${tailX},${tailY} L${x},${y} M${wings[0]} L${x},${y} L${wings[1]}"/>`;
}

/** The arc in one sentence. */
export function summary({ words: { say, locale } }, arc) {
  if (!arc.keep) return say('stops.arc.none');
  return say('stops.arc.keep', { from: say(`stops.compass.${direction(arc.keep.from_azimuth_deg)}`), until: say(`stops.compass.${direction(arc.keep.until_azimuth_deg)}`),
    starts: arc.keep.from_s, ends: arc.keep.until_s, low: decimal(Math.min(arc.keep.from_elevation_deg, arc.keep.until_elevation_deg), 0, locale), high: decimal(arc.noon_elevation_deg, 0, locale) });
}
