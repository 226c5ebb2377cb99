// store.js - the phone's memory: IndexedDB, and nothing else touches it. Every entry is written as a change (an
// immutable operation) and folded into its row in the same transaction, so that exchanging changes with a server
// later has nothing to convert.
import { openDB } from '../vendor/idb.js';
import { outworn, speaksFromS } from './checkpoints.js';
import { fromRows, timeOf, toRows } from './export-file.js';
import { tick, ZERO } from './hlc.js';
import { fold } from './merge.js';
import { newId } from './uuid7.js';

const NAME = 'daybank';
const VERSION = 3;
const SCHEMA_VERSION = 1; // of the records, not of the database
const STRICT = { durability: 'strict' }; // "saved" is said only when the disk has it
const STATE_TABLES = ['position', 'event']; // what an old record of these set still stands today
const everything = (id) => IDBKeyRange.bound([id], [id, []]); // an array sorts after every number and text

/** @returns {Promise<Store>} */
export async function openStore() {
  const store = new Store();
  await store.connect();
  return store;
}

class Store {
  constructor() {
    this.channel = typeof BroadcastChannel === 'function' ? new BroadcastChannel(NAME) : null;
    this.draftsWaiting = new Map();
    this.draftRunning = null;
  }

  async connect() {
    this.db = await openDB(NAME, VERSION, {
      upgrade(db, from, to, tx) {
        if (from < 1) {
          db.createObjectStore('ops', { keyPath: 'op.id' }).createIndex('rig', 'rig');
          db.createObjectStore('rows', { keyPath: ['rig', 'tbl', 'row'] }).createIndex('time', ['rig', 't']);
          db.createObjectStore('rigs', { keyPath: 'id' });
          db.createObjectStore('drafts');
          db.createObjectStore('answers');
          db.createObjectStore('meta');
        }
        if (from < 2) {
          tx.objectStore('rows').createIndex('kind', ['rig', 'tbl', 't']);
          db.createObjectStore('checkpoints', { keyPath: ['rig', 'members', 'at'] });
        }
        if (from < 3) db.createObjectStore('photos', { keyPath: ['rig', 'name'] });
      },
      blocking(current, next, event) {
        event.target.close(); // a newer version of this page, or safe mode, wants the database
      },
    });
  }

  /** Runs `work(db)`; a handle that the system has closed behind our back is opened anew, once. */
  async run(work) {
    try {
      return await work(this.db);
    } catch (error) {
      if (!['InvalidStateError', 'UnknownError'].includes(error.name)) throw error;
      try {
        this.db.close();
      } catch { /* it was closed already */ }
      await this.connect();
      return work(this.db);
    }
  }

  onChange(listener) {
    if (this.channel) this.channel.addEventListener('message', (event) => listener(event.data));
  }

  // ---- rigs

  rigs() {
    return this.run((db) => db.getAll('rigs'));
  }

  rig(id) {
    return this.run((db) => db.get('rigs', id));
  }

  /**
   * What the model and the pages need of a rig: its parts, the log since a moment, and what still stands from before it.
   * @param {string} id @param {number} sinceS epoch [s]
   * @returns {Promise<{data: object, older: boolean, changes: number, checkpoints: object[]}>} the export; whether there
   *   is an older log; how often the rig was changed; the checkpoints that still stand
   */
  loadRig(id, sinceS) {
    return this.run(async (db) => {
      const tx = db.transaction(['rows', 'checkpoints', 'meta']);
      const time = tx.objectStore('rows').index('time');
      const kind = tx.objectStore('rows').index('kind');
      const before = (start) => IDBKeyRange.bound([...start, 1], [...start, sinceS], false, true);
      const [parts, log, first, changes, checkpoints, ...standing] = await Promise.all([
        time.getAll(IDBKeyRange.bound([id, 0], [id, 1], false, true)), time.getAll(IDBKeyRange.bound([id, sinceS], [id, Infinity])),
        time.getKey(before([id])), tx.objectStore('meta').get(`changes/${id}`), tx.objectStore('checkpoints').getAll(everything(id)),
        ...STATE_TABLES.map((tbl) => kind.getAll(before([id, tbl]))),
      ]);
      return { data: fromRows([...parts, ...standing.flat(), ...log]), older: first !== undefined, changes: changes ?? 0, checkpoints };
    });
  }

