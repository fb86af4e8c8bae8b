// Counts that this phone knows, its own and the day's from the book, and the answer to each.

import { concentration, haPerH, judge, lost, saved } from "./loss.js";

const M2_PER_FT2 = 0.09290304;
const M2_PER_AC = 4046.8564224;
const HA_PER_AC = M2_PER_AC / 10_000;
const PLACES = /** @type {const} */ (["standing", "behind_head", "behind_machine"]);

/**
 * A count in numbers; the same form as the book's snapshot gives.
 * @typedef {object} Counted
 * @property {string} id
 * @property {number} at_ms
 * @property {string} field
 * @property {string} crop
 * @property {number} frame_m2
 * @property {number | null} frame_wide_m
 * @property {number[][]} seeds  standing, behind the head, behind the machine
 * @property {number[][]} ears
 * @property {{as: string, width_m?: number, cut_m?: number, cut_over_windrow?: number}} tail
 * @property {number | null} thousand_g
 * @property {number | null} [cut_m]  width of cut
 * @property {number | null} [speed_m_s]
 */

const METERS = /** @type {Record<string, number>} */ ({ ft: 0.3048, in: 0.0254, m: 1, cm: 0.01 });

/** A length as this phone writes it: "30 ft". @param {string | undefined} text @returns {number | null} meters */
export function meters(text) {
  const found = /^\s*([\d.,]+)\s*(ft|in|m|cm)\s*$/.exec(text ?? "");
  const value = found ? Number(found[1].replace(",", ".")) * METERS[found[2]] : NaN;
  return value > 0 ? value : null;
}

const SPEEDS = /** @type {Record<string, number>} */ ({ mph: 0.44704, "km/h": 1 / 3.6, "m/s": 1 });

/** A speed as this phone writes it: "3.5 mph". @param {string | undefined} text @returns {number | null} meters a second */
export function metersASecond(text) {
  const found = /^\s*([\d.,]+)\s*(mph|km\/h|m\/s)\s*$/.exec(text ?? "");
  const value = found ? Number(found[1].replace(",", ".")) * SPEEDS[found[2]] : NaN;
  return value > 0 ? value : null;
}

/** @param {string | undefined} text @returns {{m2: number, wide: number} | null} */
function frameOf(text) {
  const hoop = /^hoop\s+(.*)$/.exec(text ?? "");
  if (hoop) {
    const across = meters(hoop[1]);
    return across && { m2: (Math.PI * across * across) / 4, wide: across };
  }
  const [long, wide] = (text ?? "").split(" x ").map((side) => meters(side));
  return long && wide ? { m2: long * wide, wide } : null;
}

/** @param {string[] | undefined} texts @returns {[number[], number[]]} seeds and ears, a frame each */
function found(texts) {
  /** @type {[number[], number[]]} */
  const out = [[], []];
  for (const text of texts ?? []) {
    for (const part of text.split("+")) {
      const piece = /^\s*(\d+)\s*(ears?)?\s*$/.exec(part);
      if (piece) out[piece[2] ? 1 : 0].push(Number(piece[1]));
    }
  }
  return out;
}

/**
 * An entry of this phone in numbers; null where it cannot be reckoned with.
 * @param {{id: string, happened_ms: number, figures: Record<string, string[]>}} entry @param {any} counting
 * @returns {Counted | null}
 */
export function ofEntry(entry, counting) {
  const one = (/** @type {string} */ name) => entry.figures[name]?.[0];
  const frame = frameOf(one("frame"));
  if (!frame) return null;
  const places = ["standing", "behind-head", "behind-machine"].map((name) => found(entry.figures[name]));
  const cut = meters(one("cut-width")) ?? undefined;
  const width = meters(one("tail-width")) ?? undefined;
  const unknown = { as: "unknown", cut_over_windrow: counting?.windrow_share };
  const said = one("tail");
  const tail = said === "spread" ? (width ? (cut ? { as: "spread_over", width_m: width, cut_m: cut } : unknown) : { as: "spread" })
    : said === "windrow" && width && cut ? { as: "windrow", width_m: width, cut_m: cut } : unknown;
  const grams = /^\s*([\d.]+)\s*g?\s*$/.exec(one("seed-weight") ?? "");
  return {
    id: entry.id, at_ms: entry.happened_ms, field: one("field") ?? "", crop: one("crop") ?? "", frame_m2: frame.m2, frame_wide_m: frame.wide,
    seeds: places.map(([seeds]) => seeds), ears: places.map(([, ears]) => ears), tail, thousand_g: grams ? Number(grams[1]) : null,
    cut_m: cut ?? null, speed_m_s: metersASecond(one("speed")),
  };
}

/** @param {number[][]} lists @param {number} frame_m2 */
const countsOf = (lists, frame_m2) =>
  lists.every((list) => list.length === 0) ? null
    : Object.fromEntries(PLACES.map((place, at) => [place, lists[at].length ? { frame_m2, found: lists[at] } : null]));

/** @param {any} part @param {number} kgPerBu @returns {any} the figures of a part as they are read here */
function told(part, kgPerBu) {
  if (!part) return null;
  const scaled = (/** @type {any} */ one, /** @type {number} */ by) => one && { value: one.value * by, range: one.doubt && { low: one.doubt.low * by, high: one.doubt.high * by } };
  const kg = scaled(part.kg_per_ha, 1);
  return { seeds_per_ft2: scaled(part.seeds_per_m2, M2_PER_FT2), kg_per_ha: kg, bu_per_ac: scaled(part.kg_per_ha, HA_PER_AC / kgPerBu), money_per_ac: scaled(part.money_per_ha, HA_PER_AC), money_per_h: scaled(part.money_per_h, 1) };
}

