// views/commissioning.js - the first inspection of a new or inherited rig: seven steps, each saved by itself, so that it
// can be left and taken up again. What is measured becomes readings and parts of the rig, which the model reads; the
// rest becomes findings, which later checks compare with.
import { iso } from '../clock.js';
import { draw, flag, html } from '../html.js';
import { decimal, parseDecimal, plausibleVolts } from '../numbers.js';
import { chips, readForm } from '../parts/form.js';
import { nameOf, paint as paintPhoto, small } from '../photos.js';
import { newId } from '../uuid7.js';

const STEPS = ['leads', 'full', 'meter', 'standby', 'drop', 'settings', 'labels'];
const JOINT_MOST_V = 0.1; // lost in a joint that carries much: attributed to SAE in a vehicle workshop manual
const STANDBY_EXTRA_A = 0.05; // more than the known standing draws and this is worth a look: vehicle workshop manuals, 20-50 mA
const RESTED = [['0.1', 'moment'], ['1', 'one'], ['4', 'four'], ['12', 'twelve']];

export async function mount(root, app) {
  const { say } = app.words;
  const draftKey = `${app.rigId}/commissioning`;
  const drafts = (await app.draft(draftKey)) || {};
  let kept = await findings(app);
  let open = STEPS.find((step) => !done(kept, step));
  let fault = null; // {step, field, code, args}
  const paint = () => {
    draw(root, page(app, { drafts, kept, open, fault }));
    showPhoto(root, app, drafts, kept);
  };
  const keep = () => app.store.saveDraft(draftKey, drafts).catch(() => app.keepElsewhere(draftKey, drafts));
  paint();

  root.addEventListener('toggle', (event) => { if (event.target.open) open = event.target.dataset.step; }, true);
  root.addEventListener('input', (event) => {
    const form = event.target.closest('form');
    if (!form || event.target.type === 'file') return;
    drafts[form.dataset.step] = readForm(form, drafts[form.dataset.step]);
    keep();
  });
  root.addEventListener('change', async (event) => {
    const file = event.target.type === 'file' && event.target.files[0];
    if (!file) return;
    const place = root.querySelector('#settings-problem');
    try {
      const blob = await small(file);
      const name = await nameOf(blob);
      await app.store.savePhoto(app.rigId, name, blob);
      drafts.settings = { ...drafts.settings, photo: name };
      keep();
      place.textContent = '';
      showPhoto(root, app, drafts, kept);
    } catch (error) {
      place.textContent = say('commissioning.no_photo', { reason: error.message || error.name });
    }
    event.target.value = '';
  });
  root.addEventListener('submit', async (event) => {
    event.preventDefault();
    const { step } = event.target.dataset;
    const draft = readForm(event.target, drafts[step]);
    const result = READ[step](app, draft);
    fault = result.code ? { step, ...result } : null;
    open = step;
    if (fault) {
      paint();
      root.querySelector(`form[data-step=${step}] [name=${fault.field}]`)?.focus();
      return;
    }
    try {
      const undo = await app.save(result.changes);
      if (step !== 'drop') delete drafts[step];
      else drafts.drop = { ...draft, name: '', mv: '' }; // the next joint is often measured at the same amps
      await keep();
      kept = await findings(app);
      open = step === 'drop' ? 'drop' : STEPS.find((one) => !done(kept, one));
      paint();
      root.querySelector(open ? `details[data-step=${open}] summary` : 'h1').focus();
      app.toast({ code: 'commissioning.saved', args: { what: say(`commissioning.step.${step}`) }, undo: async () => {
        await undo();
        kept = await findings(app);
        if (root.isConnected) paint();
      } });
    } catch (error) {
      root.querySelector(`#${step}-problem`).textContent = say('store.refused', { reason: error.name || String(error) });
    }
  });
  return { lead: 'h1' };
}

