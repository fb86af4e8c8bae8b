// Every page, in one place: what is looked at, measured and drawn. A page that is added to the program
// is added here.
import { laptop } from "./browser.mjs";

/** The three lights. */
export const LIGHTS = ["light", "dark", "sun"];

/**
 * Each page: its name (the picture's too), its address, `cab` where gloves touch it, `of` for which
 * books it is looked at (all of them where it is left out). A page whose address is not known beforehand is
 * the first `link` or `button` of another; `status` is what it answers, where that is not 200.
 */
export const PAGES = [
  { name: "morning", path: "/morning" },
  { name: "cab", path: "/cab", cab: true },
  { name: "cab-load", path: "/cab#load", cab: true },
  { name: "cab-weighed", path: "/cab#weighed", cab: true },
  { name: "cab-count", path: "/cab#count", cab: true },
  { name: "cab-sample", path: "/cab#sample", cab: true },
  { name: "cab-stop", path: "/cab#stop", cab: true },
  { name: "cab-note", path: "/cab#note", cab: true },
  { name: "cab-waiting", path: "/cab#waiting", cab: true },
  { name: "night", path: "/night" },
  { name: "night-slip", path: "/night", link: 'a[href^="/night/slip/"]', of: ["demo"] },
  { name: "write", path: "/write" },
  { name: "write-field", path: "/write/field" },
  { name: "write-weighed", path: "/write/weighed" },
  { name: "winter", path: "/winter" },
  { name: "winter-field", path: "/winter", link: 'main a[href^="/winter/"]', of: ["demo"], colors: 64 },
  { name: "start", path: "/start" },
  { name: "copy", path: "/copy" },
  { name: "entries", path: "/entries" },
  { name: "entry", path: "/entries", link: 'a[href^="/entry/"]' },
  { name: "first-pass", path: "/first-pass" },
  { name: "pad", path: "/pad?from=31&count=20" },
  { name: "units", path: "/units" },
  { name: "settings", path: "/settings?price=10.40&rate=6.5" },
  { name: "cost", path: "/cost?list=350000&per_year=200&power=250+hp&fuel=3.60&rate=6&tire=52&rim=46&wanted=44&read=35" },
  { name: "ready", path: "/ready" },
  { name: "counts", path: "/counts" },
  { name: "stops", path: "/stops?hour=180" },
  { name: "speed", path: "/speed" },
  { name: "speed-answer", path: "/speed?crop=corn&loss=1+bu%2Fac+at+3+mph&price=%2410&width=40ft&hour=%24300&now=4+mph" },
  { name: "import", path: "/import" },
  { name: "start-fields", path: "/start/fields" },
  { name: "start-places", path: "/start/places" },
  { name: "programs", path: "/api" },
  { name: "people", path: "/people" },
  { name: "people-pair", path: "/people", button: 'form[action="/people/pair"] button' },
  { name: "safe", path: "/safe" },
  { name: "pair", path: "/pair" },
  { name: "sign-in", path: "/sign-in" },
  { name: "refused", path: "/nowhere", status: 404 },
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
  await on.page.goto(served.url);
  const cookies = await on.context.cookies();
  if (!cookies.some((cookie) => cookie.httpOnly)) throw new Error("the printed address opened no session");
  return on;
}

/** Opens a page of the list and waits until what is alive on it has come. */
export async function visit(page, served, one) {
  await go(page, served, one.path, one.status ?? 200);
  if (one.link) await go(page, served, await page.locator(one.link).first().getAttribute("href"), 200);
  if (one.button) {
    await page.locator(one.button).first().click();
    await page.waitForLoadState();
  }
}

/** Opens an address, waits until what is alive on the page has come. */
export async function go(page, served, path, status = 200) {
  await page.goto("about:blank"); // an address that differs in its hash only would not be read anew
  const answer = await page.goto(served.origin + path, { waitUntil: "load" });
  if (answer && answer.status() !== status && answer.status() !== 304) throw new Error(`${path} answers ${answer.status()}`);
  if (path.startsWith("/cab")) await page.waitForFunction(() => globalThis.cab?.link.state === "heard" && document.querySelector("main #title"));
  await page.evaluate(() => document.fonts.ready.then(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))));
}

/**
 * The owner lets somebody in and the code is typed on their phone; `known` pairs a new phone of
 * theirs, `at` is the address that the phone knows. */
export async function pairing(kitchen, page, served, person, { known = false, at = served.origin } = {}) {
  await go(kitchen.page, served, "/people");
  if (known) {
    await kitchen.page.getByRole("button", { name: `Pair a phone for ${person}` }).click();
  } else {
    await kitchen.page.locator('form[action="/people/add"] input[name="name"]').fill(person);
    await kitchen.page.getByRole("button", { name: "Let them in" }).click();
  }
  const code = (await kitchen.page.locator(".typed").innerText()).trim();
  await page.goto(`${at}/pair`);
  await page.locator('input[name="code"]').fill(code);
  await page.getByRole("button", { name: "Go on" }).click();
  await page.locator('input[name="device"]').fill(`${person}'s phone`);
  await page.getByRole("button", { name: "Pair this phone" }).click();
  await page.waitForURL(/\/cab/);
}
