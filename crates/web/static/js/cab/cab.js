// The cab's one state: what is kept on this phone, what it knows, and what the laptop last said.

import { drain, patience, waitAfter, EVERY_MS } from "./drain.js";
import { knows, since } from "./knows.js";
import { usual } from "./settings.js";
import * as store from "./store.js";
import { zoneHere } from "./clock.js";
import { t } from "./text.js";

/**
 * @typedef {object} Link
 * @property {"unknown" | "heard" | "silent" | "unpaired"} state
 * @property {number | null} silentSince  when the laptop was last heard, while it is not
 * @property {number} failures
 * @property {number} clockOff  how far this phone's clock is off, milliseconds
 */
/** @typedef {import("./store.js").Entry} Entry */

export class Cab extends EventTarget {
  /** @type {IDBDatabase | null} */
  db = null;
  /** Why this phone keeps nothing, if so. */
  refused = "";
  persisted = false;
  device = "";
  /** @type {import("./settings.js").Settings} */
  settings = usual();
  /** @type {any} */
  snapshot = null;
  /** When the snapshot was asked for. */
  asked = 0;
  /** @type {any} */
  chosen = null;
  /** @type {Entry[]} */
  waiting = [];
  /** @type {Entry[]} */
  kept = [];
  /** @type {Map<string, any>} */
  drafts = new Map();
  /** @type {Record<string, any>} what was chosen last, for choices only, never for figures */
  last = {};
  /** @type {{entries: Entry[], at: number} | null} what the Saved screen shows */
  saved = null;
  /** @type {Link} */
  link = { state: "unknown", silentSince: null, failures: 0, clockOff: 0 };
  /** By a clock that nobody sets. */
  #due = 0;
  #busy = false;
  #again = false;

  /** Opens what this phone keeps; where that is refused the forms still work, and say so. */
  async open() {
    try {
      const db = await store.openStore();
      this.db = db;
      this.device = await store.deviceOf(db);
      this.settings = { ...usual(), ...(await store.meta(db, "settings")) };
      const held = await store.meta(db, "snapshot");
      if (held) ({ snapshot: this.snapshot, asked: this.asked } = held);
      this.chosen = (await store.meta(db, "chosen")) ?? null;
      this.last = (await store.meta(db, "last")) ?? {};
      this.link = { ...this.link, silentSince: (await store.meta(db, "heard")) ?? null };
      this.drafts = await store.drafts(db);
      await this.reread();
      this.persisted = (await navigator.storage?.persist?.()) ?? false;
    } catch (why) {
      this.refused = why instanceof Error ? why.message : String(why);
    }
  }

  async reread() {
    if (!this.db) return;
    [this.waiting, this.kept] = await Promise.all([store.outbox(this.db), store.kept(this.db)]);
  }

  /** What this phone knows now. */
  known() {
    const own = since(this.waiting, this.kept, this.asked);
    return knows(this.snapshot, own, { now: Date.now(), zone: this.zone(), device: this.device, asked: this.asked, chosen: this.chosen });
  }

  zone() {
    return this.snapshot?.farm?.zone ?? zoneHere();
  }

  deviceName() {
    return this.settings.name || t("phone {0}", this.device.slice(0, 4));
  }

  /** @param {string} key @param {unknown} value */
  async remember(key, value) {
    if (this.db) await store.setMeta(this.db, key, value).catch(() => {});
  }

  /** @param {Partial<import("./settings.js").Settings>} change */
  async set(change) {
    this.settings = { ...this.settings, ...change };
    await this.remember("settings", this.settings);
    this.changed();
  }

  /** @param {{field: string, crop: string, machine: string | null}} to */
  async choose(to) {
    this.chosen = { ...to, into: null, at: Date.now() };
    await this.remember("chosen", this.chosen);
  }

  /**
   * Keeps entries on this phone; resolves only when they are on its disk.
   * @param {store.Draft[]} drafts @param {string | undefined} done  the draft that they came from
   */
  async save(drafts, done = undefined) {
    if (!this.db) throw new Error(this.refused || "no storage");
    const entries = await store.append(this.db, drafts, { zone: zoneHere(), done });
    if (done) this.drafts.delete(done);
    this.saved = { entries, at: entries[0]?.happened_ms ?? Date.now() };
    await this.reread();
    this.changed();
    this.send(true);
    return entries;
  }

  /** Lets what was turned away go once more. */
  async sendAgain() {
    if (!this.db) return;
    await store.again(this.db);
    await this.reread();
    this.changed();
    this.send(true);
  }

  /** @param {string} screen @param {any} draft */
  draft(screen, draft) {
    if (draft === undefined) this.drafts.delete(screen);
    else this.drafts.set(screen, draft);
    if (this.db) store.setDraft(this.db, screen, draft).catch(() => {});
  }

  changed() {
    this.dispatchEvent(new Event("changed"));
  }

  /** Sends what waits, if it is time to; `now` does not wait. @param {boolean} [now] */
  async send(now = false) {
    if (this.#busy) this.#again ||= now;
    if (!this.db || this.#busy || (!now && performance.now() < this.#due)) return;
    this.#busy = true;
    try {
      do {
        this.#again = false;
        // two open pages of one phone: one sends, the other reads again what is left
        const one = (/** @type {any} */ lock) => (lock ? this.#exchange() : this.reread());
        if (navigator.locks) await navigator.locks.request("stook-cab-send", { ifAvailable: true }, one);
        else await this.#exchange();
      } while (this.#again);
    } finally {
      this.#busy = false;
    }
  }

  async #exchange() {
    const db = /** @type {IDBDatabase} */ (this.db);
    const shelf = {
      outbox: () => store.outbox(db),
      photographs: () => store.photographs(db),
      markPhoto: (/** @type {string} */ sha, /** @type {object} */ change) => store.markPhoto(db, sha, change),
      settle: (/** @type {any[]} */ results) => store.settle(db, results),
    };
    const sent = await drain(shelf, { id: this.device, name: this.deviceName() }, { fetch: (...a) => fetch(...a) });
    let state = sent.state;
    if (state === "heard") state = await this.#look();
    const failures = state === "heard" ? 0 : this.link.failures + 1;
    this.#due = performance.now() + (failures ? waitAfter(failures) : EVERY_MS);
    const silentSince = state === "heard" ? Date.now() : this.link.silentSince;
    if (state === "heard") await this.remember("heard", silentSince);
    this.link = { state, silentSince, failures, clockOff: sent.clock_off_ms ?? this.link.clockOff };
    await this.reread();
    this.changed();
  }

  /** Asks for the laptop's snapshot. @returns {Promise<"heard" | "silent" | "unpaired">} */
  async #look() {
    const asked = Date.now();
    try {
      const response = await fetch(`/api/cab?device=${this.device}`, { credentials: "same-origin", redirect: "error", cache: "no-store", signal: patience(30_000) });
      if (response.status === 401 || response.status === 403) return "unpaired";
      if (!response.ok) return "silent";
      this.snapshot = await response.json();
      this.asked = asked;
      await this.remember("snapshot", { snapshot: this.snapshot, asked });
      return "heard";
    } catch {
      return "silent";
    }
  }
}
