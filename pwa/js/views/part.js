// views/part.js - one part of the rig: what its wiring means in figures. Fuse, wire and cut-off of a circuit are changed
// right here, beside the figures that they change; everything else in the part's own form.
import { bankOn } from '../circumstances.js';
import { dayOf } from '../clock.js';
import { draw, flag, html } from '../html.js';
import { decimal, parseDecimal } from '../numbers.js';
import { chips, problem, readForm, saveAndLeave, saveBar } from '../parts/form.js';
import { roughly, title, warnings } from '../parts/rig-drawing.js';

const LISTS = { bank: 'banks', source: 'sources', circuit: 'circuits', gauge: 'gauges' };
/** What of a circuit its figures hang on: name and 'text', 'number' with its bounds, or the choices. */
const FIELDS = [['fuse_a', 'number', 0.1, 500], ['fuse_slot', 'text'], ['wire', 'text'], ['wire_unit', ['awg', 'mm2']], ['wire_m', 'number', 0, 100], ['cutoff_v', 'number', 8, 32]];
const AWG = /^(1\/0|2\/0|3\/0|4\/0|[1-9]|1\d|2[0-4])$/;

export async function mount(root, app, [tbl, id]) {
  const part = tbl === 'selector' ? app.data.selector || {} : (app.data[LISTS[tbl]] || []).find((one) => one.id === id);
  if (!part) {
    location.hash = '#/rig';
    return { lead: 'h1' };
  }
  const fields = tbl === 'circuit' ? FIELDS : [];
  const draftKey = `${app.rigId}/part/${tbl}/${id}`;
  let draft = (await app.draft(draftKey)) || begin(app, part, fields);
  let faults = {};
  let figures = html``;
  const paint = () => draw(root, page(app, { tbl, part, fields, draft, faults, figures }));
  paint();
  root.addEventListener('input', () => {
    draft = readForm(root.querySelector('form'), draft);
    app.store.saveDraft(draftKey, draft).catch(() => app.keepElsewhere(draftKey, draft));
  });
  root.addEventListener('submit', async (event) => {
    event.preventDefault();
    const { set, wrong } = judge(fields, draft, part);
    faults = wrong;
    const first = Object.keys(wrong)[0];
    if (first) {
      paint();
      root.querySelector(`[name=${first}]`).focus();
      return;
    }
    await saveAndLeave(app, root, [{ tbl, row: tbl === 'selector' ? 'selector' : id, set }],
      { draft: draftKey, done: { code: 'drawing.saved', args: { name: title(app, { tbl, part: { ...part, ...set } }) } }, leave: '#/rig' });
  });
  if (tbl === 'circuit' || tbl === 'bank') {
    rigSheet(app).then((sheet) => {
      figures = tbl === 'bank' ? bankFigures(app, sheet.bank, part) : circuitFigures(app, sheet.circuits.find((line) => line.id === id), part);
      const place = root.querySelector('#figures');
      if (place) draw(place, figures);
    }, (error) => {
      const place = root.querySelector('#figures');
      if (place) draw(place, html`<p class="problem">${app.words.say('drawing.no_figures', { reason: error.message })}</p>`);
    });
  }
  return { lead: 'h1' };
}

/** What the wiring means in figures, worked out by the model. @returns {Promise<object>} as energy/sheet.py gives it */
export async function rigSheet(app) {
  const { rig, banks, circuits, inverters } = app.data;
  const day = dayOf(app.now(), app.zone());
  return (await app.energy.sum('sheet', { export: { rig, banks, circuits, inverters }, day })).sheet;
}

function page(app, { tbl, part, fields, draft, faults, figures }) {
  const { say } = app.words;
  return html`<header class="form-head"><a class="back" href="#/rig">${say('form.back')}</a><h1 tabindex="-1">${title(app, { tbl, part })}</h1></header>
    <div id="figures">${figures}</div>
    ${tbl === 'selector' && selectorFacts(app, part)}
    ${tbl === 'bank' && html`<p class="caution">${say('drawing.care.bank')}</p>`}
    <p><a class="file-button" href="#/add/${tbl === 'source' ? part.kind : tbl}/${encodeURIComponent(part.id ?? tbl)}">${say('drawing.change')}</a></p>
    ${fields.length > 0 && html`<form novalidate autocomplete="off"><h2>${say('drawing.edit')}</h2>${fields.map((field) => input(say, field, draft, faults[field[0]]))}
      <p class="caution">${say('drawing.care.circuit')}</p>${problem('')}${saveBar(say('form.save'))}</form>`}`;
}

function input(say, [name, kind], draft, fault) {
  if (Array.isArray(kind)) return chips(name, say(`drawing.field.${name}`), kind.map((value) => [value, say(`drawing.choice.${name}.${value}`)]), draft[name]);
  const about = `${name}-problem`;
  return html`<label class="field"><span>${say(`drawing.field.${name}`)}</span><input type="text" name="${name}" value="${draft[name]}"
    ${kind === 'number' && flag('inputmode="decimal"', true)}${flag(`aria-invalid="true" aria-describedby="${about}"`, Boolean(fault))}></label>
    <p class="field-problem" id="${about}">${fault && say(fault.code, fault.args)}</p>`;
}

function begin(app, part, fields) {
  const { locale } = app.words;
  const text = (value) => (value === undefined || value === null ? '' : typeof value === 'number' ? decimal(value, 3, locale) : String(value));
  return { ...Object.fromEntries(fields.map(([name]) => [name, text(part[name])])), wire: text(part.wire_awg ?? part.wire_mm2),
    wire_unit: part.wire_awg === undefined && part.wire_mm2 !== undefined ? 'mm2' : 'awg' };
}

