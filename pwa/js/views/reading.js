// views/reading.js - a reading: volts first, then two taps; the rest has sensible defaults. Everything typed is kept
// as typed from the first key on, so a killed tab loses nothing.
import { iso, toInput } from '../clock.js';
import { draw, flag, html } from '../html.js';
import { difference } from '../merge.js';
import { decimal, meantVolts, parseDecimal, plausibleVolts } from '../numbers.js';
import { chips, heading, moment, momentS, problem, readForm, saveAndLeave, saveBar } from '../parts/form.js';
import { readingState, tooLowToGain } from '../reading-state.js';
import { newId } from '../uuid7.js';

const STATES = ['rested', 'loaded', 'charging', 'unknown'];
const REST_H = ['0.3', '1', '2', '4', '10'];

export async function mount(root, app, [id]) {
  const edited = id ? app.data.readings.find((reading) => reading.id === id) : null;
  const draftKey = `${app.rigId}/reading/${edited ? edited.id : 'new'}`;
  const kept = await app.draft(draftKey);
  const view = { app, root, edited, draftKey, draft: kept || begin(app, edited), resumed: Boolean(kept) };
  paint(view);
  root.addEventListener('input', () => hear(view));
  root.addEventListener('click', (event) => press(view, event.target.closest('[data-act]')));
  root.addEventListener('submit', (event) => {
    event.preventDefault();
    save(view, false);
  });
  if (!edited) root.querySelector('[name=volts]').focus();
  return { lead: edited ? 'h1' : '[name=volts]' };
}

function begin(app, edited) {
  const gauge = app.data.gauges[0] ? app.data.gauges[0].id : '';
  if (!edited) return { volts: '', fridge: null, others: null, on: [], when: 'now', state: '', rested: '', gauge, note: '', finished: [] };
  const { fridgeId, otherIds } = app.circuits();
  const on = edited.on || [];
  const off = edited.off || [];
  const othersOn = on.filter((item) => otherIds.includes(item));
  return {
    volts: edited.volts === undefined ? '' : decimal(edited.volts, 3, app.words.locale),
    fridge: on.includes(fridgeId) ? 'humming' : off.includes(fridgeId) ? 'silent' : null,
    others: othersOn.length > 0 ? 'some' : off.length > 0 && otherIds.every((item) => off.includes(item)) ? 'nothing' : null,
    on: othersOn, when: 'other', at: toInput(Date.parse(edited.at) / 1000, app.zone()),
    state: edited.state === 'full' ? '' : edited.state, rested: edited.rested_h === undefined ? '' : String(edited.rested_h),
    gauge: edited.gauge_id || '', note: edited.note || '', finished: edited.state === 'full' ? ['yes'] : [],
  };
}

function paint(view) {
  const { app, draft, root } = view;
  const { say } = app.words;
  const { fridgeId, otherIds } = app.circuits();
  const gauges = app.data.gauges.map((gauge) => [gauge.id, gauge.name || gauge.id]);
  draw(root, html`<form novalidate autocomplete="off">${heading(app, say(view.edited ? 'reading.edit' : 'reading.title'))}
    ${view.resumed && html`<p class="kept">${say('form.kept')} <button type="button" data-act="afresh">${say('form.afresh')}</button></p>`}
    <label class="volts"><span>${say('reading.volts')}</span><span class="volts-line"><input type="text" inputmode="decimal" name="volts"
      value="${draft.volts}" aria-describedby="problem ask" enterkeyhint="done"><span aria-hidden="true">V</span></span></label>
    ${problem('')}<div id="ask" role="status"></div>
    ${fridgeId !== null && chips('fridge', say('reading.fridge', { name: app.circuitName(fridgeId) }),
      [['humming', say('reading.humming')], ['silent', say('reading.silent')], ['unknown', say('reading.dont_know')]], draft.fridge)}
    ${chips('others', say('reading.others'), [['nothing', say('reading.nothing')], ...(otherIds.length ? [['some', say('reading.some')]] : []),
      ['unknown', say('reading.dont_know')]], draft.others)}
    <div id="which"${flag('hidden', draft.others !== 'some')}>${chips('on', say('reading.which'), otherIds.map((item) => [item, app.circuitName(item)]), draft.on, { many: true })}</div>
    <div id="derived"></div>
    <div id="when">${moment(app, draft, say('reading.when'))}</div>
    <details${flag('open', Boolean(view.edited))}><summary>${say('reading.more')}</summary>
      ${chips('finished', say('reading.charger'), [['yes', say('reading.finished')]], draft.finished, { many: true, note: say('reading.finished_note') })}
      ${gauges.length > 1 && chips('gauge', say('reading.gauge'), gauges, draft.gauge)}
      <label class="field"><span>${say('reading.note')}</span><input type="text" name="note" maxlength="2000" value="${draft.note}"></label>
    </details>
    ${saveBar(say('form.save'))}</form>`);
  paintDerived(view);
}

