// What a count says: loss standing, at the head and behind the machine with its doubt, and whether a change was
// real. The desk works out the same; shared test vectors hold the two together to a billionth. This is the one
// place on the phone that reckons, since the answer is wanted behind the machine, without a network.

import { below, quantile } from "./student.js";

/** @typedef {{frame_m2: number, found: number[]}} Class */
/** @typedef {{standing?: Class | null, behind_head?: Class | null, behind_machine?: Class | null}} Counts */
/** @typedef {{cv: number, df?: number | null}} Relative */
/** @typedef {{se: number, df: number, low: number, high: number, raw_low: number, confidence: number}} Doubt */
/** @typedef {{value: number, doubt: Doubt | null}} Estimate  no doubt: too few frames to say */
/** @typedef {{variance: number, df: number | null}} Share */
/** @typedef {{alpha: number, frames: number}} Prior */
/** @typedef {{thousand_g: number, doubt: Relative, frames_weighed?: boolean}} Seed */
/** @typedef {{per_kg: number, ha_per_h?: number | null}} Money */
/** @typedef {{confidence: number, concentration: number, concentration_doubt: Relative, prior: Prior, seed: Seed, harvested_kg_per_ha?: number | null, money?: Money | null}} Settings */

/** Fewer frames than this say nothing of their own scatter. */
export const FEWEST = 3;
const MOST_DF = 1000;
const NONE = { cv: 0, df: null };

/** @param {Class} one @param {Prior} prior */
export function summary(one, prior) {
  const n = one.found.length;
  const mean = one.found.reduce((sum, found) => sum + found, 0) / n;
  const squares = one.found.reduce((sum, found) => sum + (found - mean) ** 2, 0);
  const near = mean + 0.5 / n;
  const df = n - 1 + prior.frames;
  const variance = df > 0 ? (squares + prior.frames * (near + prior.alpha * near * near)) / df : 0;
  return { frames: n, frame_m2: one.frame_m2, mean, variance, variance_of_mean: variance / n, df };
}

/** @param {Share[]} shares @returns {[number, number]} */
function together(shares) {
  const variance = shares.reduce((sum, share) => sum + share.variance, 0);
  const under = shares.reduce((sum, share) => sum + (share.df == null ? 0 : (share.variance * share.variance) / share.df), 0);
  return [variance, under > 0 ? Math.min((variance * variance) / under, MOST_DF) : MOST_DF];
}

/** A figure of either sign. @param {number} value @param {Share[] | null} shares @param {number} confidence @returns {Estimate} */
function difference(value, shares, confidence) {
  if (!shares) return { value, doubt: null };
  const [variance, df] = together(shares);
  const se = Math.sqrt(variance);
  const half = quantile(0.5 + confidence / 2, df) * se;
  return { value, doubt: { se, df, low: value - half, high: value + half, raw_low: value - half, confidence } };
}

/** A figure that cannot be negative: its ends are cut at 0. @param {number} value @param {Share[] | null} shares @param {number} confidence @returns {Estimate} */
function amount(value, shares, confidence) {
  const out = difference(value, shares, confidence);
  if (out.doubt) {
    out.doubt.low = Math.max(out.doubt.low, 0);
    out.doubt.high = Math.max(out.doubt.high, 0);
  }
  return out;
}

/** @param {Estimate} one @param {number} factor @returns {Estimate} */
export function times(one, factor) {
  const { value, doubt } = one;
  return {
    value: value * factor,
    doubt: doubt && { ...doubt, se: doubt.se * factor, low: doubt.low * factor, high: doubt.high * factor, raw_low: doubt.raw_low * factor },
  };
}

/** @param {Estimate} one @returns {Share | null} */
const share = (one) => one.doubt && { variance: one.doubt.se ** 2, df: one.doubt.df };
/** @param {number} value @param {Relative} doubt @returns {Share} */
const relative = (value, doubt) => ({ variance: (value * doubt.cv) ** 2, df: doubt.df ?? null });

/** Standing P, head H - P, machine (B - H)/C, total H(1 - 1/C) - P + B/C, a square meter.
 * @param {Counts} counts @param {number} c @param {Relative} doubt @param {Prior} prior @param {number} confidence */