async function findings(app) {
  return (await app.store.rowsOf(app.rigId, 'finding')).filter((one) => String(one.check_id || '').startsWith('commissioning.'));
}

const of = (kept, step) => kept.filter((one) => one.check_id === `commissioning.${step}`);
const done = (kept, step) => of(kept, step).some((one) => one.result !== 'fail');

function page(app, { drafts, kept, open, fault }) {
  const { say } = app.words;
  const count = STEPS.filter((step) => done(kept, step)).length;
  return html`<header class="form-head"><a class="back" href="#/rig">${say('form.back')}</a><h1 tabindex="-1">${say('commissioning.title')}</h1></header>
    <p>${say('commissioning.what')}</p><p class="status" role="status">${say(count === STEPS.length ? 'commissioning.all_done' : 'commissioning.progress', { done: count, of: STEPS.length })}</p>
    ${STEPS.map((step, i) => html`<details class="step" data-step="${step}"${flag('open', step === open)}><summary><span>${done(kept, step) ? '✓' : `${i + 1}.`} ${say(`commissioning.step.${step}`)}</span></summary>
      ${of(kept, step).map((one) => html`<p class="derived">${outcome(app, step, one)}</p>`)}
      <p>${say(`commissioning.how.${step}`)}</p><p class="caution">${say(`commissioning.care.${step}`)}</p>
      <form novalidate autocomplete="off" data-step="${step}">${BODY[step](app, drafts[step] || {})}
      <p class="field-problem" id="${step}-problem" role="alert">${fault && fault.step === step && say(fault.code, fault.args)}</p>
      <button type="submit">${say(step === 'drop' ? 'commissioning.save_joint' : 'commissioning.save_step')}</button></form></details>`)}`;
}

const typed = (say, name, draft) => html`<label class="field"><span>${say(`commissioning.field.${name}`)}</span><input type="text" name="${name}" inputmode="${['note', 'name'].includes(name) ? 'text' : 'decimal'}" value="${draft[name] || ''}"></label>`;
const verdict = (say, draft) => chips('result', say('commissioning.verdict'), [['pass', say('commissioning.pass')], ['fail', say('commissioning.fail')]], draft.result || null);

const BODY = {
  leads: ({ words: { say } }, draft) => html`${verdict(say, draft)}${typed(say, 'note', draft)}`,
  full: ({ words: { say } }, draft) => html`${typed(say, 'full_volts', draft)}${typed(say, 'tail_amps', draft)}`,
  meter: (app, draft) => {
    const { say } = app.words;
    const panels = app.data.gauges.filter((gauge) => gauge.at === 'panel');
    if (panels.length === 0) return html`<p>${say('commissioning.no_gauge')}</p>`;
    return html`${panels.length > 1 && chips('gauge', say('commissioning.which_gauge'), panels.map((gauge) => [gauge.id, gauge.name || gauge.id]), draft.gauge || panels[0].id)}
      ${typed(say, 'posts_volts', draft)}${typed(say, 'panel_volts', draft)}
      ${chips('state', say('commissioning.meanwhile'), ['rested', 'loaded', 'charging'].map((state) => [state, say(`state.${state}`)]), draft.state || 'rested')}
      ${chips('rested', say('commissioning.rested'), RESTED.map(([hours, key]) => [hours, say(`commissioning.rested.${key}`)]), draft.rested || '0.1')}`;
  },
  standby: ({ words: { say } }, draft) => html`${typed(say, 'standby_amps', draft)}${typed(say, 'standby_volts', draft)}`,
  drop: ({ words: { say } }, draft) => html`${typed(say, 'name', draft)}${typed(say, 'mv', draft)}${typed(say, 'amps', draft)}`,
  settings: (app, draft) => {
    const { say, locale } = app.words;
    const solar = app.data.sources.find((source) => source.kind === 'solar');
    const shown = (name) => draft[name] ?? (solar && solar[name] !== undefined ? decimal(solar[name], 2, locale) : '');
    return html`${solar ? html`${typed(say, 'absorption_v', { absorption_v: shown('absorption_v') })}${typed(say, 'float_v', { float_v: shown('float_v') })}` : html`<p>${say('commissioning.no_solar')}</p>`}
      <label class="file-button"><input type="file" accept="image/*" capture="environment"><span>${say('commissioning.photo')}</span></label><canvas class="photo" hidden role="img" aria-label="${say('commissioning.photo_of')}"></canvas>`;
  },
  labels: ({ words: { say } }) => html`<p><a href="#/labels">${say('labels.title')}</a></p>`,
};

