// main.js - starts the app: opens the store, shows the stored answer, asks the model anew. The only module with effects
// on import; the clock is read here and nowhere else.
import { ASSETS } from './assets-map.js';
import { fitting } from './checkpoints.js';
import { around, bankOn, placeAt, switchable, tripAt } from './circumstances.js';
import { dayOf, dayStartS } from './clock.js';
import { makeEnergy } from './energy.js';
import { checkExport, readExport } from './export-file.js';
import { draw, flag, html } from './html.js';
import { openStore } from './store.js';
import { makeWords } from './words.js';
import * as charge from './views/charge.js';
import * as event from './views/event.js';
import * as first from './views/first.js';
import { checks, last } from './views/later.js';
import * as logbook from './views/logbook.js';
import * as part from './views/part.js';
import * as ran from './views/ran.js';
import * as reading from './views/reading.js';
import * as rig from './views/rig.js';
import * as sky from './views/sky.js';
import * as tonight from './views/tonight.js';
import { registerWorker } from './updates.js';

const VIEWS = { tonight, logbook, last, checks, rig, reading, ran, charge, event, sky, part };
/** Pages that are opened seldom: read when they are asked for, from the store of the service worker. */
const SELDOM = {
  position: () => import('./views/position.js'), labels: () => import('./views/labels.js'),
  commissioning: () => import('./views/commissioning.js'), handover: () => import('./views/handover.js'), csv: () => import('./views/csv.js'),
  setup: () => import('./views/setup/guide.js'), add: () => import('./views/setup/add.js'),
  stops: () => import('./views/stops.js'), trip: () => import('./views/setup/trip.js'), stop: () => import('./views/setup/stop.js'),
};
const TABS = ['tonight', 'logbook', 'last', 'checks', 'rig'];
const REFRESH_MS = 15 * 60 * 1000; // an answer about "now" older than this is asked anew
const TOAST_MS = 8000;
const REACH_S = 62 * 86400; // of log held in memory: what the model reads, and a little more

const app = {
  rigs: [], rigId: null, meta: null, data: null, answer: null, suns: [], checkpoints: [], changes: 0, askedChanges: 0,
  reachS: REACH_S, older: false, status: 'idle', error: '', opened: {}, look: 'auto', persisted: false,

  now: () => (app.meta && app.meta.demo ? Date.parse(app.meta.asked_at) / 1000 : Math.floor(Date.now() / 1000)),
  zone: () => (app.data ? app.data.rig.timezone : Intl.DateTimeFormat().resolvedOptions().timeZone),
  trip: () => tripAt(app.data, app.now()),
  floor: () => bankOn(app.data, dayOf(app.now(), app.zone())).floor_soc,
  circuits: () => switchable(app.data),
  circuitName: (id) => (app.data.circuits.find((circuit) => circuit.id === id) || {}).name || id || '',
  circumstances: (atS) => around(app.data, app.suns, atS, app.zone()),
  sunOn: (day) => app.suns.find((sun) => sun.day === day) || null,
  dayName: (day) => app.words.say('day.name', { at: dayStartS(day, app.zone()) + 43200 }),
  sentence: (item) => (typeof item === 'string' ? app.words.say(item) : app.words.say(item.code, named(item.args))),

  compute() {
    app.status = 'computing';
    app.error = '';
    // to the next five minutes, so that a reading typed a moment later finds the hours laid out
    const askedS = app.meta.demo ? app.now() : Math.ceil(app.now() / 300) * 300;
    app.askedChanges = app.changes;
    app.energy.ask(app.data, askedS, { place: placeAt(app.data, askedS), checkpoints: fitting(app.checkpoints, askedS, ASSETS['energy.json']) });
    redraw();
  },
  /** @returns {Promise<() => Promise>} takes the changes back, as changes of their own */
  async save(changes, draft) {
    const rigId = app.rigId;
    const back = await app.store.write(rigId, changes, draft);
    if (draft) localStorage.removeItem(`draft:${draft}`);
    keepForGood();
    await reload();
    app.compute();
    return async () => {
      if (app.rigId === rigId) await app.save(back);
    };
  },
  async openDemo() {
    const reply = await fetch(ASSETS['demo.json']);
    if (!reply.ok) throw new Error(String(reply.status));
    await app.store.importRig(readExport(await reply.text(), Date.now() / 1000), { demo: true });
    await openRig('demo');
  },
  async openFile(text) {
    const { id, added, already } = await app.store.importRig(readExport(text, Date.now() / 1000));
    await openRig(id);
    app.toast({ code: already ? 'file.merged' : 'file.opened', args: { n: added } });
  },
  /** Takes in a rig that was described on this phone, and shows it. */
  async makeRig(exported) {
    checkExport(exported, Date.now() / 1000);
    const { id } = await app.store.importRig(exported);
    await app.dropDraft('setup');
    history.replaceState(null, '', '#/tonight');
    await openRig(id);
    app.toast({ code: 'setup.done', args: { name: exported.rig.name } });
  },
  openRig: (id) => openRig(id),
  /** Reads further back in the log than the model does: a year, then two more, then four. */
  async reachBack() {
    app.reachS = Math.max(366 * 86400, 2 * app.reachS);
    await reload();
  },
  async removeRig() {
    await app.store.removeRig(app.rigId);
    await openRig(await app.store.setting('rig'));
  },
  async download() {
    const text = JSON.stringify(await app.store.exportRig(app.rigId), null, 1);
    const link = document.createElement('a');
    link.href = URL.createObjectURL(new Blob([text], { type: 'application/json' }));
    link.download = `daybank-${dayOf(app.now(), app.zone())}.json`;
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 60000);
  },
  setLook(look) {
    app.look = look;
    document.documentElement.dataset.look = look;
    app.store.saveSetting('look', look).catch(() => {}); // only a look: it comes back as it was
  },
  /** For a person who listens: the range, once it is final. The place stays while the pages around it are drawn anew. */
  speak(text) {
    if (byId('spoken').textContent !== text) byId('spoken').textContent = text;
  },
  canInstall: () => Boolean(app.installPrompt),
  async install() {
    await app.installPrompt.prompt();
    app.installPrompt = null;
    redraw();
  },
  toast,
  /** What was typed into a form and not saved; undefined when there is nothing. */
  draft: async (key) => (await app.store.draft(key)) || JSON.parse(localStorage.getItem(`draft:${key}`)) || undefined,
  dropDraft(key) {
    localStorage.removeItem(`draft:${key}`);
    return app.store.dropDraft(key);
  },
  /** The last resort for what is being typed when the database does not answer. */
  keepElsewhere: (key, value) => localStorage.setItem(`draft:${key}`, JSON.stringify(value)),
};

