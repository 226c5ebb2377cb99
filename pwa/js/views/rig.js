// views/rig.js - the rig as a drawing whose parts open, the rigs on this phone, files in and out, and the look of the pages.
import { bankOn } from '../circumstances.js';
import { dayOf } from '../clock.js';
import { draw, html } from '../html.js';
import { filePicker, listenForFile } from '../parts/file-picker.js';
import { chips } from '../parts/form.js';
import { layOut, rigDrawing } from '../parts/rig-drawing.js';
import { rigSheet } from './part.js';

const LOOKS = ['auto', 'day', 'dark', 'night'];

export function mount(root, app) {
  const { say } = app.words;
  let asked = null; // the rig whose removal waits for a second tap
  let sheet = null;
  const update = () => draw(root, page(app, asked, sheet));
  update();
  rigSheet(app).then((found) => {
    sheet = found;
    if (root.isConnected) draw(root.querySelector('#drawing'), drawing(app, sheet));
  }, () => {}); // the drawing stands without its figures; a part's own page says why they are missing
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

function page(app, asked, sheet) {
  const { say } = app.words;
  const { data } = app;
  return html`<h1 tabindex="-1">${data.rig.name}</h1><p class="quiet">${say('drawing.tap')}</p>
    <div id="drawing">${drawing(app, sheet)}</div>
    <ul class="rows"><li><a href="#/add">${say('setup.add.title')}</a></li><li><a href="#/commissioning">${say('commissioning.title')}</a></li><li><a href="#/labels">${say('labels.title')}</a></li><li><a href="#/handover">${say('handover.title')}</a></li></ul>
    ${part(say('rig.trips'), data.trips.map((trip) => say('rig.trip', { name: trip.name || trip.id, from: Date.parse(trip.starts_at) / 1000, until: Date.parse(trip.ends_at) / 1000 })))}
    <section><h2>${say('look.title')}</h2>${chips('look', say('look.legend'), LOOKS.map((look) => [look, say(`look.${look}`)]), app.look)}</section>
    <section><h2>${say('rig.files')}</h2><p id="problem" class="problem" role="alert"></p>
      ${app.rigs.length > 1 && chips('rig', say('rig.which'), app.rigs.map((rig) => [rig.id, rig.demo ? say('rig.demo_name', { name: rig.name }) : rig.name]), app.rigId)}
      <div class="stack"><a class="file-button" href="#/setup">${say('setup.another')}</a>${filePicker(say('rig.open'))}
        ${!app.rigs.some((rig) => rig.demo) && html`<button type="button" data-act="demo">${say('first.demo')}</button>`}
        <button type="button" data-act="download">${say('rig.download')}</button>
        ${app.canInstall() && html`<button type="button" data-act="install">${say('rig.install')}</button>`}
        ${asked === app.rigId ? html`<div class="ask"><p>${say('rig.remove_sure', { name: data.rig.name })}</p><button type="button" data-act="keep">${say('rig.remove_no')}</button>
          <button type="button" data-act="remove-now">${say('rig.remove_yes')}</button></div>` : html`<button type="button" data-act="remove">${say('rig.remove')}</button>`}
      </div><p class="quiet">${say(app.persisted ? 'rig.persisted' : 'rig.not_persisted')}</p>
      <p><a href="/safe.html">${say('rig.safe')}</a></p></section>`;
}

const part = (title, lines) => (lines.length === 0 ? '' : html`<section><h2>${title}</h2><ul class="parts">${lines.map((line) => html`<li>${line}</li>`)}</ul></section>`);

const drawing = (app, sheet) => rigDrawing(app, layOut(app.data, bankOn(app.data, dayOf(app.now(), app.zone()))), sheet);
