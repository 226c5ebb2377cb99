// views/ran.js - what ran on a day: hours per circuit, "on since", or the whole day in one tap.
import { addDays, dayOf, iso } from '../clock.js';
import { draw, html } from '../html.js';
import { decimal, parseDecimal } from '../numbers.js';
import { chips, heading, problem, readForm, saveAndLeave, saveBar } from '../parts/form.js';
import { newId } from '../uuid7.js';

const SINCE_H = ['0', '0.5', '1', '2', '4'];

export async function mount(root, app, [day]) {
  const today = dayOf(app.now(), app.zone());
  const view = { app, root, fixedDay: day && day !== today && day !== addDays(today, -1) ? day : null, draftKey: `${app.rigId}/ran` };
  const kept = await app.draft(view.draftKey);
  view.draft = kept || begin(view, day || today);
  view.resumed = Boolean(kept);
  paint(view);
  root.addEventListener('input', () => hear(view));
  root.addEventListener('click', (event) => press(view, event.target.closest('[data-act]')));
  root.addEventListener('submit', (event) => {
    event.preventDefault();
    save(view);
  });
  return { lead: 'h1' };
}

/** The form as the log has that day. */
function begin({ app }, day) {
  const draft = { day, whole: null };
  for (const use of app.data.uses) {
    if (use.day !== day) continue;
    if (use.kind) draft.whole = use.kind;
    else draft[`hours:${use.circuit_id}`] = decimal(use.hours, 2, app.words.locale);
  }
  return draft;
}

function paint(view) {
  const { app, draft, root } = view;
  const { say, locale } = app.words;
  const today = dayOf(app.now(), app.zone());
  const days = [[today, say('ran.today')], [addDays(today, -1), say('ran.yesterday')]];
  if (view.fixedDay) days.push([view.fixedDay, app.dayName(view.fixedDay)]);
  draw(root, html`<form novalidate autocomplete="off">${heading(app, say('ran.title'))}
    ${view.resumed && html`<p class="kept">${say('form.kept')} <button type="button" data-act="afresh">${say('form.afresh')}</button></p>`}
    ${chips('day', say('ran.day'), days, draft.day)}
    ${chips('whole', say('ran.whole'), [['', say('ran.each')], ['as_usual', say('ran.as_usual')], ['away', say('ran.away')]], draft.whole || '')}
    ${problem('')}
    <ul class="ran">${app.data.circuits.filter((circuit) => circuit.when !== 'always').map((circuit) => row(view, circuit, locale, today))}</ul>
    ${saveBar(say('form.save'))}</form>`);
}

function row({ app, draft }, circuit, locale, today) {
  const { say } = app.words;
  const running = app.data.uses.find((use) => use.circuit_id === circuit.id && use.from && !use.until);
  const since = `since:${circuit.id}`;
  return html`<li><div class="ran-line"><label for="hours-${circuit.id}">${circuit.name || circuit.id}
      <span class="quiet">${circuit.typical_h_per_day !== undefined && say('ran.usual', { hours: circuit.typical_h_per_day })}</span></label>
    <span class="stepper"><button type="button" data-act="less" data-id="${circuit.id}" aria-label="${say('ran.less', { name: circuit.name })}">−</button>
      <input id="hours-${circuit.id}" type="text" inputmode="decimal" name="hours:${circuit.id}" value="${draft[`hours:${circuit.id}`] || ''}" placeholder="${say('ran.hours')}">
      <button type="button" data-act="more" data-id="${circuit.id}" aria-label="${say('ran.more', { name: circuit.name })}">+</button></span></div>
    ${running && html`<p>${say('ran.running', { at: Date.parse(running.from) / 1000 })} <button type="button" data-act="stop" data-id="${running.id}">${say('ran.stop')}</button></p>`}
    ${!running && draft.day === today && html`<details><summary>${say('ran.on_since')}</summary>
      ${chips(since, say('ran.since'), [['', say('ran.not_on')], ...SINCE_H.map((h) => [h, h === '0' ? say('when.now') : say('ran.ago', { h: Number(h) })])], draft[since] || '')}</details>`}</li>`;
}

function hear(view) {
  const before = view.draft;
  view.draft = readForm(view.root.querySelector('form'), before);
  if (before.day !== view.draft.day) {
    // Another day is another form: what was typed for the first one would land on the wrong day.
    view.draft = begin(view, view.draft.day);
    paint(view);
    view.root.querySelector('[name=day]:checked').focus();
  }
  view.app.store.saveDraft(view.draftKey, view.draft).catch(() => view.app.keepElsewhere(view.draftKey, view.draft));
}

async function press(view, button) {
  if (!button) return;
  const { app, root } = view;
  const { act, id } = button.dataset;
  if (act === 'less' || act === 'more') {
    const field = root.querySelector(`[name="hours:${CSS.escape(id)}"]`);
    const now = parseDecimal(field.value) || 0;
    field.value = decimal(Math.min(24, Math.max(0, now + (act === 'more' ? 0.5 : -0.5))), 2, app.words.locale);
    hear(view);
  }
  if (act === 'stop') await saveAndLeave(app, root, [{ tbl: 'use', row: id, set: { until: iso(app.now(), app.zone()) } }], { done: { code: 'ran.stopped', args: {} }, leave: '#/tonight' });
  if (act === 'afresh') {
    await app.dropDraft(view.draftKey);
    view.draft = begin(view, dayOf(app.now(), app.zone()));
    view.resumed = false;
    paint(view);
  }
}

async function save(view) {
  const { app, root } = view;
  const { say } = app.words;
  const draft = readForm(root.querySelector('form'), view.draft);
  const changes = [];
  for (const circuit of app.data.circuits) {
    const text = (draft[`hours:${circuit.id}`] || '').trim();
    const hours = parseDecimal(text);
    if (text && !(hours >= 0 && hours <= 24)) {
      root.querySelector('#problem').textContent = say('ran.bad_hours', { name: circuit.name || circuit.id, given: text.slice(0, 20) });
      root.querySelector(`[name="hours:${CSS.escape(circuit.id)}"]`).focus();
      return;
    }
    const held = app.data.uses.find((use) => use.day === draft.day && use.circuit_id === circuit.id);
    if (text && !(held && held.hours === hours)) changes.push({ tbl: 'use', row: held ? held.id : newId(), set: held ? { hours } : { day: draft.day, circuit_id: circuit.id, hours } });
    if (!text && held) changes.push({ tbl: 'use', row: held.id, set: { deleted: true } });
    const since = draft[`since:${circuit.id}`];
    if (since) changes.push({ tbl: 'use', row: newId(), set: { circuit_id: circuit.id, from: iso(app.now() - Number(since) * 3600, app.zone()) } });
  }
  const whole = app.data.uses.find((use) => use.day === draft.day && use.kind);
  if (draft.whole && !(whole && whole.kind === draft.whole)) changes.push({ tbl: 'use', row: whole ? whole.id : newId(), set: whole ? { kind: draft.whole } : { day: draft.day, kind: draft.whole } });
  if (!draft.whole && whole) changes.push({ tbl: 'use', row: whole.id, set: { deleted: true } });
  if (changes.length === 0) {
    root.querySelector('#problem').textContent = say('ran.nothing');
    return;
  }
  await saveAndLeave(app, root, changes, { draft: view.draftKey, done: { code: 'ran.saved', args: {} } });
}
