// energy-worker.js - runs the energy model, the same Python files as on the computer, in MicroPython. It starts the
// interpreter as soon as it is made. In: {id, question, members: [first, final]}, or {id, exported, asked_at,
// checkpoints} to have the question made here. Out: {id, stage, answer} twice (first, final) and then {id, checkpoints},
// or {id, error}. A newer question takes the place of an older one between two stages. A smaller sum for a page, of those
// that DOOR's `sum_json` knows, is {sum, name, text} in and {sum, text} or {sum, error} out; it waits for a stage's end.
import { loadMicroPython } from '../vendor/micropython.mjs';
import { ASSETS } from './assets-map.js';
import { dayOf, dayStartS, addDays } from './clock.js';
import { LOG_DAYS, MEMBERS, questionFromExport, recent } from './question.js';

const HEAP_BYTES = 32 * 1024 * 1024;
const PYTHON_STACK = 16 * 1024;
// What this worker asks of the model. The question that is laid out stays inside the interpreter: a handle to it on this
// side would keep it alive until the browser tidies up, and its memory is small.
const DOOR = `
import gc
import json
from daybank.energy import forecast, sun

asked = None
made = []

def lay_out(text):
    global asked
    made.clear()
    gc.collect()
    try:
        asked = forecast.asked_json(text, asked)
    except ValueError as error:
        asked = None
        return str(error) or "the question"
    return ""

def answer_json(members, checkpoint):
    kept = json.loads(checkpoint) if checkpoint else None
    asked.question["checkpoints"] = [kept] if kept else []
    try:
        text = asked.answer_json(members, 1)
    except ValueError as error:
        return json.dumps({"error": str(error) or "the question"})
    fresh = asked.kept
    if fresh and not (kept and kept["at"] == fresh["at"]):
        made.append(fresh)
    return text

def checkpoints_json():
    # written out after the answers: nobody waits for it
    return json.dumps([{"members": one["members"], "at": one["at"], "text": json.dumps(one)} for one in made])

def sum_json(name, text):
    # smaller sums for a page; their modules are read when one is first asked for
    if name == "sheet":
        from daybank.energy import sheet
        return sheet.rig_sheet_json(text)
    if name == "arc":
        from daybank.energy import arc
        return arc.arc_json(text)
    if name == "answer":
        return forecast.answer_json(text)
    return json.dumps({"error": "no such sum: " + name})

def rise_set_json(text):
    # sunrise and sunset, for the words about a reading; the model itself knows them already
    places = json.loads(text)
    found = []
    for noon_s in places["noons"]:
        day = sun.rise_set(noon_s, places["lat_deg"], places["lon_deg"])
        found.append([day.state, day.rise_s, day.set_s])
    return json.dumps(found)
`;

let model = start();
model.catch(() => {}); // the question that comes will tell
let waiting = null;
const sums = [];
let running = false;

onmessage = (event) => {
  if (event.data.sum) sums.push(event.data);
  else waiting = event.data;
  if (!running) work();
};

async function work() {
  running = true;
  while (waiting || sums.length > 0) {
    const task = waiting ?? {};
    waiting = null;
    try {
      model ??= start();
      const door = await model;
      if (!task.id) {
        doSums(door);
        continue;
      }
      await new Promise((resolve) => { setTimeout(resolve); }); // what came in while the interpreter started is newer
      if (!waiting) await answer(door, task);
    } catch (error) {
      if (!(error instanceof ModelError)) model = null; // the interpreter itself failed: the next question gets a fresh one
      for (const { sum } of sums.splice(0)) postMessage({ sum, error: String(error.message || error) });
      if (task.id) postMessage({ id: task.id, error: String(error.message || error) });
    }
  }
  running = false;
}

class ModelError extends Error {}

function doSums(door) {
  while (sums.length > 0) {
    const { sum, name, text } = sums[0];
    const reply = door.sum_json(name, text);
    sums.shift();
    postMessage({ sum, text: reply });
  }
}

/** Starts the interpreter and gives it the model's files. */
async function start() {
  dayOf(0, 'UTC'); // a browser's first look at a calendar takes long; here it waits for the interpreter anyway
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
  python.runPython(DOOR);
  return Object.fromEntries(['lay_out', 'answer_json', 'checkpoints_json', 'rise_set_json', 'sum_json'].map((name) => [name, python.globals.get(name)]));
}

async function answer(door, task) {
  const checkpoints = task.checkpoints ?? [];
  let startedMs = performance.now();
  const question = task.question ?? questionFromExport(recent(task.exported, task.asked_at), task.asked_at,
    { mostDaysBack: LOG_DAYS, reachS: Math.min(task.asked_at, ...checkpoints.map((one) => one.at)) });
  const members = task.members ?? MEMBERS;
  const fault = door.lay_out(JSON.stringify(question));
  if (fault) throw new ModelError(fault);
  for (const [stage, count] of [['first', members[0]], ['final', members[1]]]) {
    const kept = checkpoints.find((one) => one.members === count);
    const reply = JSON.parse(door.answer_json(count, kept ? kept.text : ''));
    if (reply.error) throw new ModelError(reply.error);
    const suns = task.place && stage === 'first' ? risesAndSets(door, question, task.place) : undefined;
    postMessage({ id: task.id, stage, answer: reply.answer, suns, ms: performance.now() - startedMs });
    await new Promise((resolve) => { setTimeout(resolve); }); // lets a newer question in
    if (waiting) return;
    doSums(door);
    startedMs = performance.now();
  }
  postMessage({ id: task.id, stage: 'checkpoints', checkpoints: JSON.parse(door.checkpoints_json()) });
}

/** @returns {Array<{day: string, state: string, rise_s: number, set_s: number}>} from two days ago to 16 days ahead */
function risesAndSets(door, question, place) {
  const zone = question.rig.timezone;
  const today = dayOf(question.asked_at, zone);
  const days = [];
  for (let i = -2; i <= 16; i += 1) days.push(addDays(today, i));
  const noons = days.map((day) => dayStartS(day, zone) + 43200);
  const found = JSON.parse(door.rise_set_json(JSON.stringify({ noons, ...place })));
  return found.map(([state, rise, set], i) => ({ day: days[i], state, rise_s: rise, set_s: set }));
}
