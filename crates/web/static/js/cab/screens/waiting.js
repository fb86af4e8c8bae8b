// What waits: every entry that the book has not, the ones turned away, and the way that needs no signal.

import { h } from "../dom.js";
import { undoDrafts } from "../figures.js";
import { outboxFile, sendFile } from "../outfile.js";
import { head, row } from "../parts.js";
import { at, signal, stillWaiting, turnedAway, waits, waitsLong } from "../said.js";
import { photographs } from "../store.js";
import { t } from "../text.js";
import { keep } from "./dump.js";

/** @param {import("../store.js").Entry} entry */
const state = (entry) => {
  if (entry.state === "waits") return t("waits");
  if (entry.state === "refused") return t("turned away");
  return entry.state === "unread" ? t("in the book, to be read at night") : t("in the book");
};

/** Newest first. @param {import("../cab.js").Cab} cab @param {number} most @param {((entry: import("../store.js").Entry) => void) | null} [undo] */
export function lines(cab, most, undo = null) {
  const struck = new Set([...cab.waiting, ...cab.kept].flatMap((entry) => entry.replaces));
  const all = [...cab.waiting, ...cab.kept].sort((a, b) => b.stamp_ms - a.stamp_ms || b.seq - a.seq).slice(0, most);
  if (all.length === 0) return h("p", { class: "det" }, t("Nothing."));
  return h("ul", { class: "wl" }, all.map((entry) => h("li", null,
    h("i", { class: entry.state === "waits" || entry.state === "refused" ? null : "in", "aria-hidden": "true" }),
    h("time", null, at(entry.happened_ms, cab)), h("span", null, entry.label), h("span", { class: "st" }, state(entry)),
    entry.state === "refused" && entry.why ? h("span", { class: "why" }, entry.why) : null,
    undo && entry.state !== "refused" && entry.kind !== "strike" && !struck.has(entry.id)
      ? h("button", { type: "button", class: "link take", onclick: () => undo(entry), "data-k": `undo ${entry.seq}` }, t("undo"), h("span", { class: "hush" }, ` ${entry.label} ${at(entry.happened_ms, cab)}`)) : null)));
}

/** Sends all that the book has not as one file. @param {import("../cab.js").Cab} cab @param {any} acts */
async function asFile(cab, acts) {
  const photos = cab.db ? await photographs(cab.db) : [];
  const device = { id: cab.device, name: cab.deviceName(), person: cab.settings.person };
  const text = outboxFile(device, cab.waiting, photos, Date.now());
  const day = new Date().toISOString().slice(0, 10);
  const how = await sendFile(text, `stook-outbox-${day}`);
  if (how !== "left") acts.say(t("The file was made. Drop it on any page of the laptop; the entries stay here until the book has them."));
}

export const waiting = {
  /** @param {import("../cab.js").Cab} cab @param {any} _form @param {any} acts */
  draw(cab, _form, acts) {
    const iPhone = /iPhone|iPad/.test(navigator.userAgent) && /** @type {any} */ (navigator).standalone === false;
    return [
      head(t("What waits")),
      waitsLong(cab) ? h("p", { class: "warn bare", "aria-hidden": "true" }) : null,
      h("p", { class: "holds" }, waits(cab)),
      h("p", { class: "det" }, signal(cab), cab.link.state === "unpaired" ? [" ", h("a", { href: "/pair", "data-k": "pair" }, t("Pair it again"))] : null),
      turnedAway(cab).length ? h("p", { class: "det" }, t("What was turned away stays here. Send it as a file, or write it on the laptop.")) : null,
      turnedAway(cab).length ? row(t("Send those again"), null, () => cab.sendAgain()) : null,
      row(t("Send as a file"), cab.waiting.length ? null : t("nothing waits"), () => asFile(cab, acts)),
      stillWaiting(cab).length ? row(t("Try now"), null, () => cab.send(true)) : null,
      lines(cab, 60, (entry) => keep(cab, undoDrafts([entry]), undefined, acts)),
      iPhone ? h("p", { class: "det" }, t("On this phone, add the page to the home screen: a page that is not there may be emptied after a week without a visit.")) : null,
      cab.refused ? h("p", { class: "det" }, t("This phone keeps nothing: {0}. Write on load cards.", cab.refused)) : null,
      globalThis.isSecureContext ? null : h("p", { class: "det" }, t("This address is not a safe one (https): the page does not open without the laptop, and photographs cannot be kept. Ask the owner for the safe address.")),
      !cab.refused && !cab.persisted ? h("p", { class: "det" }, t("This phone has not promised to keep what it holds when its storage runs full. Keep the page on the home screen and send what waits every day.")) : null,
    ];
  },
};
