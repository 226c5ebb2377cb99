// views/setup/add.js - a part of the rig added, described anew or taken out; a battery replaced or joined by another on a
// date, so that the log before that date is judged by the old one.
import { bankOn } from '../../circumstances.js';
import { dayOf } from '../../clock.js';
import { draw, html } from '../../html.js';
import { chips, heading, problem, readForm, saveAndLeave, saveBar } from '../../parts/form.js';
import { LOADS } from '../../typical-loads.js';
import { newId } from '../../uuid7.js';
import { circuit } from './circuit.js';
import { prefixed, scoped } from './fields.js';
import { reading } from './guide.js';
import { alternator, battery, shore, solar } from './power.js';
import { gauge, place, selector } from './rig.js';

const FORMS = { bank: battery, more: battery, solar, alternator, shore, circuit, gauge, selector, rig: place };
const LISTS = { bank: 'banks', solar: 'sources', alternator: 'sources', shore: 'sources', circuit: 'circuits', gauge: 'gauges' };

export async function mount(root, app, [kind, id]) {
  if (!FORMS[kind]) {
    draw(root, index(app));
    return { lead: 'h1' };
  }
  const held = rowOf(app, kind, id);
  if (id && !held) {
    location.hash = '#/add';
    return { lead: 'h1' };
  }
  const draftKey = `${app.rigId}/add/${kind}/${id || 'new'}`;
  const [kept, context] = await Promise.all([app.draft(draftKey), reading(app)]);
  const view = { app, root, kind, id, held, draftKey, faults: {}, asked: false,
    context: { ...context, nominalV: app.data.rig.nominal_v || 12, latDeg: app.data.rig.lat_deg }, draft: kept || begin(app, kind, held) };
  paint(view);
  root.addEventListener('input', () => hear(view));
  root.addEventListener('change', (event) => {
    if (event.target.name === 'kind') view.draft = { kind: event.target.value, ...prefixed(circuit.begin(null, app, event.target.value), 'part') };
    if (['radio', 'checkbox'].includes(event.target.type)) repaint(view, event.target);
  });
  root.addEventListener('click', (event) => press(view, event.target.closest('[data-act]')));
  root.addEventListener('submit', (event) => {
    event.preventDefault();
    save(view);
  });
  return { lead: 'h1' };
}

/** What there is, and what may come to it. */
function index(app) {
  const { say } = app.words;
  const { data } = app;
  const parts = [...data.banks.map((one) => ['bank', one.id, say(`chemistry.${one.chemistry}`)]),
    ...data.sources.map((one) => [one.kind, one.id, say(one.kind === 'solar' ? 'setup.solar.title' : `charge.${one.kind}`)]),
    ...data.circuits.map((one) => ['circuit', one.id, one.name || one.id]), ...data.gauges.map((one) => ['gauge', one.id, one.name || one.id])];
  const link = (to, text) => html`<li><a href="#/add/${to}">${text}</a></li>`;
  return html`<header class="form-head"><a class="back" href="#/rig">${say('form.back')}</a><h1 tabindex="-1">${say('setup.add.title')}</h1></header>
    <section><h2>${say('setup.add.new')}</h2><ul class="rows">${['circuit', 'solar', 'alternator', 'shore', 'gauge'].map((kind) => link(kind, say(`setup.add.${kind}`)))}
      ${link('bank', say('setup.add.bank'))}${link('more', say('setup.add.more'))}</ul></section>
    <section><h2>${say('setup.add.change')}</h2><ul class="rows">${link('rig', say('setup.add.rig'))}${link('selector', say('setup.add.selector'))}
      ${parts.map(([kind, id, name]) => link(`${kind}/${encodeURIComponent(id)}`, name))}</ul></section>`;
}

function rowOf({ data }, kind, id) {
  if (kind === 'rig') return data.rig;
  if (kind === 'selector') return data.selector || null;
  return (id && data[LISTS[kind]].find((one) => one.id === id)) || null;
}

function begin(app, kind, held) {
  if (kind !== 'more') return { kind: held && held.load ? held.load : 'own', ...prefixed(FORMS[kind].begin(held, app, 'own'), 'part') };
  const today = dayOf(app.now(), app.zone());
  const fields = battery.begin(bankOn(app.data, today), app);
  return prefixed({ ...fields, count: String(Number(fields.count) + 1), since: today }, 'part');
}

