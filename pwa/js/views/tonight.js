// views/tonight.js - how many days the battery still carries, how sure that is, and what to note down next.
import { dayOf } from '../clock.js';
import { draw, flag, html } from '../html.js';
import { decimal } from '../numbers.js';
import { dawns } from '../parts/dawns.js';
import { chance, middle, span } from '../parts/spans.js';
import { strip } from '../parts/strip.js';
import { newId } from '../uuid7.js';

const SKIES = ['clear', 'partly', 'overcast', 'rain'];
const OLD_ANSWER_S = 30 * 60;
const OLD_READING_S = 36 * 3600;

export function mount(root, app) {
  root.addEventListener('click', (event) => {
    const button = event.target.closest('[data-act]');
    if (button && button.dataset.act === 'sky') noteSky(app, button.dataset.value);
    if (button && button.dataset.act === 'again') app.compute();
  });
  // "toggle" does not bubble; what was opened stays open when a fresh answer is drawn.
  root.addEventListener('toggle', (event) => {
    if (event.target.id) app.opened[event.target.id] = event.target.open;
  }, true);
  const update = () => {
    const focused = focusIn(root);
    draw(root, page(app));
    if (focused) root.querySelector(focused)?.focus({ preventScroll: true });
    if (app.status === 'final' && app.answer) app.speak(root.querySelector('.headline').textContent.replace(/\s+/g, ' ').trim());
  };
  update();
  return { update };
}

/** How to find what has the focus again once the page is drawn anew. */
function focusIn(root) {
  const element = document.activeElement;
  if (!element || !root.contains(element)) return null;
  if (element.matches('summary')) return `#${element.parentElement.id} summary`;
  if (element.dataset.value) return `[data-value="${element.dataset.value}"]`;
  return element.getAttribute('href') ? `a[href="${element.getAttribute('href')}"]` : element.tagName;
}

function page(app) {
  const { say } = app.words;
  return html`<section class="answer" aria-busy="${app.status === 'computing'}">
    <p class="rig-name">${app.data.rig.name}</p>
    <div class="headline">${headline(app)}</div>
    <p class="status" role="status">${statusLine(app)}</p>
    ${app.status === 'error' && html`<p><button type="button" data-act="again">${say('tonight.again')}</button></p>`}
    ${app.answer && strip(app, app.answer)}
    ${app.answer && otherMoments(app, app.answer)}
    ${app.answer && app.answer.nights.length > 0 && dawns(app, app.answer)}
    ${app.answer && cautions(app, app.answer)}
    ${app.answer && howDoYouKnow(app, app.answer)}
  </section>
  <section class="note"><h2>${say('note.title')}</h2>${skyRow(app)}
    <ul class="rows">
      <li><a href="#/ran">${say('note.ran')}</a></li>
      ${chargers(app).length > 0 && html`<li><a href="#/charge">${say('note.charge')}</a></li>`}
      <li><a href="#/event">${say('note.event')}</a></li>
    </ul></section>
  <div class="action-bar"><a class="primary" href="#/reading">${say('tonight.add_reading')}</a></div>`;
}

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

function cautions(app, answer) {
  const list = answer.cautions || [];
  if (list.length === 0) return '';
  return html`<ul class="cautions">${list.map((caution) => html`<li>${app.sentence(caution)}</li>`)}</ul>`;
}

function howDoYouKnow(app, answer) {
  const { say, locale } = app.words;
  const soc = answer.state_of_charge;
  const percent = (share) => decimal(share * 100, 0, locale);
  return html`<details id="why"${flag('open', app.opened.why)}><summary>${say('why.title')}</summary>
    <p>${say('why.now', { low: percent(soc.p10), middle: percent(soc.p50), high: percent(soc.p90) })}</p>
    <ul>${(answer.because || []).map((reason) => html`<li>${app.sentence(reason)}</li>`)}</ul>
    ${learned(app, answer)}
    <p class="quiet">${say('why.estimate', { members: answer.members, version: answer.model_version })}</p></details>`;
}

const LEARNED = [['capacity_ah', 1, 0], ['draw_factor', 1, 2], ['harvest_factor', 1, 2], ['standby_a', 1, 2],
  ['connection_mohm', 1, 0], ['gauge_offset_v', 1, 2]];

function learned(app, answer) {
  const { say, locale } = app.words;
  const rows = LEARNED.filter(([name]) => answer.learned && answer.learned[name]).map(([name, factor, digits]) => {
    const { p10, p50, p90 } = answer.learned[name];
    const text = (value) => decimal(value * factor, digits, locale);
    return html`<tr><th scope="row">${say(`learned.${name}`)}</th><td>${text(p50)}</td><td>${say('learned.range', { low: text(p10), high: text(p90) })}</td></tr>`;
  });
  if (rows.length === 0) return '';
  return html`<table class="learned"><caption>${say('learned.caption')}</caption>
    <thead><tr><th>${say('learned.what')}</th><th>${say('learned.middle')}</th><th>${say('learned.likely')}</th></tr></thead><tbody>${rows}</tbody></table>`;
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
    await app.save([{ tbl: 'sky', row, set: noted ? { condition: word } : { day, condition: word } }]);
  } catch (error) {
    app.toast({ code: 'store.refused', args: { reason: error.name } });
    return;
  }
  app.toast({ code: 'sky.noted', args: { word: app.words.say(`sky.${word}`) } });
}
