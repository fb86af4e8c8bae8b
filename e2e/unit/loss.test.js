// The phone's own arithmetic of counts against the desk's, number by number, to a billionth.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import test from "node:test";
import { concentration, judge, level, lost, saved } from "../../crates/web/static/js/cab/loss.js";
import { below, quantile } from "../../crates/web/static/js/cab/student.js";

const vectors = JSON.parse(readFileSync(new URL("../../crates/machine/tests/vectors/counts.json", import.meta.url), "utf8"));

/** Every number that the desk gives is here too, and as large. */
function same(ours, theirs, at) {
  if (theirs === null || theirs === undefined) return assert.ok(ours === null || ours === undefined, `${at}: ${ours}`);
  if (typeof theirs === "number") {
    const room = vectors.tolerance * Math.max(1, Math.abs(theirs));
    return assert.ok(Math.abs(ours - theirs) <= room, `${at}: ${ours}, the desk says ${theirs}`);
  }
  if (typeof theirs !== "object") return assert.equal(ours, theirs, at);
  assert.ok(ours, `${at}: nothing here`);
  for (const [key, value] of Object.entries(theirs)) same(ours[key], value, `${at}.${key}`);
}

test("Student's t is the desk's", () => {
  assert.ok(vectors.student.below.length > 100 && vectors.student.quantiles.length > 50);
  for (const { df, t, p } of vectors.student.below) same(below(t, df), p, `below ${t} of ${df}`);
  for (const { df, t, p } of vectors.student.quantiles) same(quantile(p, df), t, `quantile ${p} of ${df}`);
});

test("losses are the desk's", () => {
  assert.ok(vectors.losses.length >= 10);
  for (const [nth, one] of vectors.losses.entries()) {
    const ours = lost(one.counts, one.ears, one.settings);
    same(ours?.parts, one.loss.parts, `${one.name ?? nth}`);
    assert.equal(ours?.head_holds_standing, one.loss.head_holds_standing);
  }
});

test("what the tail does is the desk's", () => {
  for (const one of vectors.frames) {
    const wide = { sides: one.frame.wide_m, hoop: one.frame.across_m }[one.frame.by] ?? null;
    const ours = concentration(one.tail, wide);
    const { known, ...theirs } = one.concentration;
    assert.ok(known);
    same(ours, theirs, JSON.stringify(one.tail));
  }
});

test("verdicts on a change are the desk's", () => {
  assert.ok(vectors.changes.length >= 5);
  for (const [nth, one] of vectors.levels.entries()) same(level(nth + 1), one, `look ${nth + 1}`);
  for (const one of vectors.changes) {
    if (one.verdict) same(judge(one.before, one.after, one.looks), one.verdict, one.name);
    if (one.saved) same(saved([[one.weight, one.before]], [[one.weight, one.after]], one.grain, one.prior, one.confidence), one.saved, one.name);
  }
});

test("a windrow with nothing counted behind the head tells nothing", () => {
  const settings = { confidence: 0.8, concentration: 6, concentration_doubt: { cv: 0 }, prior: { alpha: 0.3, frames: 0.5 }, seed: { thousand_g: 156, doubt: { cv: 0 } } };
  assert.equal(lost({ behind_machine: { frame_m2: 0.1, found: [3, 4, 5] } }, null, settings), null);
  assert.equal(concentration({ as: "windrow", width_m: 10, cut_m: 9 }, null), null);
});