/**
 * The answer to a count, with the laptop's own guesses; null where nothing can be told.
 * @param {Counted} count @param {any} counting  from the snapshot @param {number | null} price  of a bushel, typed here
 */
export function answer(count, counting, price) {
  const crop = counting?.crops?.find((/** @type {any} */ one) => one.crop === count.crop);
  if (!crop) return null;
  const seeds = countsOf(count.seeds, count.frame_m2);
  const onEars = countsOf(count.ears, count.frame_m2);
  const ears = onEars && { counts: onEars, grain_kg: crop.ear_grain_kg, doubt: { cv: counting.ear_weight_cv } };
  const thousand = count.thousand_g ?? crop.thousand_g;
  const known = concentration(count.tail, count.frame_wide_m);
  if (!known || (!seeds && !ears)) return null;
  const perBu = price ?? crop.price_per_bu ?? null;
  const one = (/** @type {number} */ factor, /** @type {boolean} */ money) => {
    const loss = lost(seeds, ears, {
      confidence: counting.confidence, concentration: factor, prior: counting.prior,
      concentration_doubt: { cv: Math.abs(factor - 1) < 1e-9 ? 0 : counting.tail_width_cv },
      seed: { thousand_g: thousand, doubt: { cv: count.thousand_g ? counting.weighed_seed_cv : counting.seed_weight_cv } },
      money: money && perBu ? { per_kg: perBu / crop.bushel_kg, ha_per_h: haPerH(count.speed_m_s, count.cut_m) } : null,
    });
    if (!loss) return null;
    const parts = Object.fromEntries(Object.entries(loss.parts).map(([name, part]) => [name, told(part, crop.bushel_kg)]));
    return { ...parts, answer: parts.total ?? parts.head ?? parts.standing, holds: loss.head_holds_standing };
  };
  const looked = "factor" in known;
  const behind = count.seeds[2].length > 0;
  const loss = looked ? one(known.factor, true) : one(known.spread, !behind);
  if (!loss) return null;
  const [head, machine] = [loss.head?.kg_per_ha.value ?? NaN, loss.machine?.kg_per_ha.value ?? NaN].map((value) => Math.max(value, 0));
  const most = head > 0.6 * (head + machine) ? "head" : machine > 0.6 * (head + machine) ? "machine" : null;
  const before = loss.standing && loss.total && loss.standing.kg_per_ha.value > loss.total.kg_per_ha.value;
  return {
    loss, windrow: looked || !behind ? null : one(known.windrow, false), concentration: looked ? known.factor : null,
    most,
    // whose loss the trade's usual tries are worth a look for, as the laptop has it
    tryFor: looked || !behind ? [...(before ? ["standing"] : []), ...(most ? [most] : [])] : [],
    thousand_g: thousand, weighed: count.thousand_g !== null, price: perBu,
  };
}

/**
 * Whether it was otherwise at the count before: the same field, crop and frame, later the same day.
 * @param {Counted[]} all  in order @param {Counted} count @param {any} counting @param {number | null} price
 */
export function changed(all, count, counting, price) {
  const alike = all.filter((one) => one.field === count.field && one.crop === count.crop && Math.abs(one.frame_m2 - count.frame_m2) < 1e-6);
  const at = alike.findIndex((one) => one.id === count.id);
  const before = at > 0 ? alike[at - 1] : null;
  const crop = counting?.crops?.find((/** @type {any} */ one) => one.crop === count.crop);
  if (!before || !crop) return null;
  const where = before.seeds[2].length && count.seeds[2].length ? 2 : before.seeds[1].length && count.seeds[1].length ? 1 : null;
  if (where === null) return null;
  const known = [before, count].map((one) => concentration(one.tail, one.frame_wide_m));
  const factors = known.map((one) => (one && "factor" in one ? one.factor : null));
  const as = (/** @type {Counted} */ one, /** @type {number} */ place) => ({ frame_m2: one.frame_m2, found: one.seeds[place] });
  const verdict = judge(as(before, where), as(count, where), at);
  // a windrow laid otherwise is no change of the loss: then the frames themselves cannot be compared
  if (where === 2 && (factors[0] === null || factors[1] === null || Math.abs(factors[0] - factors[1]) > 1e-9)) return null;
  /** @param {Counted} one @param {number} factor @returns {[number, import("./loss.js").Class][]} */
  const weights = (one, factor) => (where === 1 ? [[1, as(one, 1)]] : [[1 / factor, as(one, 2)], ...(one.seeds[1].length && factor !== 1 ? [/** @type {[number, any]} */ ([1 - 1 / factor, as(one, 1)])] : [])]);
  const perBu = price ?? crop.price_per_bu ?? null;
  const gain = saved(weights(before, factors[0] ?? 1), weights(count, factors[1] ?? 1),
    { seed: { thousand_g: count.thousand_g ?? crop.thousand_g, doubt: { cv: count.thousand_g ? counting.weighed_seed_cv : counting.seed_weight_cv } }, money: perBu ? { per_kg: perBu / crop.bushel_kg } : null },
    counting.prior, counting.confidence);
  return { verdict, where, before, saved: told({ kg_per_ha: gain.kg_per_ha, seeds_per_m2: null, money_per_ha: gain.money_per_ha }, crop.bushel_kg) };
}