export function partition(counts, c, doubt, prior, confidence) {
  const of = (/** @type {Class | null | undefined} */ one) => (one?.found.length ? summary(one, prior) : null);
  const [p, h, b] = [of(counts.standing), of(counts.behind_head), of(counts.behind_machine)];
  if (b && !h && Math.abs(c - 1) > 1e-9) return null; // neither head nor machine can be told
  /** @param {[number, ReturnType<typeof summary> | null][]} terms @param {number | null} machine @returns {Estimate | null} */
  const sum = (terms, machine) => {
    let value = 0;
    let enough = true;
    /** @type {Share[]} */
    const shares = [];
    for (const [weight, one] of terms) {
      if (!one) return null;
      const scaled = weight / one.frame_m2;
      value += scaled * one.mean;
      shares.push({ variance: scaled * scaled * one.variance_of_mean, df: one.df });
      enough &&= one.frames >= FEWEST;
    }
    if (machine !== null) shares.push(relative(machine, doubt));
    return amount(value, enough ? shares : null, confidence);
  };
  const machine = b && h ? (b.mean / b.frame_m2 - h.mean / h.frame_m2) / c : null;
  const [ofHead, ofMachine] = h ? (b ? [1 - 1 / c, 1 / c] : [1, 0]) : [0, 1];
  /** @type {[number, ReturnType<typeof summary> | null][]} */
  const terms = [[h || b ? -1 : 0, p], [ofHead, h], [ofMachine, b]];
  const weighed = terms.filter(([weight, one]) => one && weight !== 0);
  return {
    standing: sum([[1, p]], null),
    head: sum(p ? [[1, h], [-1, p]] : [[1, h]], null),
    machine: sum([[1 / c, b], [-1 / c, h]], machine),
    total: b ? sum(weighed, machine) : null,
    head_holds_standing: !p,
  };
}

/** @typedef {{standing: Estimate | null, head: Estimate | null, machine: Estimate | null, total: Estimate | null, head_holds_standing: boolean}} Split */
const PARTS = /** @type {const} */ (["standing", "head", "machine", "total"]);

/** @param {Estimate} part @param {number} harvested @param {number} everything @returns {Estimate} */
function ofYield(part, harvested, everything) {
  const others = harvested + everything - part.value;
  const curve = (/** @type {number} */ x) => (100 * x) / Math.max(others + x, 1e-9);
  const slope = (100 * others) / (others + part.value) ** 2;
  const { doubt } = part;
  return { value: curve(part.value), doubt: doubt && { ...doubt, se: doubt.se * slope, low: curve(doubt.low), high: curve(doubt.high), raw_low: curve(doubt.raw_low) } };
}

/** Loss in kilograms a hectare, per cent and money; null where it cannot be told.
 * @param {Counts | null} counts @param {{counts: Counts, grain_kg: number, doubt: Relative} | null} ears @param {Settings} settings */
export function lost(counts, ears, settings) {
  const { confidence, prior, seed } = settings;
  const scale = seed.frames_weighed ? 1000 / seed.thousand_g : 1;
  const scaled = (/** @type {Class | null | undefined} */ one) => (one ? { frame_m2: one.frame_m2, found: one.found.map((found) => found * scale) } : null);
  const loose = counts && partition(
    { standing: scaled(counts.standing), behind_head: scaled(counts.behind_head), behind_machine: scaled(counts.behind_machine) },
    settings.concentration, settings.concentration_doubt, prior, confidence,
  );
  if (counts && !loose) return null;
  const onEars = ears && earsSplit(ears.counts, settings);
  const kgOfSeed = seed.thousand_g / 100;
  /** @param {Estimate} one @param {number} kg @param {Relative} doubt */
  const weighed = (one, kg, doubt) => {
    const own = share(one);
    return times(amount(one.value, own && [own, relative(one.value, doubt)], confidence), kg);
  };
  /** @param {typeof PARTS[number]} name @returns {Estimate | null} */
  const kg = (name) => {
    const a = loose?.[name] ? weighed(loose[name], kgOfSeed, seed.frames_weighed ? NONE : seed.doubt) : null;
    const b = onEars?.[name] && ears ? weighed(onEars[name], ears.grain_kg * 10_000, ears.doubt) : null;
    if (!a || !b) return a ?? b;
    const [x, y] = [share(a), share(b)];
    return amount(a.value + b.value, x && y && [x, y], confidence);
  };
  const kgs = Object.fromEntries(PARTS.map((name) => [name, kg(name)]));
  const everything = [kgs.standing, kgs.total ?? kgs.head].reduce((sum, one) => sum + (one?.value ?? 0), 0);
  const part = (/** @type {typeof PARTS[number]} */ name) => {
    const kg_per_ha = kgs[name];
    if (!kg_per_ha) return null;
    const { money, harvested_kg_per_ha: harvested } = settings;
    const money_per_ha = money ? times(kg_per_ha, money.per_kg) : null;
    return {
      seeds_per_m2: loose?.[name] ?? null,
      kg_per_ha,
      pct_of_total_yield: harvested == null ? null : ofYield(kg_per_ha, harvested, everything),
      money_per_ha,
      money_per_h: money_per_ha && money?.ha_per_h != null ? times(money_per_ha, money.ha_per_h) : null,
    };
  };
  return {
    parts: { standing: part("standing"), head: part("head"), machine: part("machine"), total: part("total") },
    head_holds_standing: (loose ?? onEars)?.head_holds_standing ?? false,
  };
}

/** Ears lie over the full cut; those behind the machine alone are the head's. @param {Counts} counts @param {Settings} settings */
function earsSplit(counts, { prior, confidence }) {
  const alone = !counts.behind_head;
  const split = partition(alone ? { standing: counts.standing, behind_head: counts.behind_machine } : counts, 1, NONE, prior, confidence);
  return split && (alone ? { ...split, total: split.head } : split);
}

