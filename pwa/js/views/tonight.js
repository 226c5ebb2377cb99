// views/tonight.js - how many days the battery still carries, how sure that is, and what to note down next.
import { dayOf } from '../clock.js';
import { draw, flag, html } from '../html.js';
import { decimal } from '../numbers.js';
import { dawns } from '../parts/dawns.js';
import { chance, middle, span } from '../parts/spans.js';
import { makeSlots } from '../parts/slots.js';
import { strip } from '../parts/strip.js';
import { newId } from '../uuid7.js';

const SKIES = ['clear', 'partly', 'overcast', 'rain'];
const OLD_ANSWER_S = 30 * 60;
const OLD_READING_S = 36 * 3600;

export function mount(root, app) {
  const { say } = app.words;
  root.addEventListener('click', (event) => {
    const button = event.target.closest('[data-act]');
    if (button && button.dataset.act === 'sky') noteSky(app, button.dataset.value);
    if (button && button.dataset.act === 'again') app.compute();
  });
  // "toggle" does not bubble; what was opened stays open when the page is left and found again.
  root.addEventListener('toggle', (event) => {
    app.opened[event.target.id] = event.target.open;
    update();
  }, true);
  draw(root, html`<section class="answer"><p class="rig-name">${app.data.rig.name}</p>
      <div class="headline" data-slot="headline"></div><div data-slot="status"></div><div data-slot="strip"></div><div data-slot="moments"></div>
      <div data-slot="cautions"></div>
      ${behind(app, 'dawns', say('dawns.title'))}${behind(app, 'why', say('why.title'))}</section>
    <section class="note"><h2>${say('note.title')}</h2><div data-slot="sky"></div>
      <ul class="rows"><li><a href="#/ran">${say('note.ran')}</a></li>
        ${chargers(app).length > 0 && html`<li><a href="#/charge">${say('note.charge')}</a></li>`}
        <li><a href="#/event">${say('note.event')}</a></li><li><a href="#/stops">${say('stops.link')}</a></li></ul></section>
    <div class="action-bar"><a class="primary" href="#/reading">${say('tonight.add_reading')}</a></div>`);
  const slots = makeSlots(root);
  const update = async () => {
    const when = (part) => () => (app.answer ? part(app, app.answer) : '');
    const opened = (id, part) => () => (app.answer && app.opened[id] ? part(app, app.answer) : '');
    for (const id of ['dawns', 'why']) root.querySelector(`#${id}`).hidden = !app.answer;
    await slots.fill([['headline', () => headline(app)], ['status', () => status(app)]], [['strip', when(strip)], ['moments', when(otherMoments)],
      ['cautions', when(cautions)], ['dawns', opened('dawns', dawns)], ['why', opened('why', howDoYouKnow)], ['sky', () => skyRow(app)]]);
    if (app.status === 'final' && app.answer) app.speak(root.querySelector('.headline').textContent.replace(/\s+/g, ' ').trim());
  };
  const drawn = update();
  return { update, drawn };
}

/** What changes no action waits behind a line; it is worked out when it is opened. */
const behind = (app, id, title) => html`<details id="${id}"${flag('open', app.opened[id])}><summary>${title}</summary><div data-slot="${id}"></div></details>`;

function headline(app) {
  const { say, locale } = app.words;
  const { answer } = app;
  if (!answer) return html`<h1 tabindex="-1">${say(app.status === 'error' ? 'tonight.no_answer' : 'tonight.first_answer')}</h1>`;
  const range = answer.days_left;
  const below = answer.limit === 'below_floor' || range.p50 <= 0;
  if (below) return html`<h1 tabindex="-1">${say('tonight.below')}</h1><p class="likely">${say('tonight.below_detail', { floor: app.floor() })}</p>`;
  const beyond = range.p50 >= answer.horizon_days - 0.01;
  return html`<h1 tabindex="-1">${middle(say, range, answer.horizon_days)}</h1>
    ${!beyond && html`<p class="until">${say('tonight.until', { at: answer.asked_at + range.p50 * 86400 })}</p>`}
    <p class="likely">${say('tonight.likely', { span: span(say, range, answer.horizon_days, locale) })}</p>`;
}

function status(app) {
  return html`<p class="status" role="status">${statusLine(app)}</p>
    ${app.status === 'error' && html`<p><button type="button" data-act="again">${app.words.say('tonight.again')}</button></p>`}`;
}

