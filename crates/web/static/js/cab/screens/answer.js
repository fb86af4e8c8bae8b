// What the last count says: loss in bushels and money, where it fell, whether the change was real. Reckoned on this
// phone, with no network; the laptop says the same.

import { answer as reckon, changed, ofEntry } from "../counted.js";
import { undoDrafts } from "../figures.js";
import { h, svg } from "../dom.js";
import { caution, head, nudges, row } from "../parts.js";
import { clock } from "../said.js";
import { metric } from "../settings.js";
import { language, t } from "../text.js";
import { cautionOf, keep } from "./dump.js";

/** Tonnes a hectare where the reader is metric. @param {any} part @param {"bu_per_ac" | "money_per_ac"} what */
function figureOf(part, what) {
  const scaled = (/** @type {any} */ one, /** @type {number} */ by) => one && { value: one.value * by, range: one.range && { low: one.range.low * by, high: one.range.high * by } };
  if (!metric()) return part?.[what] ?? null;
  return what === "bu_per_ac" ? scaled(part?.kg_per_ha, 0.001) : scaled(part?.money_per_ac, 1 / 0.40468564224);
}
const yieldUnit = () => (metric() ? "t/ha" : "bu/ac");
const areaWord = () => (metric() ? t("a hectare") : t("an acre"));
/** @param {number} value @param {number} places */
const number = (value, places) => value.toLocaleString(language() === "es" ? "es-US" : "en-US", { minimumFractionDigits: places, maximumFractionDigits: places });
const grain = (/** @type {number} */ value) => number(value, metric() ? 2 : 1);
const dollars = (/** @type {number} */ value) => `${value < 0 ? "\u2212" : ""}$${number(Math.abs(value), Math.abs(value) < 10 ? 2 : 0)}`;
/** @param {any} one @param {(value: number) => string} show */
const range = (one, show) => (one?.range ? t("{0} to {1}", show(one.range.low), show(one.range.high)) : t("too few to say"));

/** The counts that this phone knows today, its own over the book's. @param {import("../cab.js").Cab} cab */
export function countsOf(cab) {
  const counting = cab.snapshot?.counting;
  const own = [...cab.kept, ...cab.waiting].filter((entry) => entry.kind === "count");
  const struck = new Set([...cab.kept, ...cab.waiting].filter((entry) => entry.kind === "strike").flatMap((entry) => entry.replaces));
  const all = new Map((counting?.today ?? []).map((/** @type {any} */ one) => [one.id, one]));
  for (const entry of own) {
    const one = ofEntry(entry, counting);
    if (one) all.set(entry.id, one);
  }
  const standing = [...all.values()].filter((one) => !struck.has(one.id));
  return standing.sort((a, b) => a.at_ms - b.at_ms || (a.id < b.id ? -1 : 1));
}

/** One line while frames are still counted. @param {any} out @returns {string | null} */
export function soFar(out) {
  if (!out) return null;
  const part = out.loss.answer;
  if (out.windrow) return t("So far {0} {2} if the tail spreads, {1} {2} in a windrow.", grain(Math.max(figureOf(part, "bu_per_ac").value, 0)), grain(Math.max(figureOf(out.windrow.answer, "bu_per_ac").value, 0)), yieldUnit());
  const loss = figureOf(part, "bu_per_ac");
  return t("So far {0} {1}, {2}.", grain(Math.max(loss.value, 0)), yieldUnit(), range(loss, grain));
}

/** @param {any} out */
function lede(out) {
  const part = out.loss.answer;
  const money = figureOf(part, "money_per_ac");
  const loss = figureOf(part, "bu_per_ac");
  const most = out.loss.total && out.most === "head" ? t(", most of it at the head") : out.loss.total && out.most === "machine" ? t(", most of it behind the machine") : "";
  const amount = money ? `${dollars(Math.max(money.value, 0))} ${areaWord()}` : `${grain(Math.max(loss.value, 0))} ${yieldUnit()}`;
  if (out.windrow) return t("Look at the tail: until then there are two answers and no money.");
  if (out.loss.total) return t("You are leaving {0}{1}.", amount, most);
  return out.loss.head ? t("The head is leaving {0}.", amount) : t("Before the machine came there lay {0}.", amount);
}

/** @param {any} loss @param {number[][]} seeds */
function table(loss, seeds) {
  const sum = (/** @type {number} */ at) => seeds[at].reduce((all, one) => all + one, 0);
  const rows = [
    [t("Standing"), loss.standing, seeds[0].length ? t("{0} seeds", sum(0)) : null],
    [loss.holds ? t("Head, and before it") : t("Head"), loss.head, seeds[1].length ? t("{0} seeds", sum(1)) : null],
    [t("Machine"), loss.machine, seeds[2].length ? t("{0} seeds", sum(2)) : null],
    [t("All"), loss.total, null],
  ].filter(([, part]) => part);
  return h("table", { class: "fell" },
    h("thead", null, h("tr", null, h("th", { scope: "col" }, t("Loss")), h("th", { scope: "col", class: "n" }, yieldUnit()), h("th", { scope: "col", class: "r" }, t("8 in 10")))),
    h("tbody", null, rows.map(([name, part, small]) => {
      const loss = figureOf(part, "bu_per_ac");
      return h("tr", null, h("th", { scope: "row" }, name, small ? h("small", null, small) : null), h("td", { class: "n" }, grain(Math.max(loss.value, 0))), h("td", { class: "r" }, range(loss, grain)));
    })));
}

