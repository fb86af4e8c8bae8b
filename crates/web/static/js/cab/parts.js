// What the screens are made of: heads, choices, levels, figures to type, cautions, Save.

import { h } from "./dom.js";
import { LEVELS, sign } from "./levels.js";
import { t } from "./text.js";

/** @typedef {import("./dom.js").Inside} Inside */
/**
 * @typedef {object} Form a half-typed screen; it outlives closing the program
 * @property {Record<string, any>} values
 * @property {number | null} since  when it was begun, if before this opening of the screen
 * @property {(name: string, value: any) => void} set  keeps, and draws the screen again
 * @property {(name: string, value: any) => void} type  keeps what is being typed
 * @property {() => void} forget
 */

let made = 0;
/** @param {string} stem */
const newId = (stem) => `${stem}-${(made += 1)}`;

/** @param {string} title @param {{href: string, text: string} | null} [other] @param {string} [back] */
export const head = (title, other = null, back = "#home") =>
  h("header", { class: "back" }, h("a", { href: back, "data-k": "back" }, t("Back")),
    other && h("a", { href: other.href, class: "other", "data-k": "other" }, other.text),
    h("h1", { id: "title", tabindex: "-1" }, title));

/** What is filled in already, and where to change it. @param {Inside} text @param {string | (() => void)} change @param {string} what */
export function prefilled(text, change, what) {
  const name = h("span", { class: "hush" }, ` ${what}`);
  const act = typeof change === "string"
    ? h("a", { href: change, "data-k": `change ${what}` }, t("change"), name)
    : h("button", { type: "button", class: "link", onclick: change, "data-k": `change ${what}` }, t("change"), name);
  return h("div", { class: "pre" }, h("span", null, text), act);
}

/** @param {string} text */
export const question = (text) => h("p", { class: "q" }, text);

/**
 * @typedef {{value: string, text: string, small?: string | null}} Choice
 * @param {string} label @param {Choice[]} list @param {string | string[] | null | undefined} chosen
 * @param {(value: string) => void} pick @param {{wide?: boolean, three?: boolean}} [how]
 */
export function choices(label, list, chosen, pick, how = {}) {
  const id = newId("q");
  const has = (/** @type {string} */ value) => (Array.isArray(chosen) ? chosen.includes(value) : chosen === value);
  return [
    h("p", { class: "q", id }, label),
    h("div", { class: how.wide ? "opts wide" : how.three ? "opts three" : "opts", role: "group", "aria-labelledby": id },
      list.map((one) => h("button", { type: "button", "aria-pressed": String(has(one.value)), "data-k": `${label} ${one.value}`, onclick: () => pick(one.value) },
        h("span", null, one.text, one.small ? h("small", null, one.small) : null)))),
  ];
}

/** @param {string} label @param {string | null | undefined} chosen @param {(value: string | null) => void} pick */
export function levels(label, chosen, pick) {
  const id = newId("q");
  return [
    h("p", { class: "q", id }, label),
    h("div", { class: "lev", role: "group", "aria-labelledby": id },
      LEVELS.map((level, at) => h("button", { type: "button", class: `l${at + 1}`, "aria-pressed": String(chosen === level.value), "data-k": `level ${at}`, onclick: () => pick(chosen === level.value ? null : level.value) },
        h("i", { "aria-hidden": "true" }), h("s", null, sign(at))))),
  ];
}

/**
 * One figure to type; never filled in.
 * @param {Form} form @param {string} name @param {string} label
 * @param {{mode?: string, hint?: string, more?: Record<string, any>}} [how]
 */
export function figure(form, name, label, how = {}) {
  const id = newId("f");
  return h("div", { class: "num" }, h("label", { for: id }, label),
    h("input", { id, name, inputmode: how.mode ?? "decimal", autocomplete: "off", enterkeyhint: "done", placeholder: how.hint ?? t("or blank"), value: form.values[name] ?? "", "data-k": name,
      oninput: (/** @type {any} */ event) => form.type(name, event.target.value), ...how.more }));
}

/** @param {Form} form @param {string} name @param {string} label @param {string} [hint] */
export function words(form, name, label, hint) {
  const id = newId("f");
  return [h("label", { class: "q", for: id }, label),
    h("input", { id, name, class: "line", autocomplete: "off", placeholder: hint ?? "", value: form.values[name] ?? "", "data-k": name, oninput: (/** @type {any} */ event) => form.type(name, event.target.value) })];
}

/** @param {string} text */
export function caution(text) {
  const end = text.indexOf(". ");
  const [first, rest] = end < 0 ? [text, ""] : [text.slice(0, end + 1), text.slice(end + 1)];
  return h("p", { class: "warn" }, h("b", null, first), rest);
}

/** The one act of the screen. @param {string} text @param {() => void} act @param {string} [why]  why it cannot be done yet */
export const save = (text, act, why) =>
  h("button", { type: "button", class: "save", onclick: act, "data-k": "save" }, text, why ? h("small", null, why) : null);

/** A row that does something. @param {string} text @param {string | null} small @param {(() => void) | string} act */
export function row(text, small, act) {
  const inside = [h("b", null, text), small ? h("span", null, small) : null];
  return typeof act === "string"
    ? h("a", { class: "undo", href: act, "data-k": text }, inside)
    : h("button", { type: "button", class: "undo", onclick: act, "data-k": text }, inside);
}

/** What the trade tries first, folded; the maker's manual decides. @param {any[]} tries @param {"en" | "es"} language */
export const nudges = (tries, language) =>
  h("details", { class: "tries" }, h("summary", { "data-k": "tries" }, t("What the trade tries first")),
    tries.map((one) => h("p", null, h("b", null, `${t(one.sign)}. `), one.text[language] ?? one.text.en)),
    h("p", null, t("One change at a time, small, and count again; the maker's manual goes before all of this.")));

/** "Begun at 2:10, not saved": offered again, with a way to start over. @param {Form} form @param {string} when */
export const begun = (form, when) =>
  form.since === null ? null
    : h("p", { class: "begun" }, t("Begun at {0}, not saved yet.", when), " ", h("button", { type: "button", class: "link", onclick: () => form.forget(), "data-k": "forget" }, t("start over")));

/** One hollow upright box an entry, at most eight drawn. @param {number} count */
export const boxes = (count) =>
  count === 0 ? null : h("span", { class: "wt", "aria-hidden": "true" }, Array.from({ length: Math.min(count, 8) }, () => h("i")));
