// What is running, the six acts, and what waits.

import { h } from "../dom.js";
import { levelOf, saysFull } from "../levels.js";
import { boxes } from "../parts.js";
import { at, clock, clockOff, stillWaiting, turnedAway, waits, waitsLong } from "../said.js";
import { cropName } from "../knows.js";
import { t } from "../text.js";

/** @param {import("../cab.js").Cab} cab @param {import("../knows.js").Known} known */
export function running(cab, known) {
  const { field, crop } = known.running;
  const name = crop ? t(cropName(cab.snapshot, field ?? "", crop)) : "";
  return h("h1", { id: "title", tabindex: "-1", class: "fld" }, h("span", null, field ?? t("No field yet")), name ? h("small", null, name) : null);
}

/** The wagon that is being filled, and how sure that is. @param {import("../cab.js").Cab} cab @param {import("../knows.js").Known} known */
function wagon(cab, known) {
  const into = known.places.find((place) => place.name === known.running.into);
  const other = known.other ? t("the other heard at {0}", at(known.other.last_ms, cab)) : "";
  const level = levelOf(into?.holds?.full);
  const full = into ? saysFull(into.holds?.full) || (into.holds ? t("not known how full") : t("empty")) : "";
  return h("div", { class: "wag" },
    h("span", null, into ? `${into.name}, ${full}` : t("No wagon yet")),
    into ? h("span", { class: `hold h${level + 1}`, "aria-hidden": "true" }, h("i")) : null,
    h("small", null, other ? `${t("as this phone knows")};` : t("as this phone knows"), other ? [h("br"), other] : null));
}

/** @param {string} href @param {string} text @param {import("../dom.js").Inside} small @param {boolean} [first] */
const act = (href, text, small, first = false) =>
  h("a", { class: first ? "act first" : "act", href, "data-k": href }, h("b", null, text), h("span", null, small));

/** @param {number | null} ms @param {import("../cab.js").Cab} cab */
const last = (ms, cab) => (ms ? t("last {0}", clock(ms, cab)) : t("none today"));

export const home = {
  /** @param {import("../cab.js").Cab} cab */
  draw(cab) {
    const known = cab.known();
    const { today, stop } = known;
    const waiting = stillWaiting(cab);
    const away = turnedAway(cab).length;
    const load = cab.settings.face === "weighed" ? "#weighed" : "#load";
    const loads = [t("{0} today", today.dumps), today.last_dump_ms ? [h("br"), t("last {0}", clock(today.last_dump_ms, cab))] : null];
    return [
      h("header", { class: "st home" }, running(cab, known), wagon(cab, known)),
      act(load, t("Load"), loads, true),
      act("#count", t("Count"), last(today.last_count_ms, cab)),
      act("#sample", t("Sample"), last(today.last_sample_ms, cab)),
      act("#stop", t("Stop"), stop ? t("stopped since {0}, tap to go on", at(stop.since_ms, cab)) : Number(today.stop_minutes) > 0 ? t("{0} min today", today.stop_minutes) : t("none today")),
      act("#note", t("Note"), today.notes ? t("{0} today", today.notes) : t("none today")),
      act("#setting", t("Setting"), t("what was changed on the machine")),
      globalThis.isSecureContext ? null : h("p", { class: "q" }, t("Not a safe address: this page does not open without the laptop.")),
      clockOff(cab) ? h("p", { class: "q" }, clockOff(cab)) : null,
      h("div", { class: "foot hm" },
        h("a", { href: "#waiting", class: waitsLong(cab) ? "waits long" : "waits", "data-k": "waits" }, boxes(waiting.length), h("span", null, waits(cab)),
          cab.link.state === "unpaired" ? h("span", null, t("Not paired any more.")) : null,
          away ? h("span", null, away === 1 ? t("1 was turned away") : t("{0} were turned away", away)) : null),
        h("nav", { "aria-label": t("More") }, h("a", { href: "/", "data-k": "day" }, t("Day")), h("a", { href: "#settings", "data-k": "set" }, t("Set")))),
    ];
  },
};