/** The state that the taps mean, in a sentence, with the way to correct it. */
function paintDerived(view) {
  const { app, draft, root } = view;
  const { say } = app.words;
  const derived = derive(view);
  const state = draft.state || derived.state;
  const corrected = Boolean(draft.state) && draft.state !== derived.state;
  const open = root.querySelector('#correct');
  const rested = draft.rested || String(derived.rested_h ?? 0.3);
  const finished = (draft.finished || []).includes('yes');
  draw(root.querySelector('#derived'), finished ? html`<p class="derived">${say('state.full')}</p>` : html`<p class="derived" aria-live="polite">${say(`state.${state}`)}
      <span class="quiet">${say(corrected ? 'state.why.you' : derived.why, { h: Number(rested) })}</span></p>
    <details id="correct"${flag('open', open ? open.open : corrected)}><summary>${say('state.correct')}</summary>
      ${chips('state', say('state.legend'), [['', say('state.as_derived')], ...STATES.map((key) => [key, say(`state.${key}`)])], draft.state || '')}
      ${state === 'rested' && chips('rested', say('state.rested_for'), [...new Set([...REST_H, rested])].sort((a, b) => a - b).map((h) => [h, say('state.hours', { h: Number(h) })]), rested)}
    </details>`);
}

function derive(view) {
  const { app, draft } = view;
  const atS = momentS(app, draft);
  const when = Number.isNaN(atS) ? app.now() : atS;
  const bank = app.data.banks[app.data.banks.length - 1];
  const tooLow = tooLowToGain(parseDecimal(draft.volts), bank.chemistry, app.data.rig.nominal_v);
  const around = { ...app.circumstances(when), tooLow };
  return readingState({ fridge: draft.fridge, others: draft.others === 'some' ? draft.on || [] : draft.others }, around, when);
}

function hear(view) {
  const { app, draftKey, root } = view;
  const before = view.draft;
  view.draft = readForm(root.querySelector('form'), before);
  app.store.saveDraft(draftKey, view.draft).catch(() => app.keepElsewhere(draftKey, view.draft));
  if (before.volts !== view.draft.volts) quiet(view);
  root.querySelector('#which').hidden = view.draft.others !== 'some';
  if (before.when !== view.draft.when) {
    draw(root.querySelector('#when'), moment(app, view.draft, app.words.say('reading.when')));
    root.querySelector(`[name=when][value=${view.draft.when}]`).focus();
  }
  const changed = ['fridge', 'others', 'when', 'at', 'state', 'rested'].some((name) => before[name] !== view.draft[name])
    || ['on', 'finished'].some((name) => String(before[name]) !== String(view.draft[name]));
  if (changed) {
    const focused = document.activeElement;
    const again = focused && ['state', 'rested'].includes(focused.name) ? `[name=${focused.name}][value="${focused.value}"]` : null;
    paintDerived(view);
    if (again) root.querySelector(again)?.focus();
  }
}