let current = null;
let toastTimer = null;

start();

async function start() {
  app.energy = makeEnergy({ onAnswer, onCheckpoints, onError });
  app.energy.wake();
  const opening = openStore();
  opening.catch(() => {}); // said below, once there are words to say it with
  app.words = makeWords(await loadWords(), { locale: navigator.language, zone: app.zone });
  try {
    app.store = await opening;
  } catch (error) {
    draw(byId('view'), html`<p class="problem" role="alert">${app.words.say('store.closed', { reason: error.name })}</p>`);
    document.documentElement.dataset.drawn = '';
    return;
  }
  const [look, rig, rigs] = await Promise.all([app.store.setting('look'), app.store.setting('rig'), app.store.rigs()]);
  app.look = look || 'auto';
  document.documentElement.dataset.look = app.look;
  window.addEventListener('hashchange', show);
  window.addEventListener('beforeinstallprompt', (prompt) => {
    prompt.preventDefault();
    app.installPrompt = prompt;
  });
  document.addEventListener('visibilitychange', () => {
    if (document.visibilityState === 'visible' && app.data && Date.now() - app.askedMs > REFRESH_MS) app.compute();
  });
  app.store.onChange(async ({ rig: changed }) => {
    if (changed === app.rigId && app.data) {
      await reload();
      app.compute();
    }
  });
  await openRig(rig, rigs);
  document.documentElement.dataset.drawn = '';
  app.persisted = Boolean(navigator.storage && navigator.storage.persisted && await navigator.storage.persisted());
  registerWorker(app.words, () => app.store.flush());
}

async function loadWords() {
  const wanted = navigator.languages.map((tag) => `words/${tag.split('-')[0]}.json`).find((name) => name in ASSETS);
  return (await fetch(ASSETS[wanted || 'words/en.json'])).json();
}

