// parts/rig-drawing.js - the rig as a one-line diagram: what charges the bank, the bank, what hangs straight on it, the
// selector, the fuse block. Each part is a row of a list with its piece of the diagram at the left, so that the text
// wraps at any size, a screen reader reads a list, and thirty circuits are only a longer page. Battery, fuse and meter
// are drawn by the symbols of IEC 60617; thicker copper is a thicker line.
import { flag, html } from '../html.js';
import { decimal } from '../numbers.js';

const FEEDER = 8; // x of the controller's own line, of the bank's, and of the one behind the selector [px]
const BANK = 22;
const BLOCK = 40;
const END = 86; // where a row's text begins
const MID = 24; // y of a row's branch: half of the least height of a row

/**
 * The rows of the drawing from top to bottom. Pure.
 * @param {object} data a daybank-export/1 object @param {object} bank the one in service
 * @returns {Array<{tbl, id, part, symbol, on, lines}>} `on`: which line the row hangs on; `lines`: which lines pass
 *   above and below its middle
 */
export function layOut(data, bank) {
  const by = (feed) => data.circuits.filter((circuit) => circuit.feed === feed);
  const positions = (data.selector && data.selector.positions) || [];
  const solar = data.sources.find((source) => source.kind === 'solar');
  const row = (tbl, part, symbol, on) => ({ tbl, id: part.id ?? tbl, part, symbol, on });
  const rows = [
    ...data.sources.filter((source) => source.kind !== 'solar').map((source) => row('source', source, source.kind, 'bank')),
    ...data.sources.filter((source) => source.kind === 'solar').map((source) => row('source', source, 'solar', 'bank')),
    ...by('controller_output').map((circuit) => row('circuit', circuit, 'fuse', 'feeder')),
    row('bank', bank, 'battery', 'bank'),
    ...data.gauges.filter((gauge) => gauge.at === 'posts').map((gauge) => row('gauge', gauge, 'meter', 'bank')),
    ...data.circuits.filter((circuit) => !circuit.feed || circuit.feed === 'bank').map((circuit) => row('circuit', circuit, 'fuse', 'bank')),
  ];
  const behind = [
    ...data.gauges.filter((gauge) => gauge.at !== 'posts').map((gauge) => row('gauge', gauge, 'meter', 'block')),
    ...by('fuse_block').map((circuit) => row('circuit', circuit, 'fuse', 'block')),
  ];
  const selectorAt = rows.length;
  if (positions.length > 0 || behind.length > 0) rows.push(row('selector', data.selector || {}, positions.length > 0 ? 'selector' : 'joint', 'selector'));
  rows.push(...behind);
  const first = rows.findIndex((one) => one.on === 'bank');
  const last = selectorAt < rows.length ? selectorAt : rows.length - 1;
  const fromSolar = rows.findIndex((one) => one.part === solar);
  const fed = positions.some((position) => ['controller', 'both'].includes(position.feeds));
  const lastOut = fed ? selectorAt : rows.findLastIndex((one) => one.on === 'feeder');
  rows.forEach((one, i) => {
    const through = (start, end) => ({ above: start < i && i <= end, below: start <= i && i < end });
    one.lines = {
      bank: through(first, last),
      feeder: fromSolar >= 0 ? through(fromSolar, lastOut) : through(rows.findIndex((each) => each.on === 'feeder'), lastOut),
      block: through(selectorAt, rows.length - 1),
    };
  });
  return rows;
}

/** @param {object|null} sheet the worker's figures; null while they are worked out */
export function rigDrawing(app, rows, sheet) {
  const figures = new Map(((sheet && sheet.circuits) || []).map((line) => [line.id, line]));
  return html`<ul class="wiring">${rows.map((row) => html`<li><a href="#/part/${row.tbl}/${encodeURIComponent(row.id)}">
    ${piece(row)}<span class="wiring-text"><b>${title(app, row)}</b><span class="quiet">${[...details(app, row), ...figured(app, figures.get(row.id))].join(' · ')}</span>
    ${row.tbl === 'circuit' && warnings(app, figures.get(row.id)).map((text) => html` <span class="wiring-warn">${text}</span>`)}
    ${row.tbl === 'bank' && sheet && sheet.bank.blade_fuse_breaks_it === false && html` <span class="wiring-warn">${app.words.say('drawing.short_brief', { amps: roughly(sheet.bank.short_circuit_a) })}</span>`}</span></a></li>`)}</ul>`;
}

function figured({ words: { say, locale } }, line) {
  return line && line.drop_v !== null ? [say('drawing.loses', { volts: line.drop_v, percent: decimal(line.drop_percent, 1, locale) })] : [];
}