/** What is typed as fields of the row, and what of it cannot be. @returns {{set: object, wrong: object}} */
function judge(fields, draft, part) {
  const set = {};
  const wrong = {};
  for (const [name, kind, low, high] of fields) {
    const text = String(draft[name] ?? '').trim();
    if (name === 'wire') readWire(text, draft.wire_unit, set, wrong);
    else if (name === 'wire_unit') continue;
    else if (!text) set[name] = null;
    else if (kind === 'number') {
      const value = parseDecimal(text);
      if (value >= low && value <= high) set[name] = value;
      else wrong[name] = { code: 'drawing.fault.number', args: { given: text, low, high } };
    } else set[name] = text;
  }
  const sameWire = (set.wire_awg ?? undefined) === part.wire_awg && (set.wire_mm2 ?? undefined) === part.wire_mm2;
  if (part.typed && !sameWire) set.typed = Object.fromEntries(Object.entries(part.typed).filter(([name]) => name !== 'wire')); // as typed stays beside what it gave, no longer
  return { set, wrong };
}

function readWire(text, unit, set, wrong) {
  Object.assign(set, { wire_awg: null, wire_mm2: null });
  const bare = text.replace(/\s*(awg|mm2|mm²)\s*$/i, '');
  if (!text) return;
  if (/\bmm\s*$/i.test(text)) wrong.wire = { code: 'drawing.fault.bare_mm', args: { given: text } };
  else if (unit === 'mm2') {
    const area = parseDecimal(bare);
    if (area >= 0.2 && area <= 150) set.wire_mm2 = area;
    else wrong.wire = { code: 'drawing.fault.number', args: { given: text, low: 0.2, high: 150 } };
  } else if (AWG.test(bare)) set.wire_awg = bare.includes('/') ? bare : Number(bare);
  else wrong.wire = { code: 'drawing.fault.awg', args: { given: text } };
}

function circuitFigures(app, line, part) {
  const { say } = app.words;
  const { us, eu } = line.wire_carries_a;
  const list = [];
  if (line.drop_v === null) list.push(say('drawing.fig.drop_unknown'));
  else list.push(say(`drawing.fig.drop_${line.drop}`, { amps: line.run_a, volts: line.drop_v, percent: decimal(line.drop_percent, 1, app.words.locale) }));
  if (us === null) list.push(say('drawing.fig.wire_unknown'));
  else list.push(say(eu === null ? 'drawing.fig.carries_us' : 'drawing.fig.carries', { us, eu }));
  if (line.fuse_a === null) list.push(say('drawing.fig.no_fuse'));
  else if (us !== null) list.push(say(`drawing.fig.fuse_${verdict(line.fuse_protects)}`, { amps: line.fuse_a }));
  if (us !== null && (line.fuse_a === null || verdict(line.fuse_protects) !== 'guards')) {
    list.push(line.fuse_that_fits_a === null ? say('drawing.fig.too_thin') : say('drawing.fig.fits', { amps: line.fuse_that_fits_a }));
  }
  if (line.bank_v_at_cutoff !== null) list.push(say('drawing.fig.cutoff', { at: part.cutoff_v, volts: line.bank_v_at_cutoff, soc: line.soc_at_cutoff }));
  list.push(say(line.live_when_selector_off ? (part.feed === 'controller_output' ? 'drawing.fig.stays_live_output' : 'drawing.fig.stays_live') : 'drawing.fig.dies'));
  return html`${warnings(app, line).length > 0 && html`<p class="problem">${warnings(app, line).join(' ')}</p>`}
    <ul class="figures">${list.map((text) => html`<li>${text}</li>`)}</ul><p class="caution">${say('drawing.care.codes')}</p>`;
}

const verdict = ({ us, eu }) => (us === false && eu === false ? 'fails' : us === false ? 'fails_us' : eu === false ? 'fails_eu' : 'guards');

function bankFigures(app, line, part) {
  const { say } = app.words;
  if (part !== bankOn(app.data, dayOf(app.now(), app.zone()))) return html`<p>${say('drawing.fig.other_bank')}</p>`;
  return html`<ul class="figures"><li>${say('drawing.fig.usable', { usable: line.usable_ah, rated: line.rated_ah })}</li>
    <li>${say(line.blade_fuse_breaks_it ? 'drawing.fig.short_ok' : 'drawing.fig.short', { amps: roughly(line.short_circuit_a) })}</li></ul><p class="caution">${say('drawing.care.short')}</p>`;
}

function selectorFacts(app, part) {
  const { say } = app.words;
  const always = app.data.circuits.filter((circuit) => circuit.feed !== 'fuse_block').map((circuit) => circuit.name || circuit.id);
  return html`<ul class="figures">${(part.positions || []).map((position) => html`<li><b>${position.name}</b>: ${say(`drawing.feeds.${position.feeds}`)}${position.kills_gauge && html` ${say('drawing.kills_gauge')}`}
    ${position.feeds === 'both' && html`<p class="caution">${say('caution_selector_both')}</p>`}</li>`)}</ul>
    ${always.length > 0 && html`<p>${say('drawing.live_anyway', { names: always.join(', ') })}</p>`}<p class="caution">${say('drawing.care.selector')}</p>
    ${part.positions && html`<p><a class="file-button" href="#/position">${say('positions.note')}</a></p>`}`;
}
