// parts/dawns.js - the coming dawns as a table; each row also draws its band against the floor.
import { html } from '../html.js';
import { decimal } from '../numbers.js';

const WIDTH = 120;

/** @returns {Markup} drawing and figures in one table, so that neither can say what the other does not */
export function dawns(app, answer, most = 7) {
  const { say, locale } = app.words;
  const floor = app.floor();
  const percent = (share) => decimal(share * 100, 0, locale);
  const rows = answer.nights.slice(0, most).map(({ day, dawn_soc: soc }) => {
    const weekday = new Date(`${day}T00:00:00Z`).getUTCDay();
    const x = (share) => Math.round(Math.max(0, Math.min(1, share)) * WIDTH);
    return html`<tr><th scope="row">${say(`weekday.short.${weekday}`)}</th>
      <td class="dawns-bar"><svg viewBox="0 0 ${WIDTH} 20" aria-hidden="true"><rect class="dawns-ground" x="0" y="8" width="${WIDTH}" height="4"></rect>
        <rect class="dawns-band" x="${x(soc.p10)}" y="4" width="${Math.max(2, x(soc.p90) - x(soc.p10))}" height="12"></rect>
        <rect class="dawns-middle" x="${x(soc.p50) - 1.5}" y="2" width="3" height="16"></rect>
        <line class="dawns-floor" x1="${x(floor)}" x2="${x(floor)}" y1="0" y2="20"></line></svg></td>
      <td class="dawns-figure">${say('dawns.range', { low: percent(soc.p10), high: percent(soc.p90) })}</td></tr>`;
  });
  return html`<table class="dawns"><caption>${say('dawns.caption', { floor: percent(floor) })}</caption>
    <thead class="for-readers"><tr><th>${say('dawns.day')}</th><th>${say('dawns.drawn')}</th><th>${say('dawns.figures')}</th></tr></thead>
    <tbody>${rows}</tbody></table><p class="quiet">${say('strip.legend')}</p>`;
}
