// Sending: photographs first, then entries, at most 100 a time. What the book has not said it has,
// stays. Sending twice does no harm, so every doubt is answered by sending again.

import { wire } from "./outfile.js";

/** Most entries in one letter. */
export const BATCH = 100;
/** The usual wait between tries, and the longest. */
export const EVERY_MS = 15_000;
export const LONGEST_MS = 600_000;

/**
 * How long to wait after so many failures in a row: doubled each time.
 * @param {number} failures
 */
export const waitAfter = (failures) => Math.min(EVERY_MS * 2 ** Math.max(0, failures - 1), LONGEST_MS);

/** Ends a request that nobody answers. @param {number} ms @returns {AbortSignal | undefined} */
export const patience = (ms) => AbortSignal.timeout?.(ms);

/**
 * @typedef {object} Shelf what sending needs of the store
 * @property {() => Promise<import("./store.js").Entry[]>} outbox
 * @property {() => Promise<import("./store.js").Photo[]>} photographs
 * @property {(sha: string, change: object) => Promise<void>} markPhoto
 * @property {(results: {id: string, state: string, why?: string}[]) => Promise<void>} settle
 */
/**
 * @typedef {object} Sent
 * @property {"heard" | "unpaired" | "silent"} state  silent: no laptop, or one in trouble
 * @property {number} kept  how many entries the book now has
 * @property {number} [clock_off_ms]
 */

class Stop extends Error {
  /** @param {"unpaired" | "silent"} state */
  constructor(state) {
    super(state);
    this.state = state;
  }
}

/** @param {Response} response @returns {Promise<string>} why it was refused, in the laptop's words */
async function reason(response) {
  const text = await response.text().catch(() => "");
  try {
    const said = JSON.parse(text);
    return String(said.error ?? said.why ?? text);
  } catch {
    return text && text.length < 300 && !text.startsWith("<") ? text : `HTTP ${response.status}`;
  }
}

/** An answer that blames neither letter nor phone. @param {Response} response */
function check(response) {
  if (response.status === 401 || response.status === 403) throw new Stop("unpaired");
  // only these say something of the letter itself; all else is the laptop's trouble, and the letter waits
  if (!response.ok && ![400, 413, 422].includes(response.status)) throw new Stop("silent");
}

/**
 * @param {Shelf} shelf @param {typeof fetch} fetch
 * @param {import("./store.js").Entry[]} waiting
 */
async function photographs(shelf, fetch, waiting) {
  const named = new Set(waiting.flatMap((entry) => entry.photos));
  for (const photo of await shelf.photographs()) {
    if (photo.sent || photo.why !== undefined || !named.has(photo.sha256)) continue;
    const response = await fetch(`/api/photographs/${photo.sha256}`, {
      method: "PUT",
      headers: { "content-type": photo.type },
      body: photo.data,
      signal: patience(180_000),
      credentials: "same-origin",
      redirect: "error",
    });
    check(response);
    await shelf.markPhoto(photo.sha256, response.ok ? { sent: true } : { why: await reason(response) });
  }
}

/**
 * Sends all that waits.
 * @param {Shelf} shelf
 * @param {{id: string, name: string}} device
 * @param {{fetch: typeof fetch, now?: () => number}} how
 * @returns {Promise<Sent>}
 */
export async function drain(shelf, device, how) {
  const now = how.now ?? Date.now;
  /** @type {Sent} */
  const sent = { state: "heard", kept: 0 };
  try {
    let waiting = (await shelf.outbox()).filter((entry) => entry.state === "waits");
    await photographs(shelf, how.fetch, waiting);
    const turnedAway = new Map((await shelf.photographs()).filter((p) => p.why !== undefined).map((p) => [p.sha256, p.why]));
    const lame = waiting.filter((entry) => entry.photos.some((sha) => turnedAway.has(sha)));
    if (lame.length > 0) {
      await shelf.settle(lame.map(({ id, photos }) => ({ id, state: "refused", why: turnedAway.get(photos.find((sha) => turnedAway.has(sha)) ?? "") })));
      waiting = waiting.filter((entry) => !lame.includes(entry));
    }
    let size = BATCH;
    while (waiting.length > 0) {
      const batch = waiting.slice(0, size);
      const response = await how.fetch("/api/entries", {
        method: "POST",
        headers: { "content-type": "application/json" },
        body: JSON.stringify({ device: { id: device.id, name: device.name }, sent_ms: now(), entries: batch.map(wire) }),
        signal: patience(60_000),
        credentials: "same-origin",
        redirect: "error",
      });
      check(response);
      if (!response.ok) {
        // one bad line must not hold up the rest: halve the letter until it stands alone
        if (batch.length > 1) {
          size = Math.ceil(batch.length / 2);
          continue;
        }
        await shelf.settle([{ id: batch[0].id, state: "refused", why: await reason(response) }]);
        waiting = waiting.slice(1);
        continue;
      }
      const said = await response.json();
      sent.clock_off_ms = said.clock_off_ms;
      const results = Array.isArray(said.results) ? said.results : [];
      await shelf.settle(results);
      sent.kept += results.filter((/** @type {any} */ one) => ["kept", "known", "unread"].includes(one.state)).length;
      const answered = new Set(results.map((/** @type {any} */ one) => one.id));
      if (!batch.some((entry) => answered.has(entry.id))) throw new Stop("silent");
      waiting = waiting.slice(batch.length);
    }
  } catch (why) {
    sent.state = why instanceof Stop ? why.state : "silent";
  }
  return sent;
}
