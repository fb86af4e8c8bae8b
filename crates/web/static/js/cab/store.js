// What this phone keeps: one IndexedDB database. A write counts only when its transaction says
// "complete", and entry, number and photographs go into one strict transaction together.

import { deviceId, entryId, stampAfter } from "./ids.js";
import { zoneHere } from "./clock.js";

const NAME = "stook-cab";
const VERSION = 1;
/** How many entries that reached the book this phone goes on listing. */
export const KEPT_LISTED = 200;

/**
 * @typedef {object} Photo
 * @property {string} sha256
 * @property {ArrayBuffer} data
 * @property {string} type
 * @property {string} name
 * @property {boolean} [sent]
 * @property {string} [why]  why the laptop refused it
 */
/**
 * @typedef {object} Draft an entry not yet numbered
 * @property {string} kind
 * @property {Record<string, string[]>} figures
 * @property {string} label  how lists name it
 * @property {string} [said]  what was saved, in a sentence
 * @property {string[]} [replaces]
 * @property {number} [happened_ms]
 * @property {Photo[]} [photos]
 */
/**
 * @typedef {object} Entry
 * @property {number} seq
 * @property {string} id
 * @property {number} stamp_ms
 * @property {number} happened_ms
 * @property {string} zone
 * @property {string} kind
 * @property {Record<string, string[]>} figures
 * @property {string[]} replaces
 * @property {string} label
 * @property {string} said
 * @property {string[]} photos
 * @property {"waits" | "refused" | "kept" | "known" | "unread"} state
 * @property {string} [why]
 * @property {number} [acked_ms]
 */

/** @template T @param {IDBRequest<T>} request @returns {Promise<T>} */
export const answer = (request) =>
  new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });

/** Resolves only on "complete". @param {IDBTransaction} transaction @returns {Promise<void>} */
export const complete = (transaction) =>
  new Promise((resolve, reject) => {
    transaction.oncomplete = () => resolve();
    transaction.onabort = () => reject(transaction.error ?? new Error("aborted"));
    transaction.onerror = () => reject(transaction.error);
  });

/** @param {IDBFactory} [factory] @returns {Promise<IDBDatabase>} */
export function openStore(factory = globalThis.indexedDB) {
  return new Promise((resolve, reject) => {
    if (!factory) {
      reject(new Error("no storage"));
      return;
    }
    const request = factory.open(NAME, VERSION);
    request.onupgradeneeded = () => {
      const db = request.result;
      db.createObjectStore("meta");
      db.createObjectStore("outbox", { keyPath: "seq" });
      db.createObjectStore("photographs", { keyPath: "sha256" });
      db.createObjectStore("kept", { keyPath: "seq" });
      db.createObjectStore("drafts");
    };
    request.onsuccess = () => {
      request.result.onversionchange = () => request.result.close();
      resolve(request.result);
    };
    request.onerror = () => reject(request.error);
    request.onblocked = () => reject(new Error("another page of this program holds the storage; close it"));
  });
}

/** A transaction that reaches the disk before it completes. @param {IDBDatabase} db @param {string[]} stores */
const strict = (db, stores) => db.transaction(stores, "readwrite", { durability: "strict" });

/** @param {IDBDatabase} db @param {string} key @returns {Promise<any>} */
export const meta = (db, key) => answer(db.transaction("meta").objectStore("meta").get(key));

/** @param {IDBDatabase} db @param {string} key @param {unknown} value */
export async function setMeta(db, key, value) {
  const transaction = db.transaction("meta", "readwrite");
  transaction.objectStore("meta").put(value, key);
  await complete(transaction);
}

/** This phone's id, made once. @param {IDBDatabase} db @returns {Promise<string>} */
export async function deviceOf(db) {
  const transaction = strict(db, ["meta"]);
  const store = transaction.objectStore("meta");
  const known = await answer(store.get("device"));
  const id = known ?? deviceId();
  if (!known) store.put(id, "device");
  await complete(transaction);
  return id;
}

/**
 * Keeps entries: ids, numbers, times, photographs and the used-up draft in ONE strict transaction.
 * @param {IDBDatabase} db
 * @param {Draft[]} drafts
 * @param {{now?: number, zone?: string, done?: string}} [how]  `done`: the draft that they came from
 * @returns {Promise<Entry[]>}
 */
