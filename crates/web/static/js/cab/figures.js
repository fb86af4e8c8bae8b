// From a filled-in screen to entries: figures are texts exactly as typed, with the unit that stood
// beside them. What was not typed is left out; nothing is worked out here.

import { saysFull } from "./levels.js";
import { lengthUnit, massUnit, speedUnit, testWeightUnit } from "./settings.js";
import { t } from "./text.js";

/** @typedef {import("./store.js").Draft} Draft */
/** @typedef {Record<string, any>} Values */

/**
 * Figures of texts: empty ones are left out, `true` is "yes".
 * @param {Record<string, string | string[] | boolean | null | undefined>} given
 * @returns {Record<string, string[]>}
 */
export function figures(given) {
  /** @type {Record<string, string[]>} */
  const out = {};
  for (const [name, value] of Object.entries(given)) {
    const texts = (Array.isArray(value) ? value : [value === true ? "yes" : value === false ? "no" : (value ?? "")])
      .map((text) => String(text).trim())
      .filter((text) => text !== "");
    if (texts.length > 0) out[name] = texts;
  }
  return out;
}

/** A typed figure with its unit, unless the unit was typed too. @param {string | undefined} text @param {string} unit */
export function withUnit(text, unit) {
  const typed = (text ?? "").trim();
  if (typed === "") return "";
  return /[a-z%]/i.test(typed) ? typed : unit === "%" ? `${typed}%` : `${typed} ${unit}`;
}

/**
 * @param {Values} values @param {import("./knows.js").Known} known
 * @param {import("./settings.js").Settings} settings @param {boolean} mixed
 * @returns {Draft[]}
 */
export function dumpDrafts(values, known, settings, mixed) {
  const { field, crop, machine } = known.running;
  const into = values.other || values.to;
  const level = saysFull(values.full);
  const said = level ? t("{0} into {1}, now {2}.", field ?? "", into, level) : t("{0} into {1}.", field ?? "", into);
  return [
    {
      kind: "dump",
      figures: figures({
        machine, field, crop, to: into, "now-full": values.full, monitor: withUnit(values.monitor, settings.monitor),
        covered: values.covered, number: values.number, mixed: mixed ? "yes" : "",
      }),
      label: t("Load {0}", known.nextLoad),
      said,
    },
  ];
}

/**
 * Photographs are entries of their own, before the ticket that was typed from them.
 * @param {import("./store.js").Photo[]} photos @param {string} purpose @param {string[]} of @param {string} label @param {string} said
 * @returns {Draft[]}
 */
export const photoDrafts = (photos, purpose, of, label, said) =>
  photos.map((photo) => ({
    kind: "file",
    figures: figures({ sha256: photo.sha256, name: photo.name, bytes: String(photo.data.byteLength), purpose, of: [...new Set(of.filter(Boolean))] }),
    label,
    said,
    photos: [photo],
  }));

/** Whether any figure of the ticket was typed. @param {Values} values */
export const typedTicket = (values) => ["gross", "tare", "net"].some((name) => String(values[name] ?? "").trim() !== "");

/**
 * A load at the scale: the photographs, and the ticket if its figures were typed.
 * @param {Values} values @param {string} crop @param {import("./store.js").Photo[]} photos
 * @returns {Draft[]}
 */
export function weighedDrafts(values, crop, photos) {
  const from = /** @type {string[]} */ (values.from ?? []);
  const said = t("{0} at {1}.", from.join(", "), values.buyer || values.to || "");
  const label = t("Ticket");
  const files = photoDrafts(photos, "ticket", [...from, values.buyer ?? values.to], t("Photograph of a ticket"), said);
  if (!typedTicket(values)) return files;
  const mass = massUnit();
  const ticket = figures({
    from, to: values.to, buyer: values.buyer, crop, number: values.number,
    gross: withUnit(values.gross, mass), tare: withUnit(values.tare, mass), net: withUnit(values.net, mass),
    moisture: withUnit(values.moisture, "%"), "test-weight": withUnit(values["test-weight"], testWeightUnit()),
    "not-emptied": values.emptied === "no" ? "yes" : "", paper: photos[0]?.sha256,
  });
  return [...files, { kind: "weighed", figures: ticket, label, said }];
}

/** A frame's size as entries write it: "1 ft x 2 ft", "hoop 34 in"; empty while a side is missing. @param {Values} values */
export function frameText(values) {
  const [long, wide] = [values.long, values.wide].map((text) => String(text ?? "").trim());
  const unit = values.shape === "hoop" ? (lengthUnit() === "m" ? "cm" : "in") : (values.shape ?? lengthUnit());
  if (values.shape === "hoop") return wide ? `hoop ${withUnit(wide, unit)}` : "";
  return long && wide ? `${withUnit(long, unit)} x ${withUnit(wide, unit)}` : "";
}