/** What a step's form makes: changes to write, or the field that is at fault. */
const READ = {
  leads(app, draft) {
    if (!draft.result) return { field: 'result', code: 'commissioning.fault.choose', args: {} };
    return { changes: [finding(app, 'leads', { result: draft.result, note: (draft.note || '').trim() || null })] };
  },
  full(app, draft) {
    const volts = number(app, draft, 'full_volts', { optional: true, volts: true });
    const amps = number(app, draft, 'tail_amps', { optional: true, low: 0, high: 100 });
    if (volts.code || amps.code) return volts.code ? volts : amps;
    const reading = { at: now(app), state: 'full', ...(volts.value === undefined ? {} : { volts: volts.value }) };
    return { changes: [{ tbl: 'reading', row: newId(), set: reading }, finding(app, 'full', { result: 'measured', volts: volts.value ?? null, tail_a: amps.value ?? null })] };
  },
  meter(app, draft) {
    const panels = app.data.gauges.filter((gauge) => gauge.at === 'panel');
    if (panels.length === 0) return { changes: [finding(app, 'meter', { result: 'none' })] };
    const posts = number(app, draft, 'posts_volts', { volts: true });
    const panel = number(app, draft, 'panel_volts', { volts: true });
    if (posts.code || panel.code) return posts.code ? posts : panel;
    const { changes, id } = handMeter(app);
    const same = { at: now(app), state: draft.state, ...(draft.state === 'rested' ? { rested_h: Number(draft.rested), on: [] } : {}) };
    const gauge = draft.gauge || panels[0].id;
    return { changes: [...changes, { tbl: 'reading', row: newId(), set: { ...same, volts: posts.value, gauge_id: id } }, { tbl: 'reading', row: newId(), set: { ...same, volts: panel.value, gauge_id: gauge } },
      finding(app, 'meter', { result: 'measured', gauge_id: gauge, posts_v: posts.value, panel_v: panel.value })] };
  },
  standby(app, draft) {
    const amps = number(app, draft, 'standby_amps', { low: 0, high: 10 });
    const volts = number(app, draft, 'standby_volts', { volts: true });
    if (amps.code || volts.code) return amps.code ? amps : volts;
    const { changes, id } = handMeter(app);
    const off = app.data.circuits.filter((circuit) => circuit.when !== 'always').map((circuit) => circuit.id);
    return { changes: [...changes, { tbl: 'reading', row: newId(), set: { at: now(app), state: 'rested', rested_h: 0.1, volts: volts.value, amps: amps.value, gauge_id: id, on: [], off } },
      finding(app, 'standby', { result: 'measured', amps: amps.value, known_a: standing(app) })] };
  },
  drop(app, draft) {
    const name = (draft.name || '').trim();
    if (!name) return { field: 'name', code: 'commissioning.fault.name', args: {} };
    const mv = number(app, draft, 'mv', { low: 0, high: 5000 });
    const amps = number(app, draft, 'amps', { low: 0.5, high: 1000 });
    if (mv.code || amps.code) return mv.code ? mv : amps;
    return { changes: [finding(app, 'drop', { result: 'measured', name, mv: mv.value, amps: amps.value, mohm: mv.value / amps.value }, newId())] };
  },
  settings(app, draft) {
    const solar = app.data.sources.find((source) => source.kind === 'solar');
    const set = {};
    for (const name of solar ? ['absorption_v', 'float_v'] : []) {
      const found = number(app, draft, name, { optional: true, volts: true });
      if (found.code) return found;
      set[name] = found.value ?? null;
    }
    const changes = solar ? [{ tbl: 'source', row: solar.id, set }] : [];
    return { changes: [...changes, finding(app, 'settings', { result: 'measured', ...set, photo: draft.photo || null })] };
  },
  labels: (app) => ({ changes: [finding(app, 'labels', { result: 'pass' })] }),
};

