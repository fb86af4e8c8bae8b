// What this phone knows: the laptop's last snapshot, and over it what was written here since.
// It adds nothing up but a tally of its own entries; every other figure is the laptop's.

import { harvestDay } from "./clock.js";

/** @typedef {import("./store.js").Entry} Entry */
/**
 * @typedef {object} Holds
 * @property {string} crop
 * @property {string} crop_name
 * @property {string[]} units
 * @property {string[]} owners
 * @property {string[]} fields
 * @property {string | number | null} full  "3/4", "100%", or per cent
 * @property {number} [since_ms]
 * @property {boolean | null} [covered]
 * @property {string[]} [other_crops]
 * @property {boolean} [mixed]
 */
/** @typedef {{name: string, kind: string, holds: Holds | null}} Place */
/** @typedef {{name: string, crops: {crop: string, name: string}[], unit: string | null, owners: {person: string, percent: string}[]}} Field */
/** @typedef {{field: string | null, machine: string | null, into: string | null, crop: string | null}} Running */
/**
 * @typedef {object} Known
 * @property {Field[]} fields
 * @property {Place[]} places
 * @property {Running} running
 * @property {{id: string | null, why: string, since_ms: number} | null} stop
 * @property {{dumps: number, last_dump_ms: number | null, counts: number, last_count_ms: number | null, samples: number, last_sample_ms: number | null, stop_minutes: number | string, notes: number}} today
 * @property {number} nextLoad
 * @property {{device: string, name: string, last_ms: number} | null} other  the other phone last heard
 */

const NOTHING = { dumps: 0, last_dump_ms: null, counts: 0, last_count_ms: null, samples: 0, last_sample_ms: null, stop_minutes: 0, notes: 0 };

/** @param {Entry} entry @param {string} name @returns {string} */
const one = (entry, name) => entry.figures[name]?.[0] ?? "";

/** @param {string[]} list @param {string | null | undefined} more @returns {string[]} */
const joined = (list, more) => (more && !list.includes(more) ? [...list, more] : list);

/** @param {Field | undefined} field @returns {string[]} the people who own what grows there */
export const ownersOf = (field) => (field?.owners ?? []).map((owner) => (typeof owner === "string" ? owner : owner.person)).sort();

/** @param {any} snapshot @param {string} field @param {string} crop */
export const cropName = (snapshot, field, crop) =>
  (snapshot?.fields ?? []).flatMap((/** @type {Field} */ one) => (field && one.name !== field ? [] : one.crops)).find((/** @type {{crop: string}} */ c) => c.crop === crop)?.name ?? crop;

/**
 * Entries that this phone wrote and the snapshot may lack: all that wait, and what the book took
 * after the snapshot was asked for. What was struck drops out, both ways.
 * @param {Entry[]} waiting @param {Entry[]} kept @param {number} asked  when the snapshot was asked for
 */
export function since(waiting, kept, asked) {
  const later = kept.filter((entry) => entry.state !== "unread" && (entry.acked_ms ?? 0) >= asked);
  const all = [...waiting.filter((entry) => entry.state === "waits"), ...later].sort((a, b) => a.stamp_ms - b.stamp_ms || a.seq - b.seq);
  const struck = new Set(all.filter((entry) => entry.kind === "strike").flatMap((entry) => entry.replaces));
  return all.filter((entry) => entry.kind !== "strike" && !struck.has(entry.id));
}

/** @param {Map<string, Place>} places @param {Entry} entry @param {any} snapshot */
function dumped(places, entry, snapshot) {
  const name = one(entry, "to");
  const place = places.get(name) ?? { name, kind: "other", holds: null };
  const field = (snapshot?.fields ?? []).find((/** @type {Field} */ f) => f.name === one(entry, "field"));
  const crop = one(entry, "crop");
  const had = place.holds;
  /** @type {Holds} */
  const holds = {
    crop: had?.crop ?? crop,
    crop_name: had?.crop_name ?? cropName(snapshot, one(entry, "field"), crop),
    units: joined(had?.units ?? [], field?.unit),
    owners: ownersOf(field).reduce(joined, had?.owners ?? []),
    fields: joined(had?.fields ?? [], one(entry, "field")),
    full: one(entry, "now-full") || null,
    since_ms: had?.since_ms ?? entry.happened_ms,
    other_crops: had && had.crop !== crop ? joined(had.other_crops ?? [], crop) : (had?.other_crops ?? []),
    covered: entry.figures.covered ? one(entry, "covered") === "yes" : (had?.covered ?? null),
    mixed: had?.mixed || one(entry, "mixed") === "yes",
  };
  places.set(name, { ...place, holds });
}

