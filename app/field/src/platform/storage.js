// The browser's locks and its database, as far as locks.rs, database.rs, keys.rs and page.rs ask
// for them; what is stored, and what goes wrong, is theirs to say.
//
// The phone's page runs this file before its program is there: the lock, the database that early.js
// opens, and what the first screen needs of it are then waiting when the program asks.

const TAB = 'combgate-tab';

// ---- Locks ----

/**
 * A function that gives the lock back, or null where somebody else holds it; undefined in a browser
 * without locks. The browser holds a lock for as long as the promise of its callback is open.
 */
export async function acquire(name, options) {
  return navigator.locks && new Promise((got) => {
    const held = (lock) => (lock ? new Promise((giveBack) => { got(giveBack); }) : got(null));
    // A request fails when its patience ran out; after it was got, this changes nothing.
    navigator.locks.request(name, options, held).catch(() => got(null));
  });
}

/** The right to be the one tab that works, if nobody has it. */
export function acquireTab() {
  const asked = earlyTab ?? acquire(TAB, { ifAvailable: true });
  earlyTab = undefined;
  return asked;
}

// ---- The database ----

/** A request's result. Must be asked for before the browser answers. */
const answer = (request) => new Promise((done, failed) => {
  request.onsuccess = () => done(request.result);
  request.onerror = () => failed(request.error);
});

/** Opens a database; makes the stores of its first version. */
export async function open(name, version, stores) {
  const there = await earlyDatabase;
  earlyDatabase = undefined;
  if (there?.name === name && there.version === version) return there;
  there?.close();
  const opening = indexedDB.open(name, version);
  opening.onupgradeneeded = () => {
    // A later version adds steps, and never removes a journal.
    for (const store of stores) opening.result.createObjectStore(store);
  };
  return answer(opening);
}

const within = (from, to) => (to === undefined ? from : IDBKeyRange.bound(from, to));

/** What can be asked of a store. */
const ASKS = {
  get: (store, key) => answer(store.get(key)),
  all: (store, from, to) => answer(store.getAll(within(from, to))),
  keys: (store, from, to) => answer(store.getAllKeys(within(from, to))),
  count: (store) => answer(store.count()),
  lastKey: (store, from, to) => answer(store.openKeyCursor(within(from, to), 'prev'))
    .then((cursor) => cursor?.key),
  last: (store) => answer(store.openCursor(null, 'prev'))
    .then((cursor) => cursor && [cursor.key, cursor.value]),
};

/** Asks a store in one look, all questions before the first answer. */
export async function read(database, store, asks) {
  const answers = asks.map((ask) => takeKnown(store, ask));
  if (answers.every(Boolean)) return Promise.all(answers);
  const from = database.transaction(store).objectStore(store);
  return Promise.all(asks.map(([ask, ...words]) => ASKS[ask](from, ...words)));
}

/**
 * Changes stores in one step, all or nothing, and is done once the browser reports it complete.
 * Strict: the browser reports that only once the data is on the storage medium; its own default
 * would let a power cut take back what was reported (Indexed Database API 3.0, durability).
 */
function strictly(database, stores, work) {
  known.clear();
  return new Promise((done, failed) => {
    const transaction = database.transaction(stores, 'readwrite', { durability: 'strict' });
    // Why is said here alone by a browser with no room left.
    transaction.onabort = () => failed(transaction.error);
    const undo = (problem) => {
      failed(problem);
      // It may be over already.
      try { transaction.abort(); } catch { /* then there is nothing to undo */ }
    };
    const doing = (step) => { try { step(); } catch (problem) { undo(problem); } };
    doing(() => work(transaction, { done, undo, doing }));
  });
}

/** Makes changes, each a store, what is done to it, and with what. */
export function change(database, changes) {
  const stores = [...new Set(changes.map(([store]) => store))];
  return strictly(database, stores, (transaction, { done }) => {
    transaction.oncomplete = () => done();
    for (const [store, how, ...words] of changes) transaction.objectStore(store)[how](...words);
  });
}

/**
 * Adds to a journal's end, with the note whose it is. Gives the place that comes next: where that is
 * not `place`, nothing was added.
 */
export function append(database, journal, place, entry, notes, whose) {
  return strictly(database, [journal, notes], (transaction, { done, undo, doing }) => {
    const store = transaction.objectStore(journal);
    const last = store.openKeyCursor(null, 'prev');
    last.onsuccess = () => doing(() => {
      const next = (last.result?.key ?? 0) + 1;
      transaction.oncomplete = () => done(next);
      if (next !== place) return;
      // `add`, never `put`: what is there stays as it is.
      if (whose !== undefined) transaction.objectStore(notes).add(place, whose);
      store.add(entry, place);
    });
    last.onerror = () => undo(last.error);
  });
}

/** The public half of a key pair as a JSON Web Key. */
export const publicKey = (key) => exported.get(key) ?? crypto.subtle.exportKey('jwk', key);

// ---- What can wait ----

/** Does something once nothing more urgent waits, such as a key and what follows from it. */
export function later(work) {
  if (globalThis.scheduler?.postTask) scheduler.postTask(work, { priority: 'background' });
  else setTimeout(work);
}

// ---- Before the program is there ----

/** Answers by their questions. Each is given once, and none after the first change. */
const known = new Map();
const exported = new WeakMap();
let earlyTab;
let earlyDatabase;

const named = (store, ask) => JSON.stringify([store, ...ask]);

function takeKnown(store, ask) {
  const name = named(store, ask);
  const early = known.get(name);
  known.delete(name);
  return early;
}

/** Place of the entry that the snapshot was taken after, as preferences.rs keeps it. */
function snapshotPlace() {
  try {
    return Number(localStorage.getItem('combgate-snapshot'));
  } catch {
    return 0; // the program finds out what is the matter
  }
}

/** Keeps the database only as the one tab that works, and asks it for what the program will ask for. */
async function askEarly(opening) {
  const [database, isAlone] = await Promise.all([opening, earlyTab]);
  if (!isAlone) {
    database.close();
    return undefined;
  }
  // In the words of journal.rs, keys.rs and state.rs; what they ask otherwise they ask anew. Nobody
  // else writes from here on, and the first change made here makes an end of it.
  const ask = (store, ...asks) => {
    const from = database.transaction(store).objectStore(store);
    return asks.map((each) => {
      const [how, ...words] = each;
      const answered = ASKS[how](from, ...words);
      // Whoever asks for it hears of what is wrong.
      answered.catch(() => {});
      known.set(named(store, each), answered);
      return answered;
    });
  };
  ask('state', ['get', 'snapshot'], ['get', 'brief-head'], ['get', 'acknowledgement'], ['get', 'lock'],
    ['lastKey', 'bundle-0000000000', 'bundle-4294967295']);
  const place = snapshotPlace();
  // What is no place at all would undo the rest.
  if (place > 0 && place <= 4294967295) ask('journal', ['all', place, 4294967295]);
  const [key] = ask('keys', ['get', 'handset']);
  key.then((pair) => exported.set(pair.publicKey, crypto.subtle.exportKey('jwk', pair.publicKey)))
    .catch(() => {}); // none yet
  return database;
}

const opening = globalThis.combgateEarly?.database;
if (opening) {
  earlyTab = acquire(TAB, { ifAvailable: true });
  // What is wrong is found again, and told, when the program asks.
  earlyDatabase = askEarly(opening).catch(() => undefined);
}