export async function append(db, drafts, how = {}) {
  const now = how.now ?? Date.now();
  const transaction = strict(db, ["meta", "outbox", "photographs", "drafts"]);
  const finished = complete(transaction);
  const metas = transaction.objectStore("meta");
  let seq = (await answer(metas.get("seq"))) ?? 0;
  let stamp = await answer(metas.get("stamp"));
  /** @type {Entry[]} */
  const entries = [];
  for (const draft of drafts) {
    seq += 1;
    stamp = stampAfter(now, stamp);
    /** @type {Entry} */
    const entry = {
      seq,
      id: entryId(now),
      stamp_ms: stamp,
      happened_ms: draft.happened_ms ?? now,
      zone: how.zone ?? zoneHere(),
      kind: draft.kind,
      figures: draft.figures,
      replaces: draft.replaces ?? [],
      label: draft.label,
      said: draft.said ?? "",
      photos: (draft.photos ?? []).map((photo) => photo.sha256),
      state: "waits",
    };
    for (const photo of draft.photos ?? []) transaction.objectStore("photographs").put({ ...photo, sent: false });
    transaction.objectStore("outbox").add(entry);
    entries.push(entry);
  }
  metas.put(seq, "seq");
  metas.put(stamp, "stamp");
  if (how.done) transaction.objectStore("drafts").delete(how.done);
  await finished;
  return entries;
}

/** @param {IDBDatabase} db @returns {Promise<Entry[]>} what the book has not, oldest first */
export const outbox = (db) => answer(db.transaction("outbox").objectStore("outbox").getAll());

/** @param {IDBDatabase} db @returns {Promise<Entry[]>} what the book has, oldest first */
export const kept = (db) => answer(db.transaction("kept").objectStore("kept").getAll());

/** @param {IDBDatabase} db @returns {Promise<Photo[]>} */
export const photographs = (db) => answer(db.transaction("photographs").objectStore("photographs").getAll());

/** @param {IDBDatabase} db @param {string} sha256 @param {Partial<Photo>} change */
export async function markPhoto(db, sha256, change) {
  const transaction = strict(db, ["photographs"]);
  const finished = complete(transaction);
  const store = transaction.objectStore("photographs");
  const photo = await answer(store.get(sha256));
  if (photo) store.put({ ...photo, ...change });
  await finished;
}

/**
 * Writes down what the laptop answered: what the book has moves to `kept`, what it refused stays
 * with the reason. Photographs go once no waiting entry names them. Nothing else is ever removed.
 * @param {IDBDatabase} db
 * @param {{id: string, state: string, why?: string}[]} results
 * @param {number} [now]
 */
export async function settle(db, results, now = Date.now()) {
  const transaction = strict(db, ["outbox", "kept", "photographs"]);
  const finished = complete(transaction);
  const box = transaction.objectStore("outbox");
  const keptStore = transaction.objectStore("kept");
  const photos = transaction.objectStore("photographs");
  const byId = new Map(results.map((result) => [result.id, result]));
  /** @type {Entry[]} */
  const all = await answer(box.getAll());
  const named = new Set();
  const free = new Set();
  for (const entry of all) {
    const result = byId.get(entry.id);
    const inBook = result && ["kept", "known", "unread"].includes(result.state);
    for (const sha of entry.photos) (inBook ? free : named).add(sha);
    if (inBook) {
      keptStore.put({ ...entry, state: result.state, why: result.why, acked_ms: now });
      box.delete(entry.seq);
    } else if (result?.state === "refused") {
      box.put({ ...entry, state: "refused", why: result.why ?? "" });
    }
  }
  for (const sha of free) if (!named.has(sha)) photos.delete(sha);
  const keys = await answer(keptStore.getAllKeys());
  for (const key of keys.slice(0, Math.max(0, keys.length - KEPT_LISTED))) keptStore.delete(key);
  await finished;
}

/** What was turned away waits again, with its photographs. @param {IDBDatabase} db */
export async function again(db) {
  const transaction = strict(db, ["outbox", "photographs"]);
  const finished = complete(transaction);
  for (const name of ["outbox", "photographs"]) {
    const store = transaction.objectStore(name);
    for (const { why, ...one } of await answer(store.getAll())) {
      if (one.state === "refused") store.put({ ...one, state: "waits" });
      else if (why !== undefined) store.put({ ...one, sent: false });
    }
  }
  await finished;
}

/** @param {IDBDatabase} db @returns {Promise<Map<string, any>>} half-typed forms by screen */
export async function drafts(db) {
  const transaction = db.transaction("drafts");
  const store = transaction.objectStore("drafts");
  const [keys, values] = await Promise.all([answer(store.getAllKeys()), answer(store.getAll())]);
  return new Map(keys.map((key, at) => [String(key), values[at]]));
}

/** @param {IDBDatabase} db @param {string} screen @param {any} draft  undefined forgets it */
export async function setDraft(db, screen, draft) {
  const transaction = db.transaction("drafts", "readwrite");
  const store = transaction.objectStore("drafts");
  if (draft === undefined) store.delete(screen);
  else store.put(draft, screen);
  await complete(transaction);
}