/** A short-circuit current as well as it is known: two digits. [A] */
export const roughly = (amps) => Number(amps.toPrecision(2));

/** What a person calls the part. */
export function title({ words: { say } }, { tbl, part }) {
  if (tbl === 'source') return say(`drawing.source.${part.kind}`);
  if (tbl === 'bank') return say(part.in_parallel > 1 ? 'drawing.banks' : 'drawing.bank', { count: part.in_parallel, kind: say(`chemistry.${part.chemistry}`) });
  if (tbl === 'selector') return say(part.positions ? 'drawing.selector' : 'drawing.fuse_block');
  return part.name || part.id;
}

/** What the rig's data say of a part, in short pieces. */
export function details({ words: { say, locale } }, { tbl, part }) {
  const list = [];
  const put = (code, value, args) => { if (value !== undefined && value !== null) list.push(say(code, args ?? { n: value, text: typeof value === 'number' ? decimal(value, 2, locale) : value })); };
  if (tbl === 'bank') {
    put('drawing.ah', part.rated_ah);
    put('drawing.floor', part.floor_soc, { floor: part.floor_soc });
    put('drawing.since', part.installed_on);
  }
  if (tbl === 'source') {
    put('drawing.watts', part.panel_w);
    if (part.controller) put('drawing.controller', part.controller, { kind: say(`controller.${part.controller}`) });
    put('drawing.at_most', part.max_a, { amps: part.max_a });
    if (part.link) put(`drawing.link.${part.link}`, part.link);
  }
  if (tbl === 'circuit') {
    put('drawing.amps', part.draw_a, { amps: part.draw_a });
    put(part.through_inverter ? 'drawing.watts_ac' : 'drawing.watts', part.draw_w);
    put(part.fuse_slot ? 'drawing.fuse_slot' : 'drawing.fuse', part.fuse_a, { amps: part.fuse_a, slot: part.fuse_slot });
    list.push(say(`drawing.feed.${part.feed || 'bank'}`));
  }
  if (tbl === 'gauge') list.push(say(`rig.at.${part.at}`));
  const size = wireSize({ words: { say, locale } }, part);
  if (size) list.push(part.wire_m === undefined ? size : say('drawing.wire_long', { size, m: part.wire_m }));
  if (tbl === 'selector') for (const position of part.positions || []) list.push(say('drawing.position', { name: position.name, feeds: say(`drawing.feeds.${position.feeds}`) }));
  return list;
}

/** @returns {string} "10 AWG" or "6 mm²", empty when the rig does not say */
export function wireSize({ words: { say, locale } }, part) {
  if (part.wire_awg !== undefined) return say('drawing.awg', { size: String(part.wire_awg) });
  if (part.wire_mm2 !== undefined) return say('drawing.mm2', { area: decimal(part.wire_mm2, 2, locale) });
  return '';
}

/** What of a circuit's figures calls for a hand. @param {object|undefined} line of the sheet */
export function warnings({ words: { say } }, line) {
  if (!line) return [];
  const list = [];
  const { us, eu } = line.fuse_protects;
  if (us === false || eu === false) list.push(say(us === false && eu === false ? 'drawing.warn.fuse' : us === false ? 'drawing.warn.fuse_us' : 'drawing.warn.fuse_eu'));
  if (line.fuse_a === null) list.push(say('drawing.warn.no_fuse'));
  if (line.drop === 'much') list.push(say('drawing.warn.drop', { volts: line.drop_v }));
  return list;
}

/** The row's piece of the diagram. */
function piece({ symbol, on, part, lines }) {
  const run = (name, x, y = MID) => html`${lines[name].above && html`<line class="wiring-${name}" x1="${x}" x2="${x}" y1="0" y2="${y}"/>`}
    ${lines[name].below && html`<line class="wiring-${name}" x1="${x}" x2="${x}" y1="${y}" y2="100%"/>`}`;
  return html`<svg class="wiring-piece" aria-hidden="true" focusable="false">${run('feeder', FEEDER, lines.feeder.above ? MID : MID + 14)}${run('bank', BANK)}${run('block', BLOCK)}
    ${SYMBOLS[symbol]({ x: { bank: BANK, feeder: FEEDER, block: BLOCK, selector: BANK }[on], on, part, lines })}</svg>`;
}