/** Ten strokes: for, tall and solid; against, short and hollow. @param {number} tens */
const strokes = (tens) => svg("svg", { class: "tens", viewBox: "0 0 86 18", "aria-hidden": "true" },
  Array.from({ length: 10 }, (_, nth) => {
    const x = 1 + nth * 8 + (nth > 4 ? 6 : 0);
    return nth < tens ? svg("rect", { x, y: 0, width: 4, height: 18, fill: "currentColor" }) : svg("rect", { x: x + 0.6, y: 11.4, width: 2.8, height: 6, fill: "none", stroke: "currentColor", "stroke-width": 1.2 });
  }));

/** @param {any} change @param {import("../cab.js").Cab} cab */
function real(change, cab) {
  const { verdict, saved, before, where } = change;
  const place = where === 2 ? t("behind the machine") : t("behind the head");
  const money = figureOf(saved, "money_per_ac");
  const loss = figureOf(saved, "bu_per_ac");
  const less = money ? `${dollars(money.value)} ${areaWord()} (${range(money, dollars)})` : `${grain(loss.value)} ${yieldUnit()} (${range(loss, grain)})`;
  const says = verdict.says === "too_few" ? t("Fewer than three frames on one side: luck alone can do anything.")
    : verdict.says === "better" ? t("Real: less lies there now, and luck would seldom do that.")
      : verdict.says === "worse" ? t("Real: more lies there now, and luck would seldom do that.")
        : t("Not settled: luck could have done it.");
  const tens = verdict.better === null ? null : Math.min(Math.max(Math.round(verdict.better * 10), 0), 10);
  return [
    h("h2", { class: "q" }, t("Is the change real?")),
    h("p", { class: "det" }, says),
    tens === null ? null : h("p", { class: "odds" }, strokes(tens), h("b", null, tens === 0 ? t("under 1 in 10") : tens === 10 ? t("over 9 in 10") : t("{0} in 10", tens)), " ", t("that less is lost {0} than at {1}.", place, clock(before.at_ms, cab))),
    verdict.says === "too_few" ? null : h("p", { class: "det" }, t("The change saves {0}.", less), " ", t("Look {0} at this today: each look asks for more.", verdict.looks)),
    h("p", { class: "det" }, t("The hour changed too. Set back, count, set again: A, B, B, A.")),
  ];
}

export const answer = {
  announce: (/** @type {import("../cab.js").Cab} */ cab) => {
    const count = countsOf(cab).at(-1);
    const out = count && reckon(count, cab.snapshot?.counting, cab.last.price?.[count.crop] ?? null);
    return out ? t("Saved. {0}", lede(out)) : "";
  },
  /** @param {import("../cab.js").Cab} cab @param {any} _form @param {any} acts */
  draw(cab, _form, acts) {
    const counting = cab.snapshot?.counting;
    const all = countsOf(cab);
    const count = all.at(-1);
    const price = count ? (cab.last.price?.[count.crop] ?? null) : null;
    const out = count && reckon(count, counting, price);
    const mine = cab.saved?.entries.some((entry) => entry.id === count?.id && entry.kind === "count");
    const undo = () => keep(cab, undoDrafts(cab.saved?.entries ?? []), undefined, acts);
    const end = [mine ? row(t("Undo"), t("as a new entry"), undo) : null, row(t("Another count"), null, "#count"), row(t("Setting"), t("what was changed on the machine"), "#setting"),
      caution(cautionOf(cab, "count", t("Engine off, key out, head on its safety stop. The maker’s manual comes first.")))];
    if (!count) return [head(t("Count")), h("p", { class: "det" }, t("No count today yet.")), end];
    const when = `${count.field}, ${clock(count.at_ms, cab)}`;
    if (!out) return [head(t("Count")), h("p", { class: "bigsay" }, t("Saved")), h("p", { class: "det" }, when), h("p", { class: "det" }, counting ? t("From these frames nothing can be told: count behind the head too, and measure the tail.") : t("The answer comes when the laptop was heard once.")), end];
    const loss = figureOf(out.loss.answer, "bu_per_ac");
    const money = figureOf(out.loss.answer, "money_per_ac");
    const hour = out.loss.answer?.money_per_h;
    const tries = out.tryFor.flatMap((where) => (cab.snapshot?.tries ?? []).filter((/** @type {any} */ one) => one.crop === count.crop && one.lost_at === where));
    const change = changed(all, count, counting, price);
    return [
      head(t("Count")),
      h("p", { class: "det" }, mine ? t("Saved. {0}", when) : when),
      h("p", { class: "lede" }, lede(out)),
      out.windrow
        ? [h("h2", { class: "q" }, t("If it spreads over the whole cut")), table(out.loss, count.seeds), h("h2", { class: "q" }, t("If it lies in a windrow of a sixth of the cut")), table(out.windrow, count.seeds)]
        : [
          h("p", { class: "big" }, grain(Math.max(loss.value, 0)), " ", h("span", null, yieldUnit()), " ", h("span", null, range(loss, grain))),
          money ? h("p", { class: "det" }, t("In money, {0} {1} ({2}).", dollars(Math.max(money.value, 0)), areaWord(), range(money, dollars))) : h("p", { class: "det" }, t("Type the price of a bushel with the next count, for money.")),
          money && hour ? h("p", { class: "det hour" }, t("In an hour of cutting, {0} ({1}).", dollars(Math.max(hour.value, 0)), range(hour, dollars))) : null,
          h("h2", { class: "q" }, t("Where it fell")), table(out.loss, count.seeds),
        ],
      out.weighed ? null : h("p", { class: "det" }, t("1,000 seeds are taken to weigh {0} g, our default.", number(out.thousand_g, 0))),
      change ? real(change, cab) : null,
      tries.length ? [nudges(tries, language()), caution(cautionOf(cab, "setting", t("Guards shut while anything turns. Engine off, key out before you reach in.")))] : null,
      end,
    ];
  },
};
