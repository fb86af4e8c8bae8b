// The phone in the cab, as a thumb uses it: every act ends when the phone says "Saved".
import assert from "node:assert/strict";
import { photograph } from "./photograph.mjs";
import { emptyBook, until, write } from "./stook.mjs";

/** A farm with two fields in two insured units, a combine, three wagons, a pit, a buyer and a meter, this year. */
export function cabBook() {
  const book = emptyBook();
  const season = String(new Date().getFullYear());
  const lines = [
    { kind: "machine", figures: { name: "Old Red", tank: "10000 lb" } },
    { kind: "meter", figures: { name: "hand meter", kind: "hand" } },
    { kind: "buyer", figures: { name: "River landing" } },
    { kind: "place", figures: { name: "River pit", kind: "pit" } },
    { kind: "field", figures: { name: "Willow Bench", planted: "31 ac", unit: "0001-0001" } },
    { kind: "planting", figures: { field: "Willow Bench", crop: "soybeans", season } },
    { kind: "field", figures: { name: "Long Eighty", planted: "78 ac", unit: "0001-0002" } },
    { kind: "planting", figures: { field: "Long Eighty", crop: "corn", season } },
  ];
  for (const name of ["Gravity 1", "Gravity 2", "Truck"]) lines.push({ kind: "place", figures: { name, kind: name === "Truck" ? "truck" : "wagon", capacity: "14000 lb" } });
  write(book, lines);
  return book;
}

/** Opens the Cab and waits until it has drawn itself. */
export async function cab(page, served) {
  await page.goto(`${served.origin}/cab`, { waitUntil: "commit" });
  await page.waitForFunction(() => globalThis.cab && document.querySelector("main section.home"));
}

/** Opens the Cab in reach of the laptop, until it would open without. */
export async function ready(page, served) {
  await cab(page, served);
  await until("the service worker is there", () => page.evaluate(() => Boolean(navigator.serviceWorker.controller)));
  await until("the phone knows the farm", () => page.evaluate(() => Boolean(globalThis.cab.snapshot)));
}

/** What waits on the phone, oldest first, by id. */
export const waiting = (page) => page.evaluate(() => globalThis.cab.waiting.map((entry) => entry.id));

/** Back to the six acts. */
async function home(page) {
  await page.evaluate(() => (location.hash = "home"));
  await page.locator("section.home").waitFor();
}

/** Taps what has this mark. */
const tap = (page, mark) => page.locator(`[data-k="${mark}"]`).tap();

/** Taps Save and waits until the phone has it on its disk. */
async function saved(page) {
  await tap(page, "save");
  await page.locator("section.saved").waitFor().catch(async () => {
    throw new Error(`the phone does not say "Saved": ${await page.locator("main").innerText()}`);
  });
}

/** Says which field is being cut. */
export async function field(page, name) {
  await page.evaluate(() => (location.hash = "field"));
  await tap(page, `Which field ${name}`);
  await tap(page, "save");
  await page.locator("section.field").waitFor({ state: "detached" });
}

/** Load, in the machine. */
export async function load(page, into, level = 1) {
  await home(page);
  await page.evaluate(() => (location.hash = "load"));
  await tap(page, `Dumped into ${into}`);
  await tap(page, `level ${level}`);
  await saved(page);
}

/** Load, at the scale: a photograph of the ticket and what was emptied; figures if given. */
export async function weighed(page, from, seed, figures = {}) {
  await home(page);
  await page.evaluate(() => (location.hash = "weighed"));
  await shoot(page, seed);
  await tap(page, `What was emptied ${from}`);
  for (const [name, text] of Object.entries(figures)) await page.locator(`input[name="${name}"]`).fill(text);
  await saved(page);
}

/** A note, with a photograph if `seed` is given. */
export async function note(page, text, seed) {
  await home(page);
  await page.evaluate(() => (location.hash = "note"));
  await page.locator("textarea").fill(text);
  if (seed !== undefined) await shoot(page, seed);
  await saved(page);
}

/** The machine stands, and goes on. */
export async function stop(page, why = "plug") {
  await home(page);
  await page.evaluate(() => (location.hash = "stop"));
  await page.locator(`[data-k$=" ${why}"]`).first().tap();
  await page.locator("section.saved").waitFor();
  await home(page);
  await page.evaluate(() => (location.hash = "stop"));
  await saved(page);
}

/** One moisture reading from the tank. */
export async function sample(page, reading) {
  await home(page);
  await page.evaluate(() => (location.hash = "sample"));
  await tap(page, "How it was taken tank");
  await page.locator('input[name="reading"]').fill(reading);
  await saved(page);
}

/** One frame behind the machine. */
export async function count(page, seeds) {
  await home(page);
  await page.evaluate(() => (location.hash = "count"));
  await tap(page, "Where the frame lies behind-machine");
  await page.locator('input[name="seeds"]').fill(String(seeds));
  for (const side of ["long", "wide"]) await page.locator(`input[name="${side}"]`).fill("1");
  await tap(page, "Behind the machine, the tail spread");
  await tap(page, "save");
  await page.locator("section.answer").waitFor();
}

/** Takes a photograph that is like no other. */
async function shoot(page, seed) {
  await page.locator('input[type="file"]').setInputFiles({ name: `${seed}.png`, mimeType: "image/png", buffer: photograph(seed) });
  await page.locator("section", { hasText: "Photograph 1" }).waitFor();
}

/** A spell of work: twelve or so entries of every kind, six of them with photographs. */
export async function spell(page, seed) {
  const before = (await waiting(page)).length;
  await load(page, "Gravity 1", 0);
  await load(page, "Gravity 1", 2);
  await note(page, `wet corner ${seed}`, seed * 10 + 1); // a photograph and the note
  await sample(page, "13.4");
  await count(page, 4);
  await weighed(page, "Gravity 1", seed * 10 + 2);
  await stop(page); // two entries
  await note(page, `deer in the end rows ${seed}`, seed * 10 + 3);
  await load(page, "Gravity 2", 1);
  await weighed(page, "Gravity 2", seed * 10 + 4, { gross: "21460", tare: "6120", number: `9${seed}` });
  const now = await waiting(page);
  assert.ok(now.length >= before + 13, `${now.length - before} entries were saved`);
  return now;
}