  /** The whole of a rig as an export, for the person's own file. */
  exportRig(id) {
    return this.run(async (db) => fromRows(await db.getAllFromIndex('rows', 'time', IDBKeyRange.bound([id, 0], [id, Infinity]))));
  }

  /** All records of one kind, however old, as an export has them. */
  rowsOf(id, tbl, { deleted = false } = {}) {
    return this.run(async (db) => (await db.getAllFromIndex('rows', 'kind', IDBKeyRange.bound([id, tbl], [id, tbl, []])))
      .filter((row) => deleted || !row.fields.deleted).map((row) => ({ id: row.row, ...row.fields })));
  }

  /** Keeps a picture beside the log, by the name of what it holds. */
  savePhoto(id, name, blob) {
    return this.run((db) => db.put('photos', { rig: id, name, blob }));
  }

  /** @returns {Promise<Blob|null>} */
  async photo(id, name) {
    return ((await this.run((db) => db.get('photos', [id, name]))) || { blob: null }).blob;
  }

  /**
   * Takes a checked export in, wholly or not at all. A rig that is here already gains the rows it lacks; what is
   * here stays, since the file may be older than it.
   * @returns {Promise<{id: string, added: number, already: boolean}>}
   */
  importRig(exported, { demo = false } = {}) {
    const id = demo ? 'demo' : String(exported.rig.id ?? newId());
    return this.run(async (db) => {
      const tx = db.transaction(['ops', 'rows', 'rigs', 'meta', 'checkpoints'], 'readwrite', STRICT);
      const already = Boolean(await tx.objectStore('rigs').get(id));
      const held = new Set((await tx.objectStore('rows').index('time').getAllKeys(IDBKeyRange.bound([id, 0], [id, Infinity])))
        .map(([, tbl, row]) => `${tbl}/${row}`));
      const rows = toRows(exported, id, newId).filter(({ tbl, row }) => !held.has(`${tbl}/${row}`));
      await this.#apply(tx, id, rows);
      await tx.objectStore('rigs').put({ id, demo, name: exported.rig.name, asked_at: demo ? exported.asked_at : null });
      await tx.objectStore('meta').put(id, 'rig');
      await tx.done;
      this.#tell(id);
      return { id, added: rows.length, already };
    });
  }

  /** Takes a rig off this phone: its changes, rows, answer, checkpoints and drafts. */
  removeRig(id) {
    return this.run(async (db) => {
      const tx = db.transaction(['ops', 'rows', 'rigs', 'meta', 'answers', 'checkpoints', 'drafts', 'photos'], 'readwrite', STRICT);
      for (const key of await tx.objectStore('ops').index('rig').getAllKeys(id)) tx.objectStore('ops').delete(key);
      tx.objectStore('rows').delete(everything(id));
      tx.objectStore('checkpoints').delete(everything(id));
      tx.objectStore('photos').delete(everything(id));
      tx.objectStore('meta').delete(`changes/${id}`);
      tx.objectStore('rigs').delete(id);
      tx.objectStore('answers').delete(id);
      tx.objectStore('drafts').delete(IDBKeyRange.bound(`${id}/`, `${id}/\uffff`));
      const rest = (await tx.objectStore('rigs').getAllKeys()).filter((key) => key !== id);
      tx.objectStore('meta').put(rest[0] ?? null, 'rig');
      await tx.done;
      this.#tell(id);
    });
  }

  // ---- entries

  /**
   * Writes changes and, in the same transaction, drops the draft they came from.
   * @param {string} rigId @param {Array<{tbl: string, row: string, set: object}>} changes @param {string} [draft]
   * @returns {Promise<Array<{tbl, row, set}>>} the changes that take these back
   */
  write(rigId, changes, draft) {
    if (draft) this.draftsWaiting.delete(draft);
    return this.run(async (db) => {
      const tx = db.transaction(['ops', 'rows', 'rigs', 'meta', 'drafts', 'checkpoints'], 'readwrite', STRICT);
      const back = await this.#apply(tx, rigId, changes);
      const named = changes.find(({ tbl, set }) => tbl === 'rig' && set.name);
      if (named) await tx.objectStore('rigs').put({ ...await tx.objectStore('rigs').get(rigId), name: named.set.name });
      if (draft) await tx.objectStore('drafts').delete(draft);
      await tx.done;
      this.#tell(rigId);
      return back;
    });
  }