const SYMBOLS = {
  fuse: ({ x, on, part }) => html`<line class="wiring-${on}" x1="${x}" x2="54" y1="${MID}" y2="${MID}"/><circle class="wiring-dot" cx="${x}" cy="${MID}" r="3"/>
    <line class="wiring-wire" x1="54" x2="${END}" y1="${MID}" y2="${MID}" stroke-width="${thickness(part)}"/>
    <rect class="wiring-body${flag('wiring-unknown', part.fuse_a === undefined)}" x="54" y="${MID - 5}" width="18" height="10"/><line class="wiring-thin" x1="54" x2="72" y1="${MID}" y2="${MID}"/>`,
  meter: ({ x, on }) => html`<line class="wiring-${on} wiring-fine" x1="${x}" x2="60" y1="${MID}" y2="${MID}"/><circle class="wiring-dot" cx="${x}" cy="${MID}" r="3"/>
    <circle class="wiring-body" cx="70" cy="${MID}" r="11"/><text class="wiring-letter" x="70" y="${MID + 5}">V</text>`,
  battery: ({ part }) => html`<rect class="wiring-ground" x="${BANK - 4}" y="12" width="8" height="25"/>
    ${(part.in_parallel > 1 ? [BANK, 62] : [BANK]).map((x) => html`<line class="wiring-plate" x1="${x - 14}" x2="${x + 14}" y1="13" y2="13"/><line class="wiring-plate wiring-short" x1="${x - 7}" x2="${x + 7}" y1="20" y2="20"/>
      <line class="wiring-plate" x1="${x - 14}" x2="${x + 14}" y1="28" y2="28"/><line class="wiring-plate wiring-short" x1="${x - 7}" x2="${x + 7}" y1="35" y2="35"/>`)}
    ${part.in_parallel > 1 && html`<path class="wiring-bank" d="M${BANK} 6H62V13M62 35V42H${BANK}"/>`}`,
  solar: ({ lines }) => html`<line class="wiring-bank" x1="${BANK}" x2="64" y1="${MID}" y2="${MID}"/><circle class="wiring-dot" cx="${BANK}" cy="${MID}" r="3"/>
    <rect class="wiring-body" x="36" y="${MID - 7}" width="14" height="14"/><path class="wiring-thin" d="M36 ${MID + 7}L50 ${MID - 7}"/>
    <path class="wiring-sun" d="M60 ${MID + 8}L68 ${MID - 9}H88L80 ${MID + 8}ZM64 ${MID}H84M70 ${MID + 8}L78 ${MID - 9}"/>
    ${lines.feeder.below && html`<path class="wiring-feeder" d="M43 ${MID + 7}V${MID + 14}H${FEEDER}"/>`}`,
  alternator: ({ x }) => html`<line class="wiring-bank" x1="${x}" x2="60" y1="${MID}" y2="${MID}"/><circle class="wiring-dot" cx="${x}" cy="${MID}" r="3"/>
    <circle class="wiring-body" cx="71" cy="${MID}" r="11"/><text class="wiring-letter" x="71" y="${MID + 5}">G</text>`,
  shore: ({ x }) => html`<line class="wiring-bank" x1="${x}" x2="60" y1="${MID}" y2="${MID}"/><circle class="wiring-dot" cx="${x}" cy="${MID}" r="3"/>
    <path class="wiring-body" d="M60 ${MID - 9}H70A9 9 0 0 1 70 ${MID + 9}H60Z"/><path class="wiring-thin" d="M79 ${MID - 4}H88M79 ${MID + 4}H88"/>`,
  selector: ({ lines }) => html`<circle class="wiring-dot" cx="${BANK}" cy="${MID}" r="4"/>${lines.feeder.above && html`<circle class="wiring-dot" cx="${FEEDER}" cy="${MID}" r="4"/>`}
    <rect class="wiring-ground" x="${BLOCK - 3}" y="${MID}" width="6" height="14"/><line class="wiring-block" x1="${BANK}" x2="${BLOCK - 4}" y1="${MID}" y2="${MID + 9}"/><circle class="wiring-dot" cx="${BLOCK}" cy="${MID + 14}" r="4"/>`,
  joint: () => html`<line class="wiring-bank" x1="${BANK}" x2="${BLOCK}" y1="${MID}" y2="${MID}"/><circle class="wiring-dot" cx="${BANK}" cy="${MID}" r="3"/><circle class="wiring-dot" cx="${BLOCK}" cy="${MID}" r="3"/>`,
};

/** Line width that grows with the copper; a wire that the rig does not describe is thin. [px] */
function thickness(part) {
  const awg = String(part.wire_awg ?? '');
  const zeros = /^(\d)\/0$/.exec(awg);
  const number = zeros ? 1 - Number(zeros[1]) : Number(awg);
  const area = part.wire_mm2 ?? (awg && Number.isFinite(number) ? 0.012668 * 92 ** ((36 - number) / 19.5) : 0); // ASTM B258
  return area > 0 ? Math.min(7, 1 + 0.9 * Math.sqrt(area)).toFixed(1) : '1';
}