async function press(view, button) {
  if (!button) return;
  const { app, root } = view;
  if (button.dataset.act === 'afresh') {
    await app.dropDraft(view.draftKey);
    view.draft = begin(app, view.edited);
    view.resumed = false;
    paint(view);
    root.querySelector('[name=volts]').focus();
  }
  if (button.dataset.act === 'meant') {
    root.querySelector('[name=volts]').value = button.dataset.value;
    hear(view);
    save(view, false);
  }
  if (button.dataset.act === 'keep') save(view, true);
}

function quiet(view) {
  view.root.querySelector('#problem').textContent = '';
  draw(view.root.querySelector('#ask'), '');
}

async function save(view, confirmed) {
  const { app, root, edited } = view;
  const { say, locale } = app.words;
  quiet(view);
  const draft = readForm(root.querySelector('form'), view.draft);
  const refuse = (code, args, selector) => {
    root.querySelector('#problem').textContent = say(code, args);
    root.querySelector(selector)?.focus();
  };
  const finished = (draft.finished || []).includes('yes');
  const volts = parseDecimal(draft.volts);
  const given = draft.volts.trim() !== '';
  if (!given && !finished) return refuse('reading.no_volts', {}, '[name=volts]');
  if (given && Number.isNaN(volts)) return refuse('reading.not_a_number', { given: draft.volts.trim().slice(0, 20) }, '[name=volts]');
  const atS = momentS(app, draft);
  if (Number.isNaN(atS)) return refuse('when.unfilled', {}, '[name=at]');
  if (atS > app.now() + 60) return refuse('when.future', {}, '[name=at]');
  const nominalV = app.data.rig.nominal_v || 12;
  const [low, high] = plausibleVolts(nominalV);
  const odd = given && (volts < low || volts > high);
  if (odd && !confirmed) return ask(view, volts, meantVolts(volts, nominalV), { low, high, locale });
  const derived = derive({ ...view, draft });
  const state = finished ? 'full' : draft.state || derived.state;
  const after = {
    at: edited && draft.when === 'other' && draft.at === toInput(Date.parse(edited.at) / 1000, app.zone()) ? edited.at : iso(Math.min(atS, app.now()), app.zone()),
    state,
    ...(given ? { volts } : {}),
    ...(draft.gauge ? { gauge_id: draft.gauge } : {}),
    ...(derived.on.length ? { on: derived.on } : {}),
    ...(derived.off.length ? { off: derived.off } : {}),
    ...(state === 'rested' ? { rested_h: Number(draft.rested || derived.rested_h || 0.3) } : {}),
    ...(odd ? { confirmed: true } : {}),
    ...(draft.note.trim() ? { note: draft.note.trim() } : {}),
  };
  const held = edited ? Object.fromEntries(Object.entries(edited).filter(([name]) => name in after || OWN_FIELDS.includes(name))) : {};
  await saveAndLeave(app, root, [{ tbl: 'reading', row: edited ? edited.id : newId(), set: difference(held, after) }], {
    draft: view.draftKey, leave: edited ? '#/logbook' : '#/tonight',
    done: given ? { code: 'reading.saved', args: { volts, state: say(`state.${state}`) } } : { code: 'reading.saved_full', args: {} },
  });
  return undefined;
}

// Fields that this form writes; others of an edited reading (amps, bank_c) stay as they are.
const OWN_FIELDS = ['at', 'state', 'volts', 'gauge_id', 'on', 'off', 'rested_h', 'confirmed', 'note'];

function ask(view, volts, meant, { low, high, locale }) {
  const { say } = view.app.words;
  const given = decimal(volts, 3, locale);
  const better = meant === null ? '' : decimal(meant, 3, locale);
  draw(view.root.querySelector('#ask'), html`<div class="ask"><p>${meant === null ? say('reading.odd', { given, low, high }) : say('reading.meant', { given, meant: better })}</p>
    ${meant !== null && html`<button type="button" class="primary" data-act="meant" data-value="${better}">${say('reading.meant_yes', { meant: better })}</button>`}
    <button type="button" data-act="keep">${say('reading.keep', { given })}</button></div>`);
  view.root.querySelector('#ask button').focus();
}
