// views/setup/guide.js - the guided path: one step on the page at a time, kept as it is typed, left and found again.
import { ASSETS } from '../../assets-map.js';
import { offsetS } from '../../clock.js';
import { draw, html } from '../../html.js';
import { readForm } from '../../parts/form.js';
import { newId } from '../../uuid7.js';
import { scoped } from './fields.js';
import { beginning, completed, exportOf, faultsOf, formsOf, STEPS, stepMarkup } from './steps.js';

export const DRAFT = 'setup';

/** The tables of units, and what else a form needs to read what was typed. */
export async function reading(app) {
  const tables = await (await fetch(ASSETS['units.json'])).json();
  // The zone's offset in winter: with summer time the clock is no guide to the longitude.
  const january = Date.UTC(new Date(app.now() * 1000).getUTCFullYear(), 0, 1) / 1000;
  const standard = (zone) => Math.min(offsetS(january, zone), offsetS(january + 181 * 86400, zone));
  return { tables, say: app.words.say, offsetS: standard };
}

export async function mount(root, app) {
  const [kept, context] = await Promise.all([app.draft(DRAFT), reading(app)]);
  const view = { app, root, context, draft: kept || beginning(app), faults: {}, resumed: Boolean(kept) };
  paint(view);
  root.addEventListener('input', () => hear(view));
  root.addEventListener('change', (event) => {
    hear(view);
    if (['radio', 'checkbox'].includes(event.target.type)) paint(view);
    judge(view, event.target.name);
  });
  root.addEventListener('click', (event) => press(view, event.target.closest('[data-act]')));
  root.addEventListener('submit', (event) => {
    event.preventDefault();
    next(view);
  });
  return { lead: 'h1' };
}

const contextOf = ({ context, draft }) => ({ ...context, nominalV: Number(draft['place.volts']) || 12 });

function hear(view) {
  const { app } = view;
  view.draft = completed(readForm(view.root.querySelector('form'), view.draft), app);
  keep(view);
}

function keep({ app, draft }) {
  app.store.saveDraft(DRAFT, draft).catch(() => app.keepElsewhere(DRAFT, draft));
}

/** Draws the step; what was open stays open, what had the focus has it again, and a fault is never hidden. */
function paint(view) {
  const { app, root, draft } = view;
  const { say } = app.words;
  const at = STEPS.indexOf(draft.step);
  const open = new Set(Array.from(root.querySelectorAll('details[open]'), (one) => one.dataset.key));
  const active = root.contains(document.activeElement) ? document.activeElement : null;
  const focused = active && active.name ? [active.name, active.type === 'text' ? null : active.value] : null;
  draw(root, html`<form novalidate autocomplete="off"><header class="form-head">${at > 0 ? html`<button type="button" class="small back" data-act="back">${say('setup.back')}</button>`
    : html`<a class="back" href="#/tonight">${say('form.back')}</a>`}<h1 tabindex="-1">${say(`setup.${draft.step}.title`)}</h1></header>
    <p class="quiet">${say('setup.step', { count: at + 1, all: STEPS.length })}</p>
    ${view.resumed && html`<p class="kept">${say('setup.kept')} <button type="button" data-act="afresh">${say('form.afresh')}</button></p>`}
    ${stepMarkup(app, draft.step, draft, view.faults)}<p class="problem" id="problem" role="alert"></p>
    <div class="action-bar"><button class="primary" type="submit">${say(at < STEPS.length - 1 ? 'setup.next' : 'setup.finish')}</button></div></form>`);
  for (const details of root.querySelectorAll('details')) details.open = open.has(details.dataset.key) || Boolean(details.querySelector('[aria-invalid], .problem:not(:empty)'));
  if (focused) {
    const [name, value] = focused;
    Array.from(root.querySelectorAll('input')).find((one) => one.name === name && (value === null || one.value === value))?.focus({ preventScroll: true });
  }
}

