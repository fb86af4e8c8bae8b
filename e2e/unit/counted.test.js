// What the phone makes of a count: money an hour only where speed and cut were written, and whose loss to look at.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import test from "node:test";
import { answer, metersASecond, ofEntry } from "../../crates/web/static/js/cab/counted.js";
import { haPerH } from "../../crates/web/static/js/cab/loss.js";

const vectors = JSON.parse(readFileSync(new URL("../../crates/machine/tests/vectors/counts.json", import.meta.url), "utf8"));
const beans = { crop: "soybean", thousand_g: 156.2, bushel_kg: 27.2155422, ear_grain_kg: 0.27, price_per_bu: 11 };
const counting = {
  confidence: 0.8, prior: { alpha: 0.3, frames: 0.5 }, weighed_seed_cv: 0.02, seed_weight_cv: 0.08, tail_width_cv: 0.05, ear_weight_cv: 0.2, windrow_share: 6,
  crops: [beans],
};
const count = (seeds, more = {}) => ({
  id: "a", at_ms: 1, field: "Bench", crop: "soybean", frame_m2: 0.09290304, frame_wide_m: 0.3048, ears: [[], [], []], tail: { as: "spread" }, thousand_g: null,
  seeds: seeds.map((one) => (one === null ? [] : [one, one, one])), ...more,
});

test("hectares an hour are the desk's", () => {
  assert.ok(vectors.rates.length >= 4);
  for (const { speed_m_s, cut_m, ha_per_h } of vectors.rates) assert.ok(Math.abs(haPerH(speed_m_s, cut_m) - ha_per_h) <= vectors.tolerance * Math.max(1, ha_per_h));
  for (const [speed, cut] of [[null, 6], [1.8, null], [undefined, 6], [0, 6], [1.8, -1], [NaN, 6]]) assert.equal(haPerH(speed, cut), null);
});

test("a speed is read as this phone writes it, and as nothing else", () => {
  assert.ok(Math.abs(metersASecond("4 mph") - 1.78816) < 1e-12);
  assert.ok(Math.abs(metersASecond("6,5 km/h") - 6.5 / 3.6) < 1e-12);
  for (const odd of [undefined, "", "4", "fast", "0 mph", "4 knots"]) assert.equal(metersASecond(odd), null);
});

test("money an hour is money a hectare times hectares an hour; without speed or cut there is none", () => {
  const both = answer(count([1, 9, 10], { speed_m_s: 4 * 0.44704, cut_m: 20 * 0.3048 }), counting, null).loss.answer;
  // 4 mph x 20 ft / 8.25 acres an hour: 43,560 square feet over 5,280 feet are 8.25
  assert.ok(Math.abs(both.money_per_h.value / both.money_per_ac.value - 80 / 8.25) < 1e-6);
  assert.ok(Math.abs(both.money_per_h.range.high / both.money_per_ac.range.high - 80 / 8.25) < 1e-6);
  for (const more of [{ speed_m_s: 1.8 }, { cut_m: 6 }, {}]) assert.equal(answer(count([1, 9, 10], more), counting, null).loss.answer.money_per_h, null);
  const free = { ...counting, crops: [{ ...beans, price_per_bu: null }] };
  assert.equal(answer(count([1, 9, 10], { speed_m_s: 1.8, cut_m: 6 }), free, null).loss.answer.money_per_h, null);
});

test("speed and cut of an entry are kept", () => {
  const one = ofEntry({ id: "a", happened_ms: 1, figures: { frame: ["1 ft x 1 ft"], speed: ["4 mph"], "cut-width": ["20 ft"], tail: ["spread"] } }, counting);
  assert.deepEqual([one.speed_m_s, one.cut_m], [4 * 0.44704, 20 * 0.3048]);
});

// the same cases as the desk's own (crates/desk/src/count/work.rs)
test("tries are for whoever lost most, as the desk has it", () => {
  const tryFor = (seeds, more) => answer(count(seeds, more), counting, null).tryFor;
  assert.deepEqual(tryFor([1, 9, 10]), ["head"]);
  assert.deepEqual(tryFor([1, 2, 10]), ["machine"]);
  assert.deepEqual(tryFor([8, 11, 12]), ["standing", "head"]);
  assert.deepEqual(tryFor([0, 5, 10]), []);
  assert.deepEqual(tryFor([1, 9, null]), []);
  assert.deepEqual(tryFor([0, 0, 0]), []);
  assert.deepEqual(tryFor([1, 9, 30], { tail: { as: "unknown", cut_over_windrow: 6 } }), []);
});