function statusLine(app) {
  const { say } = app.words;
  const at = app.answer ? app.answer.asked_at : 0;
  if (app.status === 'error') return say(app.answer ? 'status.error_kept' : 'status.error', { reason: app.error, at });
  if (app.status === 'computing' && !app.answer) return say('status.computing');
  if (app.status === 'computing') return say(app.now() - at > OLD_ANSWER_S ? 'status.stale' : 'status.again', { at });
  if (app.status === 'first') return say('status.first');
  if (app.data.readings.length === 0) return say('status.no_reading');
  const latest = Math.max(...app.data.readings.map((reading) => Date.parse(reading.at) / 1000));
  const agoS = app.now() - latest;
  return say(agoS > OLD_READING_S ? 'status.old' : 'status.fresh', { at: latest, ago: agoS / 3600 });
}

/** The trip's end, no sun at all, and the first appliance to cut out: three moments that are never mixed. */
function otherMoments(app, answer) {
  const { say, locale } = app.words;
  const trip = app.trip();
  const dark = answer.days_left_without_sun;
  const cut = answer.first_cutoff;
  return html`<ul class="moments">
    ${trip && answer.reaches_trip_end !== null && html`<li>${chance(say, answer.reaches_trip_end, { at: trip.endsS })}</li>`}
    ${dark && html`<li>${say('tonight.dark', { middle: middle(say, dark, answer.horizon_days), span: span(say, dark, answer.horizon_days, locale) })}</li>`}
    ${cut && html`<li>${say(cut.days.p50 < answer.days_left.p50 ? 'tonight.cutoff' : 'tonight.cutoff_later', { name: app.circuitName(cut.circuit_id), days: cut.days.p50, share: Math.max(1, Math.round(cut.share * 10)) })}</li>`}
  </ul>`;
}

/** That it is an estimate stands in the headline, and in full behind "how do you know?". */
const GENERAL = 'caution_estimate';

function cautions(app, answer) {
  const list = (answer.cautions || []).filter((caution) => (caution.code || caution) !== GENERAL);
  if (list.length === 0) return '';
  return html`<ul class="cautions">${list.map((caution) => html`<li>${app.sentence(caution)}</li>`)}</ul>`;
}

function howDoYouKnow(app, answer) {
  const { say, locale } = app.words;
  const soc = answer.state_of_charge;
  const percent = (share) => decimal(share * 100, 0, locale);
  return html`<p>${say('why.now', { low: percent(soc.p10), middle: percent(soc.p50), high: percent(soc.p90) })}</p>
    <ul>${(answer.because || []).map((reason) => html`<li>${app.sentence(reason)}</li>`)}</ul>
    ${learned(app, answer)}
    <p class="quiet">${say('why.estimate', { members: answer.members, version: answer.model_version })} ${say(GENERAL)}</p>`;
}

/** What the log taught: name, factor to the unit on the screen, decimals, whether the sign is written. */
const LEARNED = [['capacity_ah', 1, 0], ['draw_factor', 100, 0], ['harvest_factor', 100, 0], ['standby_a', 1, 2],
  ['gauge_offset_v', 1, 2, true], ['connection_mohm', 1, 0]];

function learned(app, answer) {
  const { say, locale } = app.words;
  const rows = LEARNED.filter(([name]) => answer.learned && answer.learned[name]).map(([name, factor, digits, signed]) => {
    const { p10, p90 } = answer.learned[name];
    const sign = (value) => (value < 0 ? '−' : signed && value > 0 ? '+' : '');
    const text = (value) => `${sign(value)}${decimal(Math.abs(value) * factor, digits, locale)}`;
    return html`<div><dt>${say(`learned.${name}`)}</dt><dd>${say(`learned.range.${name}`, { low: text(p10), high: text(p90) })}</dd></div>`;
  });
  if (rows.length === 0) return '';
  return html`<p class="quiet">${say('learned.caption')}</p><dl class="learned">${rows}</dl>`;
}

function skyRow(app) {
  const { say } = app.words;
  const today = dayOf(app.now(), app.zone());
  const noted = app.data.skies.find((sky) => sky.day === today);
  return html`<div class="sky-row" role="group" aria-label="${say('sky.today')}"><span>${say('sky.today')}</span>
    <div class="chips-row">${SKIES.map((word) => html`<button type="button" class="chip-button" data-act="sky" data-value="${word}"
      aria-pressed="${Boolean(noted && noted.condition === word)}">${say(`sky.${word}`)}</button>`)}</div></div>`;
}

export const chargers = (app) => app.data.sources.filter((source) => source.kind !== 'solar');

async function noteSky(app, word) {
  const day = dayOf(app.now(), app.zone());
  const noted = app.data.skies.find((sky) => sky.day === day);
  const row = noted ? noted.id : newId();
  try {
    const undo = await app.save([{ tbl: 'sky', row, set: noted ? { condition: word } : { day, condition: word } }]);
    app.toast({ code: 'sky.noted', args: { word: app.words.say(`sky.${word}`) }, undo });
  } catch (error) {
    app.toast({ code: 'store.refused', args: { reason: error.name } });
  }
}