async function press(view, button) {
  if (!button) return;
  const { act, id } = button.dataset;
  if (act === 'back') turnTo(view, STEPS[STEPS.indexOf(view.draft.step) - 1]);
  if (act === 'afresh') {
    await view.app.dropDraft(DRAFT);
    Object.assign(view, { draft: beginning(view.app), resumed: false, faults: {} });
    paint(view);
  }
  if (act === 'own' || act === 'drop') {
    const { owns } = view.draft;
    const number = Number((owns[owns.length - 1] || 'own0').slice(3)) + 1;
    const changed = { ...view.draft, owns: act === 'own' ? [...owns, `own${number}`] : owns.filter((one) => one !== id) };
    if (act === 'drop') for (const name of Object.keys(changed)) if (name.startsWith(`c-${id}.`)) delete changed[name];
    view.draft = completed(changed, view.app);
    keep(view);
    paint(view);
    if (act === 'own') {
      const details = view.root.querySelector(`details[data-key="c-own${number}"]`);
      details.open = true;
      details.querySelector('input[type=text]').focus();
    }
  }
}

function turnTo(view, step) {
  view.draft = { ...view.draft, step };
  Object.assign(view, { faults: {}, resumed: false });
  keep(view);
  paint(view);
  window.scrollTo(0, 0);
  view.root.querySelector('h1').focus({ preventScroll: true });
}

async function next(view) {
  hear(view);
  const { draft } = view;
  if (faulty(view, draft.step)) return;
  const following = STEPS[STEPS.indexOf(draft.step) + 1];
  if (following) {
    turnTo(view, following);
    return;
  }
  // What was read at 12 V may not hold at 24 V, and the place decides where the sun is: all of it once more.
  const wrong = STEPS.find((step) => Object.keys(faultsOf(step, draft, contextOf(view))).length > 0);
  if (wrong) {
    turnTo(view, wrong);
    faulty(view, wrong);
    return;
  }
  const button = view.root.querySelector('.action-bar button');
  button.disabled = true;
  try {
    await view.app.makeRig(exportOf(draft, contextOf(view), newId));
  } catch (error) {
    button.disabled = false;
    view.root.querySelector('#problem').textContent = error.code && error.args ? view.app.words.say(error.code, error.args) : view.app.words.say('store.refused', { reason: error.name });
  }
}

/** Shows what cannot be read in a step, and takes the person there. @returns {boolean} whether there is such a thing */
function faulty(view, step) {
  view.faults = faultsOf(step, view.draft, contextOf(view));
  const found = Object.keys(view.faults).length > 0;
  if (found) {
    for (const [prefix, faults] of Object.entries(view.faults)) {
      // Unusual is not impossible: said once, the same figure is taken the second time.
      if (faults.draw && faults.draw.code === 'setup.fault.unusual') view.draft[`${prefix}.sure`] = view.draft[`${prefix}.draw`];
    }
    paint(view);
    const first = view.root.querySelector('[aria-invalid]') || view.root.querySelector('.problem:not(:empty)');
    first.scrollIntoView({ block: 'center' });
    if (first.matches('input')) first.focus({ preventScroll: true });
  }
  return found;
}

/** Whether the fuse guards the wire, by the model's tables, as soon as both are typed. */
async function judge(view, name) {
  const prefix = name && name.startsWith('c-') ? name.split('.')[0] : null;
  const form = prefix && formsOf('circuits', view.draft).find(([one]) => one === prefix);
  if (!form) return;
  const { set, faults } = form[1].read(scoped(view.draft, prefix), contextOf(view));
  const place = view.root.querySelector(`details[data-key="${prefix}"] [data-judged]`);
  if (!place) return;
  place.textContent = '';
  if (Object.keys(faults).length > 0 || !set.fuse_a || !(set.wire_awg || set.wire_mm2)) return;
  const plain = Object.fromEntries(Object.entries({ id: 'one', ...set }).filter(([, value]) => value !== null));
  try {
    const { sheet } = await view.app.energy.sum('sheet', { export: { rig: { nominal_v: contextOf(view).nominalV }, banks: [{ chemistry: view.draft['bank.chemistry'], rated_ah: 100 }], circuits: [plain] } });
    const { us, eu } = sheet.circuits[0].fuse_protects;
    const guards = us !== false && eu !== false;
    place.className = guards ? 'quiet' : 'caution';
    place.textContent = view.app.words.say(guards ? 'setup.circuit.guarded' : 'setup.circuit.unguarded', { fuse: set.fuse_a });
  } catch (error) {
    place.textContent = view.app.words.say('setup.circuit.unjudged', { reason: error.message });
  }
}