const now = (app) => iso(app.now(), app.zone());
const finding = (app, step, fields, row = `commissioning-${step}`) => ({ tbl: 'finding', row, set: { check_id: `commissioning.${step}`, at: now(app), ...fields } });

/** Amps of what is on round the clock by the rig's own description. */
function standing(app) {
  const nominalV = app.data.rig.nominal_v || 12;
  return app.data.circuits.filter((circuit) => circuit.when === 'always').reduce((sum, circuit) => sum + (circuit.draw_a ?? circuit.draw_w / nominalV), 0);
}

/** The gauge at the posts; a rig without one gains it. */
function handMeter(app) {
  const found = app.data.gauges.find((gauge) => gauge.at === 'posts');
  const id = found ? found.id : newId();
  return { id, changes: found ? [] : [{ tbl: 'gauge', row: id, set: { name: app.words.say('commissioning.hand_meter'), at: 'posts', resolution_v: 0.01 } }] };
}

function number(app, draft, field, { optional = false, volts = false, low, high }) {
  const text = (draft[field] || '').trim();
  const [least, most] = volts ? plausibleVolts(app.data.rig.nominal_v || 12) : [low, high];
  if (!text) return optional ? {} : { field, code: 'commissioning.fault.empty', args: { what: app.words.say(`commissioning.field.${field}`) } };
  const value = parseDecimal(text);
  return value >= least && value <= most ? { value } : { field, code: 'commissioning.fault.number', args: { what: app.words.say(`commissioning.field.${field}`), given: text, low: least, high: most } };
}

function outcome(app, step, one) {
  const { say } = app.words;
  const day = say('commissioning.on', { at: Date.parse(one.at) / 1000 });
  const text = {
    leads: () => say(`commissioning.out.leads_${one.result}`) + (one.note ? ` ${one.note}` : ''),
    full: () => say('commissioning.out.full'),
    meter: () => (one.result === 'none' ? say('commissioning.no_gauge')
      : say(Math.abs(one.panel_v - one.posts_v) < 0.005 ? 'commissioning.out.meter_same' : one.panel_v < one.posts_v ? 'commissioning.out.meter_low' : 'commissioning.out.meter_high', { volts: Math.abs(one.panel_v - one.posts_v) })),
    standby: () => say(one.amps > (one.known_a || 0) + STANDBY_EXTRA_A ? 'commissioning.out.standby_look' : 'commissioning.out.standby', { amps: one.amps, known: one.known_a || 0, ah: one.amps * 720 }),
    drop: () => say(one.mohm > 0 ? 'commissioning.out.drop' : 'commissioning.out.drop_none', { name: one.name, mohm: one.mohm, amps: one.mohm > 0 ? Number((1000 * JOINT_MOST_V / one.mohm).toPrecision(2)) : 0 }),
    settings: () => say('commissioning.out.settings'),
    labels: () => say('commissioning.out.labels'),
  }[step]();
  return `${day} ${text}`;
}

async function showPhoto(root, app, drafts, kept) {
  const name = (drafts.settings || {}).photo || (of(kept, 'settings')[0] || {}).photo;
  const canvas = root.querySelector('canvas.photo');
  const blob = name && canvas && await app.store.photo(app.rigId, name);
  if (!blob || !canvas.isConnected) return;
  await paintPhoto(canvas, blob);
  canvas.hidden = false;
}
