// How this phone is set. Language, light and units are the cookies of every page; the rest stays here.

const AGE = "Path=/; Max-Age=31536000; SameSite=Strict";

/** @param {string} name @returns {string | null} */
export function cookie(name) {
  const pair = document.cookie.split(";").map((one) => one.trim().split("=")).find(([key]) => key === name);
  return pair ? pair[1] : null;
}

/** @param {string} name @param {string} value */
export function setCookie(name, value) {
  document.cookie = `${name}=${value}; ${AGE}`;
}

/** @returns {string} the language to speak: chosen, or the page's own, or the phone's */
export function wantedLanguage() {
  return cookie("language") ?? (document.documentElement.lang || navigator.language).slice(0, 2);
}

/** Puts the chosen light on the page. */
export function applyLight() {
  const light = cookie("light");
  if (light && light !== "device") document.documentElement.dataset.theme = light;
  else delete document.documentElement.dataset.theme;
}

export const metric = () => cookie("units") === "metric";

/** The weight unit that tickets here are typed in. */
export const massUnit = () => (metric() ? "kg" : "lb");
/** Short lengths: frames, widths. */
export const lengthUnit = () => (metric() ? "m" : "ft");
/** How fast the machine goes. */
export const speedUnit = () => (metric() ? "km/h" : "mph");
/** Test weight. */
export const testWeightUnit = () => (metric() ? "kg/hL" : "lb/bu");

/**
 * @typedef {object} Settings what only this phone knows
 * @property {string} name  this phone's name
 * @property {string} person  who writes on it
 * @property {string} monitor  the unit that the monitor shows
 * @property {boolean} cards  whether numbered load cards are used
 * @property {boolean} watch  whether to watch for moving
 * @property {boolean} awake  whether to keep the screen on
 * @property {"load" | "weighed"} face  which face of Load opens
 */
/** @returns {Settings} */
export const usual = () => ({ name: "", person: "", monitor: metric() ? "kg" : "bu", cards: false, watch: false, awake: false, face: "load" });
