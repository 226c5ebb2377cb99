// views/setup/steps.js - the guided path as data: which forms each step shows, in the order a builder thinks, and the rig
// that they add up to. Pure: the draft comes in, an export goes out.
import { html } from '../../html.js';
import { chips } from '../../parts/form.js';
import { LOADS } from '../../typical-loads.js';
import { circuit } from './circuit.js';
import { prefixed, scoped } from './fields.js';
import { alternator, battery, shore, solar } from './power.js';
import { gauge, place, selector } from './rig.js';

export const STEPS = ['bank', 'solar', 'others', 'selector', 'circuits', 'gauge', 'place'];
const FORMS = { bank: battery, solar, alternator, shore, selector, gauge, place };
const INVERTER_IDLE_W = 6; // of a small one while on: 1.5-12 W as owners have measured

/** @returns {object} the draft of a rig that nobody has described yet */
export function beginning(app) {
  const draft = { step: 'bank', 'solar.has': 'yes', 'others.kinds': [], picked: [], owns: [] };
  for (const [prefix, form] of Object.entries(FORMS)) Object.assign(draft, prefixed(form.begin(null, app), prefix));
  return draft;
}

/** Circuits that are picked and have no fields yet get their usual ones. */
export function completed(draft, app) {
  const full = { ...draft };
  for (const id of circuitIds(draft)) if (!(`c-${id}.kind` in full)) Object.assign(full, prefixed(circuit.begin(null, app, id.startsWith('own') ? 'own' : id), `c-${id}`));
  return full;
}

export const circuitIds = (draft) => [...LOADS.map((load) => load.id).filter((id) => draft.picked.includes(id)), ...draft.owns];

/** The forms of a step that stand on the page now: [prefix, form]. */
export function formsOf(step, draft) {
  if (step === 'circuits') return circuitIds(draft).map((id) => [`c-${id}`, circuit]);
  if (step === 'others') return draft['others.kinds'].map((kind) => [kind, FORMS[kind]]);
  if (step === 'solar') return draft['solar.has'] === 'yes' ? [['solar', solar]] : [];
  return [[step, FORMS[step]]];
}

/** @param {object} faults prefix -> {name: {code, args}} */
export function stepMarkup(app, step, draft, faults) {
  const { say } = app.words;
  const body = formsOf(step, draft).map(([prefix, form]) => [prefix, form.markup(app, scoped(draft, prefix), faults[prefix] || {}, prefix)]);
  const yesNo = (name, value) => chips(name, say('setup.solar.has'), [['yes', say('setup.solar.has.yes')], ['no', say('setup.solar.has.no')]], value);
  if (step === 'solar') return html`${yesNo('solar.has', draft['solar.has'])}${body.map(([, markup]) => markup)}`;
  if (step === 'others') {
    const kinds = ['alternator', 'shore'].map((kind) => [kind, say(`setup.others.${kind}`)]);
    return html`${chips('others.kinds', say('setup.others.kinds'), kinds, draft['others.kinds'], { many: true, note: say('setup.others.note') })}
      ${body.map(([prefix, markup]) => html`<section><h2>${say(`charge.${prefix}`)}</h2>${markup}</section>`)}`;
  }
  if (step === 'circuits') {
    return html`${chips('picked', say('setup.circuits.pick'), LOADS.map((load) => [load.id, say(`setup.load.${load.id}`)]), draft.picked, { many: true, note: say('setup.circuits.note') })}
      <p class="problem" id="circuits-problem" role="alert">${faults.circuits ? say(faults.circuits.code) : ''}</p>
      ${body.map(([prefix, markup]) => html`<details data-key="${prefix}"><summary>${summaryOf(app, scoped(draft, prefix))}</summary>${markup}
        ${prefix.startsWith('c-own') && html`<button type="button" data-act="drop" data-id="${prefix.slice(2)}">${say('setup.circuits.drop')}</button>`}</details>`)}
      <button type="button" data-act="own">${say('setup.circuits.own')}</button>`;
  }
  return body.map(([, markup]) => markup);
}

function summaryOf({ words: { say } }, fields) {
  const load = LOADS.find((one) => one.id === fields.kind);
  return say('setup.circuits.line', { name: fields.name || say('setup.circuits.unnamed'), draw: fields.draw || (load ? load.draw : '…'), when: say(`use.${fields.when}`) });
}

/** @returns {object} prefix -> faults, of one step; empty when all of it can be read */
export function faultsOf(step, draft, context) {
  const found = {};
  for (const [prefix, form] of formsOf(step, draft)) {
    const { faults } = form.read(scoped(draft, prefix), context);
    if (Object.keys(faults).length > 0) found[prefix] = faults;
  }
  if (step === 'circuits' && circuitIds(draft).length === 0) found.circuits = { code: 'setup.fault.no_circuit' };
  return found;
}

/**
 * The rig that the draft describes, as an export without a log.
 * @param {object} draft whose steps have no faults @param {object} context @param {() => string} newId
 */
export function exportOf(draft, context, newId) {
  const read = (prefix, form) => stripped(form.read(scoped(draft, prefix), context).set);
  const rig = read('place', place);
  const here = { ...context, latDeg: rig.lat_deg };
  const circuits = formsOf('circuits', draft).map(([prefix, form]) => ({ id: newId(), ...read(prefix, form) }));
  const sources = [...formsOf('solar', draft), ...formsOf('others', draft)].map(([prefix, form]) => ({ id: newId(), ...stripped(form.read(scoped(draft, prefix), here).set) }));
  const chosen = selector.read(scoped(draft, 'selector'), context).set;
  return {
    format: 'daybank-export/1', rig, banks: [{ id: newId(), ...read('bank', battery) }], sources, circuits,
    ...(circuits.some((one) => one.through_inverter) && { inverters: [{ id: newId(), idle_w: INVERTER_IDLE_W, idle_from: 'guess' }] }),
    gauges: [{ id: newId(), ...read('gauge', gauge) }], ...(chosen && { selector: chosen }),
  };
}

/** Without what is not known: in a file an absent field says so. */
export const stripped = (set) => Object.fromEntries(Object.entries(set).filter(([, value]) => value !== null && value !== undefined));
