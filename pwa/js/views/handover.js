// views/handover.js - a file for whoever takes the rig over: what it is, its batteries and their readings, what was found
// and mended. Only what is listed here goes in, so that a field nobody thought of never gives a place away.
import { dayOf } from '../clock.js';
import { FORMAT } from '../export-file.js';
import { draw, html } from '../html.js';
import { chips } from '../parts/form.js';
import { saveFile } from '../parts/save-file.js';

const WIRE = ['wire_mm2', 'wire_awg', 'wire_m'];
const GIVEN = {
  rig: ['name', 'nominal_v', 'timezone'],
  banks: ['chemistry', 'rated_ah', 'rated_h', 'in_parallel', 'floor_soc', 'installed_on', 'removed_on', 'lives'],
  sources: ['kind', 'panel_w', 'tilt_deg', 'azimuth_deg', 'azimuth_from_nose_deg', 'controller', 'max_a', 'absorption_v', 'float_v', 'output_max_a', 'output_cutoff_v', 'link', ...WIRE],
  circuits: ['name', 'feed', 'draw_a', 'draw_w', 'draw_from', 'when', 'typical_h_per_day', 'duty_at_25c', 'through_inverter', 'fuse_a', 'fuse_slot', ...WIRE, 'cutoff_v', 'essential'],
  inverters: ['idle_w', 'efficiency', 'cutoff_v', 'left_on'],
  gauges: ['name', 'at', 'resolution_v', ...WIRE, 'shared_circuits'],
  readings: ['at', 'volts', 'gauge_id', 'state', 'on', 'off', 'amps', 'rested_h', 'bank_c', 'soc', 'confirmed'],
  events: ['at', 'between', 'kind', 'circuit_id'],
  checks: ['item', 'name', 'component', 'interval', 'every_days', 'every_km', 'unit', 'limit', 'retired'],
  findings: ['at', 'check_id', 'result', 'name', 'value', 'unit', 'gauge_id', 'volts', 'tail_a', 'posts_v', 'panel_v', 'amps', 'known_a', 'mv', 'mohm', 'absorption_v', 'float_v'],
};
const POSITION = ['name', 'feeds', 'kills_gauge'];
const WITH_NOTES = ['readings', 'events', 'findings'];

/**
 * What a new owner gets of an export. Pure.
 * @param {object} data daybank-export/1 @param {{notes: boolean}} more whether the person's own notes go along
 * @returns {object} daybank-export/1 without places, trips, skies, photos, and without the ids of rig and phones
 */
export function handedOver(data, { notes = false } = {}) {
  const only = (record, names) => Object.fromEntries(names.filter((name) => record[name] !== undefined).map((name) => [name, record[name]]));
  const given = { format: FORMAT, rig: only(data.rig, GIVEN.rig) };
  for (const [list, names] of Object.entries(GIVEN)) {
    if (list === 'rig') continue;
    const asked = notes && WITH_NOTES.includes(list) ? [...names, 'note'] : names;
    given[list] = (data[list] || []).map((record) => ({ id: record.id, ...only(record, asked) }));
  }
  if (data.selector) given.selector = { positions: (data.selector.positions || []).map((position) => only(position, POSITION)) };
  return given;
}

export async function mount(root, app) {
  const { say } = app.words;
  const data = await app.store.exportRig(app.rigId);
  let notes = 'without';
  draw(root, html`<header class="form-head"><a class="back" href="#/rig">${say('form.back')}</a><h1 tabindex="-1">${say('handover.title')}</h1></header>
    <p>${say('handover.what')}</p><ul class="figures"><li>${say('handover.rig', { name: data.rig.name, n: data.circuits.length })}</li><li>${say('handover.banks', { n: data.banks.length })}</li>
    <li>${say('handover.readings', { n: data.readings.length })}</li><li>${say('handover.findings', { n: data.findings.length + data.events.length })}</li></ul>
    <p>${say('handover.not')}</p><form>${chips('notes', say('handover.notes'), [['without', say('handover.without')], ['with', say('handover.with')]], notes)}</form>
    <p class="quiet">${say('handover.look')}</p>
    <div class="action-bar"><button type="button" class="primary" data-act="give">${say('handover.give')}</button></div>`);
  root.addEventListener('change', (event) => { if (event.target.name === 'notes') notes = event.target.value; });
  root.addEventListener('click', (event) => {
    if (!event.target.closest('[data-act=give]')) return;
    saveFile(`daybank-handover-${dayOf(app.now(), app.zone())}.json`, JSON.stringify(handedOver(data, { notes: notes === 'with' }), null, 1), 'application/json');
    app.toast({ code: 'handover.given', args: {} });
  });
  return { lead: 'h1' };
}
