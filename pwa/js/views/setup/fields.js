// views/setup/fields.js - the pieces that the set-up's forms are made of: a field with its sentence, a scope of a draft.
import { flag, html } from '../../html.js';
import { chips } from '../../parts/form.js';
import { Fault } from '../../quantities.js';

/** A draft is flat, as a form is; each part of the rig has its own prefix in it: "bank.chemistry". */
export function scoped(draft, prefix) {
  const fields = {};
  for (const [name, value] of Object.entries(draft)) if (name.startsWith(`${prefix}.`)) fields[name.slice(prefix.length + 1)] = value;
  return fields;
}

/** Names with the prefix before them. @param {object} fields @param {string} prefix */
export const prefixed = (fields, prefix) => Object.fromEntries(Object.entries(fields).map(([name, value]) => [`${prefix}.${name}`, value]));

/**
 * What draws the fields of one part: text and choices, each with what is wrong with it beside it.
 * @param {object} app @param {string} prefix @param {object} fields values @param {object} faults name -> {code, args}
 */
export function painter(app, prefix, fields, faults) {
  const { say } = app.words;
  const fault = (name) => html`<p class="problem" id="${prefix}.${name}-problem" role="alert">${faults[name] ? say(faults[name].code, faults[name].args) : ''}</p>`;
  return {
    text: (name, label, { hint = '', mode = 'text', example = '', usual = '' } = {}) => html`<label class="field"><span>${label}</span>
      ${hint && html`<span class="quiet hint" id="${prefix}.${name}-hint">${hint}</span>`}
      <input type="text" inputmode="${mode}" name="${prefix}.${name}" value="${fields[name] ?? ''}" placeholder="${usual || (example && say('setup.such_as', { example }))}"
        aria-describedby="${prefix}.${name}-hint ${prefix}.${name}-problem"${flag('aria-invalid="true"', Boolean(faults[name]))}></label>${fault(name)}`,
    pick: (name, legend, options, more = {}) => html`${chips(`${prefix}.${name}`, legend, options, fields[name] ?? (more.many ? [] : null), more)}${fault(name)}`,
  };
}

/** @returns {Array<[string, string]>} values with their words, under one stem of the table */
export const options = (say, stem, values) => values.map((value) => [value, say(`${stem}.${value}`)]);

/** Collects what can be read and the faults of what cannot. */
export function reader() {
  const faults = {};
  return {
    faults,
    /** @returns {*} what `read` gives; undefined, and a fault on the field, when it refuses */
    take(field, read) {
      try {
        return read();
      } catch (fault) {
        if (!(fault instanceof Fault)) throw fault;
        faults[field] = { code: fault.code, args: fault.args };
        return undefined;
      }
    },
    refuse(field, code, args = {}) {
      faults[field] = { code, args };
    },
  };
}

/** A typed number within bounds, or a Fault that names them. */
export function within(value, low, high, unit) {
  if (!(value >= low && value <= high)) throw new Fault('bounds', { given: Number.isFinite(value) ? value : '?', low, high, unit });
  return value;
}

/** "100" where the field's own unit is meant, "100 Ah" as it is. */
export const withUnit = (text, unit) => (/^[\s\d.,+-]+$/.test(text) && text.trim() ? `${text.trim()} ${unit}` : text);

const DAY = /^\d{4}-\d\d-\d\d$/;

/** A date as YYYY-MM-DD, or a year or year-month, taken as its first day. */
export function dayFrom(text) {
  const plain = text.trim();
  const day = /^\d{4}$/.test(plain) ? `${plain}-01-01` : /^\d{4}-\d\d$/.test(plain) ? `${plain}-01` : plain;
  if (!DAY.test(day) || Number.isNaN(Date.parse(`${day}T00:00:00Z`)) || new Date(`${day}T00:00:00Z`).toISOString().slice(0, 10) !== day) {
    throw new Fault('day', { given: plain.slice(0, 40) });
  }
  return day;
}
