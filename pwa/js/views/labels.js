// views/labels.js - the sheet for the inside of the hatch: what each fuse guards, what stays live, what to do first.
import { bankOn } from '../circumstances.js';
import { dayOf } from '../clock.js';
import { draw, html } from '../html.js';
import { decimal } from '../numbers.js';
import { layOut, rigDrawing, roughly, wireSize } from '../parts/rig-drawing.js';
import { rigSheet } from './part.js';

const BLADE_MOST_A = 40; // ordinary blade fuses end here (common practice, no source)

export function mount(root, app) {
  let sheet = null;
  const update = () => draw(root, page(app, sheet));
  update();
  rigSheet(app).then((found) => {
    sheet = found;
    if (root.isConnected) update();
  }, () => {}); // the labels stand without the short-circuit current
  root.addEventListener('click', (event) => {
    if (event.target.closest('[data-act=print]')) window.print();
  });
  return { lead: 'h1' };
}

function page(app, sheet) {
  const { say } = app.words;
  const { data } = app;
  const bank = bankOn(data, dayOf(app.now(), app.zone()));
  const by = (feed) => data.circuits.filter((circuit) => (circuit.feed || 'bank') === feed)
    .sort((a, b) => String(a.fuse_slot ?? '~').localeCompare(String(b.fuse_slot ?? '~'), undefined, { numeric: true }));
  const positions = (data.selector && data.selector.positions) || [];
  return html`<header class="form-head no-print"><a class="back" href="#/rig">${say('form.back')}</a><h1 tabindex="-1">${say('labels.title')}</h1></header>
    <p class="no-print">${say('labels.what')}</p>
    <article class="sheet"><h2 class="sheet-title">${data.rig.name}</h2><p class="quiet">${say('labels.as_of', { at: app.now() })}</p>
    ${circuitTable(app, say('labels.block'), by('fuse_block'))}
    ${circuitTable(app, say('labels.always'), by('bank'))}
    ${circuitTable(app, say('labels.output'), by('controller_output'))}
    ${positions.length > 0 && html`<section><h3>${say('drawing.selector')}</h3><table><tbody>${positions.map((place) => html`<tr><th scope="row">${place.name}</th>
      <td>${say(`drawing.feeds.${place.feeds}`)}${place.kills_gauge && html`. ${say('drawing.kills_gauge')}`}</td></tr>`)}</tbody></table>
      ${positions.some((place) => place.feeds === 'both') && html`<p>${say('caution_selector_both')}</p>`}</section>`}
    ${spares(app)}
    <section><h3>${say('labels.careful')}</h3><ul>${sheet && html`<li>${say('labels.short', { amps: roughly(sheet.bank.short_circuit_a) })}</li>`}
      ${['rings', 'order', 'fuse', 'panel', 'hydrogen', 'swollen', 'inverter'].filter((key) => fits(key, data)).map((key) => html`<li>${say(`labels.care.${key}`)}</li>`)}</ul>
      <p>${say('labels.codes')}</p></section>
    <section class="sheet-drawing"><h3>${say('labels.drawing')}</h3>${rigDrawing(app, layOut(data, bank), null)}</section></article>
    <div class="action-bar"><button type="button" class="primary" data-act="print">${say('labels.print')}</button></div>`;
}

const fits = (key, data) => (key === 'panel' ? data.sources.some((source) => source.kind === 'solar')
  : key === 'inverter' ? (data.inverters || []).length > 0 || data.circuits.some((circuit) => circuit.through_inverter) : true);

function circuitTable(app, heading, circuits) {
  const { say, locale } = app.words;
  return circuits.length > 0 && html`<section><h3>${heading}</h3><table class="sheet-table"><thead><tr><th scope="col">${say('labels.slot')}</th><th scope="col">${say('labels.circuit')}</th>
    <th scope="col">${say('labels.fuse')}</th><th scope="col">${say('labels.wire')}</th></tr></thead><tbody>${circuits.map((circuit) => html`<tr><td>${circuit.fuse_slot ?? '–'}</td><td><b>${circuit.name || circuit.id}</b></td>
    <td>${circuit.fuse_a === undefined ? say('labels.no_fuse') : `${decimal(circuit.fuse_a, 1, locale)} A`}</td><td>${wireSize(app, circuit) || '–'}</td></tr>`)}</tbody></table></section>`;
}

/** Two of each blade fuse, one of each larger one: common practice, no source. */
export function spareFuses(circuits) {
  const ratings = new Set(circuits.map((circuit) => circuit.fuse_a).filter((amps) => amps > 0));
  return [...ratings].sort((a, b) => a - b).map((amps) => ({ amps, count: amps <= BLADE_MOST_A ? 2 : 1 }));
}

function spares(app) {
  const { say } = app.words;
  const list = spareFuses(app.data.circuits);
  return list.length > 0 && html`<section><h3>${say('labels.spares')}</h3><p>${list.map(({ amps, count }) => say('labels.spare', { count, amps })).join(', ')}</p></section>`;
}
