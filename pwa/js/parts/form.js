// parts/form.js - the pieces that every entry form is made of: chips, a moment in one tap, a way back, a save button.
import { fromInput, toInput } from '../clock.js';
import { flag, html } from '../html.js';

const BACK_H = { now: 0, half: 0.5, one: 1, two: 2, four: 4 };

/**
 * Buttons of which one (or, with `many`, any number) is pressed. They are real radio buttons or check boxes.
 * @param {string} name @param {Array<[string, string]>} options value and label @param {string|string[]|null} value
 */
export function chips(name, legend, options, value, { many = false, note = '' } = {}) {
  const held = many ? value || [] : [value];
  return html`<fieldset class="chips"><legend>${legend}</legend>${note && html`<p class="quiet">${note}</p>`}
    <div class="chips-row">${options.map(([option, label]) => html`<label class="chip"><input type="${many ? 'checkbox' : 'radio'}"
      name="${name}" value="${option}"${flag('checked', held.includes(option))}><span>${label}</span></label>`)}</div></fieldset>`;
}

/** When it was: now, or back-dated in one tap, or any moment typed. @param {{when?: string, at?: string}} draft */
export function moment(app, draft, legend) {
  const { say } = app.words;
  const when = draft.when || 'now';
  const options = [...Object.keys(BACK_H), 'other'].map((key) => [key, say(`when.${key}`)]);
  return html`${chips('when', legend, options, when)}${when === 'other' && html`<label class="field"><span>${say('when.at')}</span>
    <input type="datetime-local" name="at" value="${draft.at || toInput(app.now(), app.zone())}" max="${toInput(app.now(), app.zone())}"></label>`}`;
}

/** @returns {number} epoch [s], NaN when the typed moment is not one */
export function momentS(app, draft) {
  const when = draft.when || 'now';
  return when === 'other' ? fromInput(draft.at, app.zone()) : app.now() - BACK_H[when] * 3600;
}

export const heading = (app, title) => html`<header class="form-head"><a class="back" href="#/tonight">${app.words.say('form.back')}</a>
  <h1 tabindex="-1">${title}</h1></header>`;

/** The one button of a form, in the lower third. */
export const saveBar = (label) => html`<div class="action-bar"><button class="primary" type="submit">${label}</button></div>`;

export const problem = (text, id = 'problem') => html`<p class="problem" id="${id}" role="alert">${text || ''}</p>`;

/** What the form's fields hold now: radio -> value, check boxes -> list, text as typed. */
export function readForm(form, before) {
  const draft = { ...before };
  for (const name of new Set(Array.from(form.elements, (element) => element.name).filter(Boolean))) {
    const fields = Array.from(form.elements).filter((element) => element.name === name);
    if (fields[0].type === 'checkbox') draft[name] = fields.filter((field) => field.checked).map((field) => field.value);
    else if (fields[0].type === 'radio') draft[name] = (fields.find((field) => field.checked) || { value: null }).value;
    else draft[name] = fields[0].value;
  }
  return draft;
}

/**
 * Saves, and leaves the form only when the phone has it; otherwise the form stays filled and says why.
 * @param {Array<object>} changes @param {{draft: string, done: object}} after
 */
export async function saveAndLeave(app, root, changes, { draft, done, leave = '#/tonight' }) {
  const button = root.querySelector('.action-bar button');
  button.disabled = true;
  let undo;
  try {
    undo = await app.save(changes, draft);
  } catch (error) {
    button.disabled = false;
    root.querySelector('#problem').textContent = app.words.say('store.refused', { reason: error.name || String(error) });
    return;
  }
  app.toast({ ...done, undo });
  location.hash = leave;
}
