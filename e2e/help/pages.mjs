// Every page, in one place: what is looked at, measured and drawn. A page that is added to the program
// is added here.
import { laptop } from "./browser.mjs";

/** The three lights. */
export const LIGHTS = ["light", "dark", "sun"];

/**
 * Each page: its name (the picture's too), its address, `cab` where gloves touch it, and `of` for which
 * books it is looked at (all of them where it is left out).
 */
export const PAGES = [
  { name: "morning", path: "/morning" },
  { name: "cab", path: "/cab", cab: true },
];

/** Chooses a light as the foot of every page does. */
export async function light(context, origin, name) {
  await context.addCookies([{ name: "light", value: name, url: origin, sameSite: "Strict" }]);
}

/** Chooses the language likewise. */
export async function language(context, origin, code) {
  await context.addCookies([{ name: "language", value: code, url: origin, sameSite: "Strict" }]);
}

/** A laptop that has come in by the printed address. */
export async function owner(t, served, more = {}) {
  const on = await laptop(t, more);
  const answer = await on.page.goto(served.url);
  if (answer.status() >= 400) throw new Error(`the printed address answers ${answer.status()}`);
  return on;
}

/** Opens a page and waits until what is alive on it has come. */
export async function visit(page, served, path) {
  const answer = await page.goto(served.origin + path, { waitUntil: "load" });
  if (answer && answer.status() !== 200 && answer.status() !== 304) throw new Error(`${path} answers ${answer.status()}`);
  await page.evaluate(() => document.fonts.ready.then(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))));
}