function paint({ app, root, kind, id, draft, faults, asked }) {
  const { say } = app.words;
  const removable = id && (kind !== 'bank' || app.data.banks.length > 1);
  draw(root, html`<form novalidate autocomplete="off">${heading(app, say(id ? 'setup.add.change' : `setup.add.${kind}`))}
    ${['bank', 'more'].includes(kind) && !id && html`<p>${say('setup.add.bank_note')}</p>`}
    ${kind === 'circuit' && !id && chips('kind', say('setup.circuits.pick'), [...LOADS.map((load) => [load.id, say(`setup.load.${load.id}`)]), ['own', say('setup.load.own')]], draft.kind)}
    ${FORMS[kind].markup(app, scoped(draft, 'part'), faults, 'part')}${problem('')}
    ${removable && (asked ? html`<div class="ask"><p>${say('setup.add.remove_sure')}</p><button type="button" data-act="keep">${say('setup.add.keep')}</button>
      <button type="button" data-act="remove-now">${say('setup.add.remove_yes')}</button></div>` : html`<button type="button" data-act="remove">${say('setup.add.remove')}</button>`)}
    ${saveBar(say('form.save'))}</form>`);
  root.querySelector('.back').setAttribute('href', '#/add');
  for (const details of root.querySelectorAll('details')) details.open = kind === 'more' || kind === 'bank' || Boolean(details.querySelector('[aria-invalid]'));
}

function hear(view) {
  view.draft = readForm(view.root.querySelector('form'), view.draft);
  view.app.store.saveDraft(view.draftKey, view.draft).catch(() => view.app.keepElsewhere(view.draftKey, view.draft));
}

function repaint(view, { name, value }) {
  paint(view);
  Array.from(view.root.querySelectorAll('input')).find((one) => one.name === name && one.value === value)?.focus({ preventScroll: true });
}

async function press(view, button) {
  if (!button) return;
  const { act } = button.dataset;
  const { app, root, kind, id } = view;
  if (act === 'remove' || act === 'keep') {
    view.asked = act === 'remove';
    paint(view);
    root.querySelector(view.asked ? '[data-act=keep]' : '[data-act=remove]').focus();
  }
  if (act !== 'remove-now') return;
  if (await spokenOf(app, id)) {
    root.querySelector('#problem').textContent = app.words.say('setup.fault.in_log');
    return;
  }
  await saveAndLeave(app, root, [{ tbl: FORMS[kind].tbl, row: id, set: { deleted: true } }], { draft: view.draftKey, done: { code: 'setup.add.removed', args: {} }, leave: '#/rig' });
}

/** Whether an entry of the log speaks of a part; without the part the entry could not be read again. */
async function spokenOf(app, id) {
  const whole = await app.store.exportRig(app.rigId);
  const log = [...whole.readings, ...whole.uses, ...whole.charges, ...whole.events, ...whole.gauges, ...whole.trips];
  return log.some((entry) => entry.id !== id && JSON.stringify(entry).includes(JSON.stringify(id)));
}

async function save(view) {
  hear(view);
  const { app, root, kind, id, draft, context } = view;
  const { set, faults } = FORMS[kind].read(scoped(draft, 'part'), context);
  view.faults = faults;
  if (Object.keys(faults).length > 0) {
    if (faults.draw && faults.draw.code === 'setup.fault.unusual') draft['part.sure'] = draft['part.draw'];
    paint(view);
    const first = root.querySelector('[aria-invalid]') || root.querySelector('.problem:not(:empty)');
    first.scrollIntoView({ block: 'center' });
    if (first.matches('input')) first.focus({ preventScroll: true });
    return;
  }
  await saveAndLeave(app, root, changesOf(app, kind, id, set), { draft: view.draftKey, done: { code: 'setup.add.saved', args: {} }, leave: '#/rig' });
}

const without = (record, names) => Object.fromEntries(Object.entries(record).filter(([name]) => !names.includes(name)));

/** @returns {Array<{tbl: string, row: string, set: object}>} a new battery also ends the time of the one before */
function changesOf(app, kind, id, set) {
  const { tbl } = FORMS[kind];
  if (kind === 'rig') return [{ tbl, row: app.rigId, set }];
  if (kind === 'selector') return [{ tbl, row: 'selector', set: set ? { ...set, deleted: null } : { deleted: true } }];
  const row = id || newId();
  const held = rowOf(app, kind, id);
  if (held && held.typed && 'typed' in set) set.typed = { ...without(held.typed, ['draw_a', 'draw_w', 'wire']), ...set.typed }; // lengths are not asked here
  if (tbl !== 'bank' || id) return [{ tbl, row, set }];
  const from = set.installed_on || dayOf(app.now(), app.zone());
  const before = bankOn(app.data, from);
  return [{ tbl, row: before.id, set: { removed_on: from } }, { tbl, row, set: { ...set, installed_on: from } }];
}
