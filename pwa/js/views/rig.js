// views/rig.js - the rig's parts as a list, the rigs on this phone, files in and out, and the look of the pages.
import { draw, html } from '../html.js';
import { decimal } from '../numbers.js';
import { filePicker, listenForFile } from '../parts/file-picker.js';
import { chips } from '../parts/form.js';

const LOOKS = ['auto', 'day', 'dark', 'night'];

export function mount(root, app) {
  const { say } = app.words;
  let asked = null; // the rig whose removal waits for a second tap
  const update = () => draw(root, page(app, asked));
  update();
  root.addEventListener('change', (event) => {
    if (event.target.name === 'look') app.setLook(event.target.value);
    if (event.target.name === 'rig') app.openRig(event.target.value);
  });
  root.addEventListener('click', async (event) => {
    const button = event.target.closest('[data-act]');
    if (!button) return;
    const { act } = button.dataset;
    if (act === 'demo') await app.openDemo().catch((error) => { root.querySelector('#problem').textContent = say('first.demo_failed', { reason: error.message }); });
    if (act === 'download') await app.download();
    if (act === 'install') await app.install();
    if (act === 'remove' || act === 'keep') {
      asked = act === 'remove' ? app.rigId : null;
      update();
      root.querySelector('[data-act=keep]')?.focus();
    }
    if (act === 'remove-now') await app.removeRig();
  });
  listenForFile(root, app);
  return { update, lead: 'h1' };
}

function page(app, asked) {
  const { say } = app.words;
  const { data } = app;
  return html`<h1 tabindex="-1">${data.rig.name}</h1><p class="quiet">${say('rig.read_only')}</p>
    ${part(say('rig.banks'), data.banks.map((bank) => bankLine(app, bank)))}
    ${part(say('rig.sources'), data.sources.map((source) => sourceLine(app, source)))}
    ${part(say('rig.circuits'), data.circuits.map((circuit) => circuitLine(app, circuit)))}
    ${part(say('rig.gauges'), data.gauges.map((gauge) => say('rig.gauge', { name: gauge.name || gauge.id, at: say(`rig.at.${gauge.at}`) })))}
    ${part(say('rig.trips'), data.trips.map((trip) => say('rig.trip', { name: trip.name || trip.id, from: Date.parse(trip.starts_at) / 1000, until: Date.parse(trip.ends_at) / 1000 })))}
    <section><h2>${say('look.title')}</h2>${chips('look', say('look.legend'), LOOKS.map((look) => [look, say(`look.${look}`)]), app.look)}</section>
    <section><h2>${say('rig.files')}</h2><p id="problem" class="problem" role="alert"></p>
      ${app.rigs.length > 1 && chips('rig', say('rig.which'), app.rigs.map((rig) => [rig.id, rig.demo ? say('rig.demo_name', { name: rig.name }) : rig.name]), app.rigId)}
      <div class="stack">${filePicker(say('rig.open'))}
        ${!app.rigs.some((rig) => rig.demo) && html`<button type="button" data-act="demo">${say('first.demo')}</button>`}
        <button type="button" data-act="download">${say('rig.download')}</button>
        ${app.canInstall() && html`<button type="button" data-act="install">${say('rig.install')}</button>`}
        ${asked === app.rigId ? html`<div class="ask"><p>${say('rig.remove_sure', { name: data.rig.name })}</p><button type="button" data-act="keep">${say('rig.remove_no')}</button>
          <button type="button" data-act="remove-now">${say('rig.remove_yes')}</button></div>` : html`<button type="button" data-act="remove">${say('rig.remove')}</button>`}
      </div><p class="quiet">${say(app.persisted ? 'rig.persisted' : 'rig.not_persisted')}</p>
      <p><a href="/safe.html">${say('rig.safe')}</a></p></section>`;
}

const part = (title, lines) => (lines.length === 0 ? '' : html`<section><h2>${title}</h2><ul class="parts">${lines.map((line) => html`<li>${line}</li>`)}</ul></section>`);

function bankLine({ words: { say } }, bank) {
  const args = { kind: say(`chemistry.${bank.chemistry}`), capacity: bank.rated_ah, count: bank.in_parallel || 1, floor: bank.floor_soc };
  return say((bank.in_parallel || 1) > 1 ? 'rig.bank_parallel' : 'rig.bank', args);
}

function sourceLine({ words: { say, locale } }, source) {
  if (source.kind === 'solar') return say('rig.solar', { watts: decimal(source.panel_w, 0, locale), controller: say(`controller.${source.controller}`) });
  return say('rig.charger', { kind: say(`charge.${source.kind}`), amps: source.max_a });
}

function circuitLine({ words: { say, locale } }, circuit) {
  const draw = circuit.draw_a !== undefined ? say('rig.draw_a', { amps: circuit.draw_a }) : say('rig.draw_w', { watts: decimal(circuit.draw_w, 0, locale) });
  return say('rig.circuit', { name: circuit.name || circuit.id, draw, when: say(`use.${circuit.when || 'any'}`), feed: say(`feed.${circuit.feed}`) });
}
