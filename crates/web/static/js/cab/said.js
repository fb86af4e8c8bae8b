// Sentences about this phone, its other half and the laptop.

import { hour, moment } from "./clock.js";
import { language, t } from "./text.js";

/** A wait that is said strongly: half a day. */
const LONG_MS = 12 * 3_600_000;

/** @param {number} ms @param {import("./cab.js").Cab} cab */
export const at = (ms, cab) => moment(ms, Date.now(), language(), cab.zone());

/** @param {number} ms @param {import("./cab.js").Cab} cab */
export const clock = (ms, cab) => hour(ms, language(), cab.zone());

/** @param {import("./cab.js").Cab} cab */
export const stillWaiting = (cab) => cab.waiting.filter((entry) => entry.state === "waits");

/** @param {import("./cab.js").Cab} cab */
export const turnedAway = (cab) => cab.waiting.filter((entry) => entry.state === "refused");

/** What waits, in a few words. @param {import("./cab.js").Cab} cab @returns {string} */
export function waits(cab) {
  if (cab.refused) return t("This phone keeps nothing; write on load cards");
  const waiting = stillWaiting(cab);
  if (waiting.length === 0) return cab.kept.length ? t("All is in the book") : t("Nothing written here yet");
  const many = waiting.length === 1 ? t("1 waits; it is safe on this phone") : t("{0} wait; all are safe on this phone", waiting.length);
  return Date.now() - waiting[0].stamp_ms > LONG_MS ? t("Waiting since {0}: {1}. Send as a file today.", at(waiting[0].stamp_ms, cab), many) : many;
}

/** Whether it has waited too long. @param {import("./cab.js").Cab} cab */
export function waitsLong(cab) {
  const waiting = stillWaiting(cab);
  return waiting.length > 0 && Date.now() - waiting[0].stamp_ms > LONG_MS;
}

/** How the laptop is heard. @param {import("./cab.js").Cab} cab @returns {string} */
export function signal(cab) {
  const { state, silentSince } = cab.link;
  if (state === "unpaired") return t("The laptop does not know this phone any more; it must be paired again. What is written here is safe.");
  if (state === "heard") return t("The laptop is heard.");
  if (state === "unknown") return t("Listening for the laptop.");
  return silentSince === null ? t("The laptop was never heard from here.") : t("No signal since {0}.", at(silentSince, cab));
}

/** The phone's clock, where it is far off. @param {import("./cab.js").Cab} cab @returns {string | null} */
export function clockOff(cab) {
  const minutes = Math.round(Math.abs(cab.link.clockOff) / 60_000);
  return minutes < 5 ? null : t("The clock of this phone and that of the laptop are {0} minutes apart; set the wrong one.", minutes);
}