/** What the tail does to a count: its factor, two answers where nobody looked, or null where the widths cannot be.
 * @param {{as: string, width_m?: number, cut_m?: number, cut_over_windrow?: number}} tail @param {number | null} frameWide
 * @returns {{factor: number} | {spread: number, windrow: number} | null} */
export function concentration(tail, frameWide) {
  if (tail.as === "spread") return { factor: 1 };
  if (tail.as === "unknown") return { spread: 1, windrow: tail.cut_over_windrow ?? NaN };
  const [width, cut] = [tail.width_m ?? 0, tail.cut_m ?? 0];
  if (!(width > 0 && cut > 0) || (frameWide ?? 0) > cut || width > cut * (tail.as === "windrow" ? 1 : 1.5)) return null;
  return { factor: cut / Math.max(width, frameWide ?? width) };
}

/** Hectares an hour of cutting, turns left out; null where speed or width is not known.
 * @param {number | null | undefined} speed_m_s @param {number | null | undefined} cut_m */
export const haPerH = (speed_m_s, cut_m) => (speed_m_s && cut_m && speed_m_s > 0 && cut_m > 0 ? 0.36 * speed_m_s * cut_m : null);

/** What p must fall below at each look, so that all looks together claim something false 10 times in 100 at most. */
const LEVELS = [
  0.05, 0.028326366, 0.019327421, 0.01440456, 0.011328664, 0.009242653, 0.007745639, 0.006625552, 0.005760091, 0.005074016,
  0.004518644, 0.004061172, 0.003678744, 0.003354979, 0.003077854, 0.002838359, 0.002629618, 0.002446304, 0.002284224, 0.002140043,
];
/** @param {number} looks @returns {number} */
export const level = (looks) => LEVELS[Math.min(Math.max(looks, 1), LEVELS.length) - 1];

/** Whether one class of frames changed: t on log(found + 1/2), pooled. @param {Class} before @param {Class} after @param {number} looks */
export function judge(before, after, looks) {
  const logs = (/** @type {Class} */ one) => one.found.map((found) => Math.log(found + 0.5));
  const mean = (/** @type {number[]} */ list) => list.reduce((sum, x) => sum + x, 0) / list.length;
  const [a, b] = [logs(before), logs(after)];
  const [m1, m2] = [mean(a), mean(b)];
  const squares = (/** @type {number[]} */ list, /** @type {number} */ m) => list.reduce((sum, x) => sum + (x - m) ** 2, 0);
  const df = a.length + b.length - 2;
  const se = Math.sqrt(((squares(a, m1) + squares(b, m2)) / df) * (1 / a.length + 1 / b.length));
  const tooFew = Math.min(a.length, b.length) < FEWEST;
  const base = { looks, level: level(looks), frames: [a.length, b.length], ratio: Math.exp(m2 - m1) };
  if (tooFew) return { ...base, says: "too_few", t: null, df: null, p: null, better: null, se: null };
  const gap = m2 - m1;
  const t = se > 0 ? gap / se : gap === 0 ? 0 : Math.sign(gap) * Math.sqrt(Number.MAX_VALUE);
  const p = 2 * below(-Math.abs(t), df);
  const says = p < base.level ? (t < 0 ? "better" : "worse") : "not_settled";
  return { ...base, says, t, df, p, better: below(-t, df), se };
}

/** What a change saves, before less after: classes each with their weight in the loss.
 * @param {[number, Class][]} before @param {[number, Class][]} after @param {{seed: Seed, money?: Money | null}} grain @param {Prior} prior @param {number} confidence */
export function saved(before, after, { seed, money }, prior, confidence) {
  const scale = seed.frames_weighed ? 1000 / seed.thousand_g : 1;
  let value = 0;
  let enough = true;
  /** @type {Share[]} */
  const shares = [];
  for (const [sign, side] of /** @type {[number, [number, Class][]][]} */ ([[1, before], [-1, after]])) {
    for (const [weight, one] of side) {
      const sum = summary({ frame_m2: one.frame_m2, found: one.found.map((found) => found * scale) }, prior);
      const scaled = weight / sum.frame_m2;
      value += sign * scaled * sum.mean;
      shares.push({ variance: scaled * scaled * sum.variance_of_mean, df: sum.df });
      enough &&= sum.frames >= FEWEST;
    }
  }
  shares.push(relative(value, seed.frames_weighed ? NONE : seed.doubt));
  const kg_per_ha = times(difference(value, enough ? shares : null, confidence), seed.thousand_g / 100);
  const money_per_ha = money ? times(kg_per_ha, money.per_kg) : null;
  return { kg_per_ha, money_per_ha, money_per_h: money_per_ha && money?.ha_per_h != null ? times(money_per_ha, money.ha_per_h) : null };
}