/**
 * @param {any} snapshot  as `/api/cab` gave it, or null
 * @param {Entry[]} own  from {@link since}
 * @param {{now: number, zone?: string, device: string, asked?: number, chosen?: Running & {at: number} | null}} here  `asked`: when the snapshot was asked for
 * @returns {Known}
 */
export function knows(snapshot, own, here) {
  const begins = snapshot?.day_begins_hour ?? 4;
  const day = (/** @type {number} */ ms) => harvestDay(ms, begins, here.zone);
  const fresh = snapshot && day(snapshot.now_ms) === day(here.now);
  const today = { ...NOTHING, ...(fresh ? snapshot.today : {}) };
  /** @type {Map<string, Place>} */
  const places = new Map((snapshot?.places ?? []).map((/** @type {Place} */ place) => [place.name, place]));
  /** @type {Running} */
  let running = { field: null, machine: null, into: null, crop: null, ...(snapshot?.running ?? {}) };
  // the last dump that is known, by this phone's clock: a field chosen after it is the one being cut
  const told = snapshot?.today?.last_dump_ms;
  let lastDump = told ? told - (snapshot.now_ms - (here.asked ?? snapshot.now_ms)) : 0;
  const stopped = snapshot?.stop ?? null;
  let stop = stopped && { id: stopped.id ?? null, why: stopped.why ?? "", since_ms: stopped.since_ms ?? stopped.happened_ms };
  let nextLoad = Number(snapshot?.next_load ?? 1);
  for (const entry of own) {
    const isToday = day(entry.happened_ms) === day(here.now);
    if (entry.kind === "dump") {
      dumped(places, entry, snapshot);
      running = { field: one(entry, "field"), machine: one(entry, "machine"), into: one(entry, "to"), crop: one(entry, "crop") };
      lastDump = entry.stamp_ms;
      nextLoad += 1;
      if (isToday) Object.assign(today, { dumps: today.dumps + 1, last_dump_ms: entry.happened_ms });
    } else if (entry.kind === "weighed" || (entry.kind === "file" && one(entry, "purpose") === "ticket")) {
      const emptied = entry.kind === "weighed" ? (entry.figures.from ?? []) : (entry.figures.of ?? []);
      for (const name of emptied) {
        const place = places.get(name);
        if (place && ["wagon", "truck", "cart"].includes(place.kind) && one(entry, "not-emptied") !== "yes") places.set(name, { ...place, holds: null });
      }
    } else if (entry.kind === "cover") {
      const place = places.get(one(entry, "place"));
      if (place?.holds) places.set(place.name, { ...place, holds: { ...place.holds, covered: one(entry, "covered") === "yes" } });
    } else if (entry.kind === "stop") {
      if (!entry.figures.minutes) stop = { id: entry.id, why: one(entry, "why"), since_ms: entry.happened_ms };
    } else if (entry.kind === "go") {
      stop = null;
    } else if (isToday && entry.kind === "count") {
      Object.assign(today, { counts: today.counts + 1, last_count_ms: entry.happened_ms });
    } else if (isToday && entry.kind === "sample") {
      Object.assign(today, { samples: today.samples + 1, last_sample_ms: entry.happened_ms });
    } else if (isToday && entry.kind === "note") {
      today.notes += 1;
    }
  }
  const chosen = here.chosen;
  if (chosen && chosen.at > lastDump && day(chosen.at) === day(here.now)) {
    running = { ...running, field: chosen.field, crop: chosen.crop, machine: chosen.machine ?? running.machine };
  }
  const others = (snapshot?.heard ?? []).filter((/** @type {any} */ heard) => heard.device !== here.device && heard.last_ms);
  others.sort((/** @type {any} */ a, /** @type {any} */ b) => b.last_ms - a.last_ms);
  return { fields: snapshot?.fields ?? [], places: [...places.values()], running, stop, today, nextLoad, other: others[0] ?? null };
}

/** Places grain is dumped into, the likeliest first. @param {Known} known @returns {Place[]} */
export function likely(known) {
  const order = ["wagon", "truck", "cart", "bin", "pile", "dryer"];
  const rank = (/** @type {Place} */ place) => {
    const at = order.indexOf(place.kind);
    return (place.name === known.running.into ? -100 : 0) + (place.holds && at < 3 ? -10 : 0) + (at < 0 ? 50 : at);
  };
  const takes = known.places.filter((place) => !["pit", "feed", "seed", "spill"].includes(place.kind));
  return takes.map((place, at) => ({ place, at })).sort((a, b) => rank(a.place) - rank(b.place) || a.at - b.at).map(({ place }) => place);
}