/** @param {Values} values @param {import("./knows.js").Known} known @returns {Draft[]} */
export function countDrafts(values, known) {
  const { field, crop, machine } = known.running;
  const length = lengthUnit();
  const frames = /** @type {{at: string, seeds: string}[]} */ (values.frames ?? []);
  const at = (/** @type {string} */ where) => frames.filter((frame) => frame.at === where).map((frame) => frame.seeds);
  const list = figures({
    field, crop, machine, frame: frameText(values), standing: at("standing"), "behind-head": at("behind-head"), "behind-machine": at("behind-machine"),
    "cut-width": withUnit(values["cut-width"], length), tail: values.tail === "narrow" ? "spread" : values.tail, "tail-width": ["windrow", "narrow"].includes(values.tail) ? withUnit(values["tail-width"], length) : "",
    "seed-weight": withUnit(values["seed-weight"], "g"),
    speed: withUnit(values.speed, speedUnit()), remark: values.remark,
  });
  return [{ kind: "count", figures: list, label: t("Count"), said: frames.length === 1 ? t("1 frame in {0}.", field ?? "") : t("{0} frames in {1}.", frames.length, field ?? "") }];
}

/** A change as entries write it: "fan 900 to 850 rpm". @param {{what: string, from?: string, to?: string}} change */
export const changeText = (change) => [change.what, (change.from ?? "").trim(), "to", (change.to ?? "").trim()].filter(Boolean).join(" ");

/** @param {Values} values @param {{what: string, from?: string, to?: string}[]} changes @param {import("./knows.js").Known} known @param {string} said @returns {Draft[]} */
export function settingDrafts(values, changes, known, said) {
  const { field, crop, machine } = known.running;
  const list = figures({
    machine, field, crop, change: changes.map(changeText), cracked: withUnit(values.cracked, "%"), foreign: withUnit(values.foreign, "%"),
    unthreshed: values.unthreshed, dirt: values.dirt, remark: values.remark,
  });
  return [{ kind: "setting", figures: list, label: t("Setting"), said }];
}

/** @param {Values} values @param {string} of @param {string} crop @returns {Draft[]} */
export function sampleDrafts(values, of, crop) {
  const readings = /** @type {string[]} */ (values.readings ?? []).map((text) => withUnit(text, "%"));
  const list = figures({ of, crop, how: values.how, moisture: readings, meter: values.meter, count: values.count, "test-weight": withUnit(values["test-weight"], testWeightUnit()) });
  return [{ kind: "sample", figures: list, label: t("Sample"), said: `${of}: ${readings.join(", ")}.` }];
}

/** @param {string} why @param {Values} values @param {import("./knows.js").Known} known @param {string} whyText @returns {Draft} */
export function stopDraft(why, values, known, whyText) {
  const { field, machine } = known.running;
  const minutes = String(values.minutes ?? "").trim();
  return {
    kind: "stop",
    figures: figures({ machine, field, why, minutes, remark: values.remark }),
    label: t("Stop"),
    said: minutes ? t("{0}, {1} minutes.", whyText, minutes) : `${whyText}.`,
  };
}

/** A cost as entries write it, "$420.50"; null where it is no amount of dollars. @param {string | undefined} text */
export function costText(text) {
  const typed = (text ?? "").trim().replace(/^\$/, "").replace(/,/g, "").trim();
  return /^\d+(\.\d*)?$|^\.\d+$/.test(typed) ? `$${typed}` : null;
}

/**
 * Goes on; why, part and cost as they turned out, where they were given.
 * @param {string | null} stop @param {Values} [values] @returns {Draft}
 */
export function goDraft(stop, values = {}) {
  const { why, part, cost, remark } = values;
  return { kind: "go", figures: figures({ stop: stop ?? "", why, part, cost: cost ? costText(cost) : "", remark }), label: t("Went on"), said: [t("The machine goes on."), part, remark].filter(Boolean).join(" ") };
}

/** @param {string} text @param {boolean} asks @param {string[]} of @returns {Draft} */
export const noteDraft = (text, asks, of) => ({
  kind: "note",
  figures: figures({ text, question: asks ? "yes" : "", of: [...new Set(of.filter(Boolean))] }),
  label: asks ? t("Question") : t("Note"),
  said: text,
});

/** Takes back what was saved: one new entry that names the old ones. @param {import("./store.js").Entry[]} entries @returns {Draft[]} */
export const undoDrafts = (entries) =>
  entries.slice(-1).map((last) => ({ kind: "strike", figures: figures({ reason: t("undone on the phone") }), replaces: entries.map((entry) => entry.id), label: t("Undone: {0}", last.label), said: last.said }));