/** Opens a rig: its rows, its stored answer, then a fresh one. */
async function openRig(id, rigs) {
  app.energy.forget(); // an answer that is still on its way belongs to the rig before
  app.rigs = rigs || await app.store.rigs();
  app.meta = (id && app.rigs.find((item) => item.id === id)) || null;
  app.rigId = app.meta ? app.meta.id : null;
  app.data = null;
  app.answer = null;
  app.suns = [];
  app.reachS = REACH_S;
  if (!app.meta) {
    await show();
    return;
  }
  app.store.saveSetting('rig', app.rigId).catch(() => {}); // which rig was looked at last: losing it loses a tap
  const [stored] = await Promise.all([app.store.answer(app.rigId), reload()]);
  if (stored) ({ answer: app.answer, suns: app.suns } = stored);
  app.status = 'computing';
  await show();
  app.compute();
}

async function reload() {
  Object.assign(app, await app.store.loadRig(app.rigId, app.now() - app.reachS)); // data, older, changes, checkpoints
}

function onAnswer({ stage, answer, suns }) {
  app.answer = answer;
  app.suns = suns || app.suns;
  app.askedMs = Date.now();
  app.status = stage === 'final' ? 'final' : 'first';
  redraw();
  if (stage !== 'final') return;
  // Shown on the next opening until a fresh one is there; losing it loses nothing that cannot be worked out again.
  app.store.saveAnswer(app.rigId, { answer, suns: app.suns }).catch(() => {}).then(() => {
    if (app.answer === answer) document.documentElement.dataset.answer = app.status;
  });
}

function onCheckpoints(made) {
  if (made.length > 0) app.store.saveCheckpoints(app.rigId, app.askedChanges, ASSETS['energy.json'], made).catch(() => {}); // they save time, no more
}

function onError(message) {
  app.status = 'error';
  app.error = message;
  redraw();
}

/** A fresh answer changes the pages that show it; a form that is being filled is left alone. */
function redraw() {
  document.documentElement.dataset.answer = app.status === 'final' ? 'shown' : app.status;
  if (current && current.update) current.update();
}

async function show() {
  const [, name, ...args] = (location.hash || '#/tonight').split('/').map(decodeURIComponent);
  const asked = location.hash;
  const known = app.meta || name === 'setup'; // a rig can be described before there is one
  const view = known ? VIEWS[name] || (SELDOM[name] ? await SELDOM[name]() : tonight) : first;
  if (location.hash !== asked) return; // another page was asked for meanwhile
  if (isForm(name)) toast(null); // it would lie over the save button
  current = null;
  const root = document.createElement('div');
  root.className = `page page-${known ? name : 'first'}`;
  byId('view').replaceChildren(root);
  drawFrame(name);
  current = await view.mount(root, app, args);
  window.scrollTo(0, 0);
  const lead = root.querySelector(current.lead || 'h1');
  if (document.documentElement.dataset.drawn !== undefined && lead) lead.focus({ preventScroll: true });
}

const isForm = (name) => (name in VIEWS || name in SELDOM) && !TABS.includes(name);

function drawFrame(name) {
  const { say } = app.words;
  draw(byId('demo-note'), app.meta && app.meta.demo ? html`${say('demo.note', { at: app.now() })}` : '');
  // A form has its own way back; without the tabs its save button stands within the thumb's reach.
  const here = TABS.includes(name) ? name : 'tonight';
  draw(byId('tabs'), app.meta && !isForm(name) ? TABS.map((tab) => html`<a href="#/${tab}"${flag('aria-current="page"', tab === here)}>${say(`tab.${tab}`)}</a>`).reduce((all, one) => html`${all}${one}`) : '');
}

/** A line that goes away by itself; with an undo where there is something to take back. */
function toast(line) {
  clearTimeout(toastTimer);
  draw(byId('toast'), '');
  if (!line) return;
  const { code, args, undo } = line;
  draw(byId('toast'), html`<span>${app.words.say(code, args)}</span>${undo && html`<button type="button">${app.words.say('toast.undo')}</button>`}`);
  if (undo) {
    byId('toast').querySelector('button').addEventListener('click', async () => {
      try {
        await undo();
        draw(byId('toast'), '');
      } catch (error) {
        toast({ code: 'store.refused', args: { reason: error.name } });
      }
    });
  }
  toastTimer = setTimeout(() => draw(byId('toast'), ''), TOAST_MS);
}

/** After the first entry, not on load: a browser grants it more readily to a page in use. */
async function keepForGood() {
  if (app.persisted || !navigator.storage || !navigator.storage.persist) return;
  app.persisted = await navigator.storage.persist().catch(() => false);
}

/** Circuits inside a sentence go by their names. */
function named(args = {}) {
  return args.circuit_id === undefined ? args : { ...args, name: args.name ?? app.circuitName(args.circuit_id) };
}

function byId(id) {
  return document.getElementById(id);
}
