// views/csv.js - the logbook as CSV files: out, and in again. What a file would add and what of it is refused stand on the
// page before anything is written.
import { dayOf } from '../clock.js';
import { draw, html } from '../html.js';
import { KINDS, read, TBL_OF, write } from '../logbook-csv.js';
import { chips } from '../parts/form.js';
import { saveFile } from '../parts/save-file.js';
import { newId } from '../uuid7.js';

const SHOWN = 20; // refused lines told one by one

export async function mount(root, app) {
  const { say } = app.words;
  let plan = null;
  let fault = '';
  let kind = 'readings';
  const paint = () => draw(root, page(say, { plan, fault, kind }));
  paint();
  root.addEventListener('change', async (event) => {
    if (event.target.name === 'kind') kind = event.target.value;
    const file = event.target.type === 'file' && event.target.files[0];
    if (!file) return;
    plan = null;
    fault = '';
    try {
      const text = await file.text();
      const held = Object.fromEntries(await Promise.all(Object.keys(KINDS).map(async (name) => [name, await app.store.rowsOf(app.rigId, TBL_OF[name], { deleted: true })])));
      plan = read(text, app.data, (name) => held[name], app.now(), newId);
    } catch (error) {
      fault = error.code && error.args ? say(error.code, error.args) : say('store.refused', { reason: error.name });
    }
    paint();
    root.querySelector('#plan').focus();
  });
  root.addEventListener('click', async (event) => {
    const { act } = (event.target.closest('[data-act]') || { dataset: {} }).dataset;
    if (act === 'out') {
      const data = await app.store.exportRig(app.rigId);
      saveFile(`daybank-${kind}-${dayOf(app.now(), app.zone())}.csv`, write(data, kind), 'text/csv');
    }
    if (act === 'drop') {
      plan = null;
      paint();
    }
    if (act === 'write') {
      const { name, adds } = plan;
      try {
        const undo = await app.save(adds.map(({ row, set }) => ({ tbl: TBL_OF[name], row, set })));
        plan = null;
        paint();
        app.toast({ code: 'csv.written', args: { n: adds.length }, undo });
      } catch (error) {
        fault = say('store.refused', { reason: error.name || String(error) });
        paint();
      }
    }
  });
  return { lead: 'h1' };
}

function page(say, { plan, fault, kind }) {
  return html`<header class="form-head"><a class="back" href="#/logbook">${say('form.back')}</a><h1 tabindex="-1">${say('csv.title')}</h1></header>
    <section><h2>${say('csv.out')}</h2>${chips('kind', say('csv.which'), Object.keys(KINDS).map((name) => [name, say(`csv.kind.${name}`)]), kind)}
    <p><button type="button" data-act="out">${say('csv.save')}</button></p></section>
    <section><h2>${say('csv.in')}</h2><p>${say('csv.how')}</p><label class="file-button"><input type="file" accept=".csv,text/csv,text/plain"><span>${say('csv.choose')}</span></label>
    <div id="plan" tabindex="-1"><p class="problem" role="alert">${fault}</p>${plan && preview(say, plan)}</div></section>`;
}

function preview(say, { name, adds, same, kept, refused }) {
  return html`<div class="ask"><p><b>${say('csv.adds', { n: adds.length, count: adds.length, kind: say(`csv.kind.${name}`) })}</b></p>
    ${same > 0 && html`<p>${say('csv.same', { n: same, count: same })}</p>`}${kept > 0 && html`<p>${say('csv.kept', { n: kept, count: kept })}</p>`}
    ${refused.length > 0 && html`<p><b>${say('csv.refused', { n: refused.length, count: refused.length })}</b></p><ul>${refused.slice(0, SHOWN).map(({ line, code, args }) => html`<li>${say('csv.line', { line, why: say(code, args) })}</li>`)}
      ${refused.length > SHOWN && html`<li>${say('csv.more_refused', { n: refused.length - SHOWN, count: refused.length - SHOWN })}</li>`}</ul>`}
    ${adds.length > 0 && html`<button type="button" class="primary" data-act="write">${say('csv.write', { n: adds.length, count: adds.length })}</button>`}
    <button type="button" data-act="drop">${say('csv.drop')}</button></div>`;
}
