// html.js - markup from template literals; every value is escaped unless it is markup made here.

class Markup {
  constructor(text) {
    this.text = text;
  }

  toString() {
    return this.text;
  }
}

const ESCAPES = { '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;', "'": '&#39;' };

/** Template tag. Values: markup, arrays, null/undefined/false (nothing), anything else as escaped text. */
export const html = (strings, ...values) =>
  new Markup(strings.reduce((text, part, i) => text + asText(values[i - 1]) + part));

/** Puts markup into an element. */
export function draw(element, markup) {
  element.innerHTML = String(markup);
}

/** @param {string} name @param {boolean} on @returns {Markup|string} a bare attribute, or nothing */
export const flag = (name, on) => (on ? new Markup(` ${name}`) : '');

function asText(value) {
  if (value instanceof Markup) return value.text;
  if (Array.isArray(value)) return value.map(asText).join('');
  if (value === null || value === undefined || value === false) return '';
  return String(value).replace(/[&<>"']/g, (char) => ESCAPES[char]);
}