  /** Two tabs never give one clock value twice: their transactions both hold `meta`, so they run one after the other. */
  async #apply(tx, rigId, changes) {
    const meta = tx.objectStore('meta');
    let clock = (await meta.get('hlc')) ?? ZERO;
    let device = await meta.get('device');
    if (!device) {
      device = newId();
      await meta.put(device, 'device');
    }
    const described = await tx.objectStore('rows').get([rigId, 'rig', rigId]);
    const zone = described ? described.fields.timezone : null;
    let spoiledS = Infinity;
    const back = [];
    for (const { tbl, row, set } of changes) {
      clock = tick(clock, Date.now());
      const op = { id: newId(), dev: device, sv: SCHEMA_VERSION, hlc: clock, tbl, row, set };
      tx.objectStore('ops').add({ rig: rigId, op });
      const held = await tx.objectStore('rows').get([rigId, tbl, row]);
      const folded = fold(held, op);
      tx.objectStore('rows').put({ rig: rigId, tbl, row, t: timeOf(tbl, folded.fields), ...folded });
      back.unshift({ tbl, row, set: held ? Object.fromEntries(Object.keys(set).map((name) => [name, held.fields[name] ?? null])) : { deleted: true } });
      spoiledS = Math.min(spoiledS, speaksFromS(tbl, held && held.fields, zone), speaksFromS(tbl, folded.fields, zone));
    }
    await meta.put(clock, 'hlc');
    await meta.put(((await meta.get(`changes/${rigId}`)) ?? 0) + 1, `changes/${rigId}`);
    // In this very transaction: what was learned from the log as it was must not outlive it.
    const checkpoints = tx.objectStore('checkpoints');
    for (const key of await checkpoints.getAllKeys(everything(rigId))) if (key[2] > spoiledS) checkpoints.delete(key);
    return back;
  }

  #tell(rig) {
    if (this.channel) this.channel.postMessage({ rig });
  }

  // ---- drafts, answers, settings

  /** Keeps what is being typed. Writes of one draft do not pile up: only the latest waits. */
  saveDraft(key, value) {
    this.draftsWaiting.set(key, value);
    this.draftRunning ??= this.#writeDrafts().finally(() => {
      this.draftRunning = null;
    });
    return this.draftRunning;
  }

  async #writeDrafts() {
    while (this.draftsWaiting.size > 0) {
      const [key, value] = this.draftsWaiting.entries().next().value;
      this.draftsWaiting.delete(key);
      await this.run((db) => db.put('drafts', value, key));
    }
  }

  /** Resolves when everything typed so far is on the disk. */
  flush() {
    return this.draftRunning ?? Promise.resolve();
  }

  draft(key) {
    return this.run((db) => db.get('drafts', key));
  }

  async dropDraft(key) {
    this.draftsWaiting.delete(key);
    await this.draftRunning;
    return this.run((db) => db.delete('drafts', key));
  }

  answer(rigId) {
    return this.run((db) => db.get('answers', rigId));
  }

  saveAnswer(rigId, answer) {
    return this.run((db) => db.put('answers', answer, rigId));
  }

  /**
   * Lays checkpoints by, unless the rig was changed since the log that they were made of was read.
   * @param {string} rigId @param {number} changes as loadRig gave it @param {string} model @param {Array<{members, at, text}>} made
   */
  saveCheckpoints(rigId, changes, model, made) {
    return this.run(async (db) => {
      const tx = db.transaction(['checkpoints', 'meta'], 'readwrite');
      const store = tx.objectStore('checkpoints');
      if (((await tx.objectStore('meta').get(`changes/${rigId}`)) ?? 0) === changes) {
        for (const one of made) store.put({ rig: rigId, model, ...one });
        for (const one of outworn(await store.getAll(everything(rigId)), model)) store.delete([rigId, one.members, one.at]);
      }
      await tx.done;
    });
  }

  setting(key) {
    return this.run((db) => db.get('meta', key));
  }

  saveSetting(key, value) {
    return this.run((db) => db.put('meta', value, key));
  }
}
