// How full something is, in fifths that an eye can tell apart.

import { t } from "./text.js";

/** As entries write it, and as it is shown. */
export const LEVELS = [
  { value: "1/4", sign: "¼", percent: 25 },
  { value: "1/2", sign: "½", percent: 50 },
  { value: "3/4", sign: "¾", percent: 75 },
  { value: "100%", sign: "full", percent: 100 },
  { value: "110%", sign: "heap", percent: 110 },
];

/** @param {string | number | null | undefined} full  "3/4", "75%", "75" @returns {number | null} per cent of level full */
export function percentOf(full) {
  if (full === null || full === undefined || full === "") return null;
  const [top, bottom] = String(full).split("/").map((part) => Number.parseFloat(part));
  const percent = bottom ? (top / bottom) * 100 : top;
  return Number.isFinite(percent) ? percent : null;
}

/** Which of the five, or -1. @param {string | number | null | undefined} full */
export function levelOf(full) {
  const percent = percentOf(full);
  if (percent === null || percent <= 0) return -1;
  const off = LEVELS.map((level) => Math.abs(level.percent - percent));
  return off.indexOf(Math.min(...off));
}

/** @param {string | number | null | undefined} full @returns {string} "½ full", "heaped", "" when nobody looked */
export function saysFull(full) {
  const at = levelOf(full);
  if (at < 0) return "";
  if (at === 3) return t("full");
  if (at === 4) return t("heaped");
  return t("{0} full", LEVELS[at].sign);
}

/** @param {number} at */
export const sign = (at) => (at === 3 ? t("full") : at === 4 ? t("heap") : LEVELS[at].sign);
