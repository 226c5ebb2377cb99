// safe.js - safe mode: copies all stored data into a file, and fetches the program anew.
//
// A classic script without imports and without the app's own storage module, since either may be what is broken. It
// opens the databases as they are, at whatever version, and writes nothing into them.

(() => {
  const FORMAT = 'daybank-safe-copy/1';
  const KNOWN_DATABASES = ['daybank']; // for browsers that cannot list databases
  const say = (sentence) => { document.getElementById('outcome').textContent = sentence; };

  document.getElementById('copy').addEventListener('click', () => attempt(saveCopy));
  document.getElementById('renew').addEventListener('click', () => attempt(renew));

  async function attempt(work) {
    try {
      await work();
    } catch (error) {
      say(`That did not work: ${error.message ?? error}. Nothing was changed.`);
    }
  }

  async function saveCopy() {
    say('Reading …');
    const databases = [];
    for (const name of await databaseNames()) {
      const copy = await readDatabase(name);
      if (copy) databases.push(copy);
    }
    const copy = { format: FORMAT, databases, local_storage: { ...localStorage } };
    const entries = databases.flatMap((base) => Object.values(base.stores)).reduce((sum, rows) => sum + rows.length, 0);
    offerFile(JSON.stringify(copy, null, 1), `daybank-copy-${new Date().toISOString().slice(0, 10)}.json`);
    say(entries ? `Saved ${entries} stored items into a file.` : 'This phone holds no entries; the file says so.');
  }

  async function databaseNames() {
    if (!indexedDB.databases) return KNOWN_DATABASES;
    return (await indexedDB.databases()).map((base) => base.name);
  }

  /** Every store of one database as [{key, value}], or null if there is no such database. */
  async function readDatabase(name) {
    const base = await new Promise((resolve, reject) => {
      const opening = indexedDB.open(name);
      opening.onupgradeneeded = () => opening.transaction.abort(); // it did not exist: do not make it now
      opening.onsuccess = () => resolve(opening.result);
      opening.onerror = () => (opening.error.name === 'AbortError' ? resolve(null) : reject(opening.error));
      opening.onblocked = () => reject(new Error('another tab holds the data; close it and try again'));
    });
    if (!base) return null;
    const stores = {};
    for (const store of base.objectStoreNames) stores[store] = await readStore(base, store);
    base.close();
    return { name, version: base.version, stores };
  }

  async function readStore(base, store) {
    const rows = [];
    await new Promise((resolve, reject) => {
      const reading = base.transaction(store, 'readonly').objectStore(store).openCursor();
      reading.onerror = () => reject(reading.error);
      reading.onsuccess = () => {
        const cursor = reading.result;
        if (!cursor) return resolve();
        rows.push({ key: cursor.primaryKey, value: cursor.value });
        cursor.continue();
      };
    });
    for (const row of rows) row.value = await plain(row.value);
    return rows;
  }

  /** Photos become text, so that the file holds them too. */
  async function plain(value) {
    if (value instanceof Blob) return { blob_type: value.type, base64: base64(await value.arrayBuffer()) };
    if (value instanceof ArrayBuffer) return { base64: base64(value) };
    if (ArrayBuffer.isView(value)) return { base64: base64(value.buffer) };
    if (value === null || typeof value !== 'object' || value instanceof Date) return value;
    if (Array.isArray(value)) return Promise.all(value.map(plain));
    const copy = {};
    for (const [name, item] of Object.entries(value)) copy[name] = await plain(item);
    return copy;
  }

  function base64(buffer) {
    let text = '';
    for (const byte of new Uint8Array(buffer)) text += String.fromCharCode(byte);
    return btoa(text);
  }

  function offerFile(text, name) {
    const link = document.createElement('a');
    link.href = URL.createObjectURL(new Blob([text], { type: 'application/json' }));
    link.download = name;
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
  }

  async function renew() {
    say('Asking the server …');
    if (!(await serverAnswers())) {
      say('The server does not answer, so nothing was removed: without it the app could not be loaded again.');
      return;
    }
    const registrations = (await navigator.serviceWorker?.getRegistrations()) ?? [];
    await Promise.all(registrations.map((registration) => registration.unregister()));
    const names = (await caches.keys()).filter((name) => name.startsWith('shell-'));
    await Promise.all(names.map((name) => caches.delete(name)));
    location.replace('/');
  }

  /** True only for our own worker script: a network's login page answers too, but with HTML. */
  async function serverAnswers() {
    try {
      const answer = await fetch('/sw.js', { cache: 'no-store' });
      return answer.ok && (answer.headers.get('content-type') ?? '').startsWith('text/javascript');
    } catch {
      return false;
    }
  }
})();
