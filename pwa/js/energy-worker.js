// energy-worker.js - runs the energy model, the same Python files as on the computer, in MicroPython. In: {id, question,
// members: [first, final]}, or {id, exported, asked_at} to have the question made here. Out: {id, stage, answer} twice
// (first, final), or {id, error, code}. A newer question takes the place of an older one between two stages.
import { loadMicroPython } from '../vendor/micropython.mjs';
import { ASSETS } from './assets-map.js';
import { dayOf, dayStartS, addDays } from './clock.js';
import { membersFor, questionFromExport } from './question.js';

const HEAP_BYTES = 32 * 1024 * 1024;
const PYTHON_STACK = 16 * 1024;
// Sunrise and sunset of a day, for the words about a reading; the model itself knows them already.
const RISE_SET = `
import json
from daybank.energy import sun

def rise_set_json(text):
    asked = json.loads(text)
    found = []
    for noon_s in asked["noons"]:
        day = sun.rise_set(noon_s, asked["lat_deg"], asked["lon_deg"])
        found.append([day.state, day.rise_s, day.set_s])
    return json.dumps(found)
`;

let model = null;
let waiting = null;
let running = false;

onmessage = (event) => {
  waiting = event.data;
  if (!running) work();
};

async function work() {
  running = true;
  while (waiting) {
    const task = waiting;
    waiting = null;
    try {
      model ??= start();
      await answer(await model, task);
    } catch (error) {
      if (!(error instanceof ModelError)) model = null; // the interpreter itself failed: the next question gets a fresh one
      postMessage({ id: task.id, error: String(error.message || error) });
    }
  }
  running = false;
}

class ModelError extends Error {}

/** Starts the interpreter and gives it the model's files. */
async function start() {
  const [python, bundle] = await Promise.all([
    loadMicroPython({ heapsize: HEAP_BYTES, pystack: PYTHON_STACK, url: ASSETS['micropython.wasm'] }),
    fetch(ASSETS['energy.json']).then((reply) => reply.json()),
  ]);
  python.FS.mkdir('/lib'); // the third entry of the interpreter's path
  const made = new Set();
  for (const [path, source] of Object.entries(bundle.files)) {
    const folders = path.split('/').slice(0, -1);
    folders.forEach((_, i) => {
      const folder = folders.slice(0, i + 1).join('/');
      if (!made.has(folder)) python.FS.mkdir(`/lib/${folder}`);
      made.add(folder);
    });
    python.FS.writeFile(`/lib/${path}`, source);
  }
  const forecast = python.pyimport('daybank.energy.forecast');
  return { answerJson: (text) => forecast.answer_json(text), python, riseSet: null, version: bundle.version };
}

async function answer({ answerJson, ...rest }, task) {
  const question = task.question ?? questionFromExport(task.exported, task.asked_at);
  const members = task.members ?? membersFor(question);
  for (const [stage, count] of [['first', members[0]], ['final', members[1]]]) {
    await new Promise((resolve) => { setTimeout(resolve); }); // lets a newer question in
    if (waiting) return;
    const startedMs = performance.now();
    const reply = JSON.parse(answerJson(JSON.stringify({ question, members: count, seed: 1 })));
    if (reply.error) throw new ModelError(reply.error);
    const suns = task.place ? risesAndSets({ ...rest }, question, task.place) : null;
    postMessage({ id: task.id, stage, answer: reply.answer, suns, ms: performance.now() - startedMs });
  }
}

/** @returns {Array<{day: string, state: string, rise_s: number, set_s: number}>} from two days ago to 16 days ahead */
function risesAndSets({ python }, question, place) {
  const zone = question.rig.timezone;
  const today = dayOf(question.asked_at, zone);
  const days = [];
  for (let i = -2; i <= 16; i += 1) days.push(addDays(today, i));
  python.runPython(RISE_SET);
  const noons = days.map((day) => dayStartS(day, zone) + 43200);
  const found = JSON.parse(python.globals.get('rise_set_json')(JSON.stringify({ noons, ...place })));
  return found.map(([state, rise, set], i) => ({ day: days[i], state, rise_s: rise, set_s: set }));
}
