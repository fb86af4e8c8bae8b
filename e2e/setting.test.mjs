// Setting, from the Cab's home screen: one thing is changed, kept with no signal, and taken back as a new entry; under
// a count stands what the trade tries first, in the desk's words.
import assert from "node:assert/strict";
import test from "node:test";
import { chrome, phone } from "./help/browser.mjs";
import { cab, cabBook, field, ready, waiting } from "./help/cab.mjs";
import { faults, sideways, small } from "./help/looks.mjs";
import { language, owner, pairing } from "./help/pages.mjs";
import { asked, entries, serve, until } from "./help/stook.mjs";

const skip = !chrome && "Chromium is not installed";

/** A phone that is paired, knows the farm and cuts Willow Bench. */
async function inField(t) {
  const book = cabBook();
  const served = await serve(t, book);
  const kitchen = await owner(t, served);
  const on = await phone(t);
  await pairing(kitchen, on.page, served, "Ann");
  await ready(on.page, served);
  await field(on.page, "Willow Bench");
  return { book, served, ...on };
}

test("one thing is set from the home screen, with no signal, and taken back", { skip }, async (t) => {
  const { book, context, page } = await inField(t);
  await context.setOffline(true);
  await page.evaluate(() => (location.hash = "home"));
  await page.locator("section.home").waitFor();
  assert.deepEqual(await small(page, 64), []);
  assert.deepEqual(await sideways(page, 320), []);
  await page.locator('section.home [data-k="#setting"]').tap();
  await page.locator("section.setting").waitFor();
  assert.match(await page.locator(".warn").innerText(), /Guards shut while anything turns\. Engine off, key out/);

  // nothing is kept of half a change
  await page.locator('[data-k="What was changed fan"]').tap();
  await page.locator('[data-k="save"]').tap();
  await page.getByText("Type what it is set to now.").first().waitFor();
  assert.equal((await waiting(page)).length, 0);

  await page.locator('input[name="from"]').fill("900");
  await page.locator('input[name="to"]').fill("850 rpm");
  await page.locator('input[name="cracked"]').fill("1.5");
  await page.locator('[data-k="Dirt in the tank some"]').tap();
  assert.deepEqual(await faults(page), []);
  await page.locator('[data-k="tries"]').tap();
  assert.match(await page.locator("details.tries").innerText(), /Reel slower, to just above ground speed/);
  assert.deepEqual(await small(page, 64), []);
  await page.locator('[data-k="save"]').tap();
  await page.locator("section.saved").waitFor();
  assert.match(await page.locator("section.saved").innerText(), /fan 900 → 850 rpm/);

  await page.locator('[data-k="Undo"]').tap();
  await page.getByText("Undone: Setting").first().waitFor();
  assert.equal((await waiting(page)).length, 2, "the change and its undoing");

  await context.setOffline(false);
  await page.evaluate(() => void globalThis.cab.send(true));
  await until("both entries are in the book", async () => (await waiting(page)).length === 0, 30_000);
  const all = entries(book);
  const set = all.filter((entry) => entry.kind === "setting");
  const struck = all.filter((entry) => entry.kind === "void");
  assert.equal(set.length, 1);
  assert.deepEqual(struck.map((entry) => entry.replaces), [[set[0].id]]);
  // the change stands in the book and no longer in the log
  assert.deepEqual(asked("settings", "--book", book, "--season", String(new Date().getFullYear())).lines, []);
});

test("under a count stands what the trade tries first, in both languages, with no signal", { skip }, async (t) => {
  const { served, context, page } = await inField(t);
  await context.setOffline(true);
  await page.evaluate(() => (location.hash = "count"));
  for (const [where, seeds] of [["standing", 1], ["behind-head", 9], ["behind-machine", 10]]) {
    await page.locator(`[data-k="Where the frame lies ${where}"]`).tap();
    for (let nth = 0; nth < 3; nth += 1) {
      await page.locator("#seeds").fill(String(seeds));
      await page.locator('[data-k="next"]').tap();
    }
  }
  for (const [name, text] of Object.entries({ long: "1", wide: "1", "cut-width": "20", price: "11", speed: "4" })) await page.locator(`input[name="${name}"]`).fill(text);
  await page.locator('[data-k="Behind the machine, the tail spread"]').tap();
  await page.locator('[data-k="save"]').tap();
  await page.locator(".scr.answer").waitFor();
  // 4 mph and 20 ft are 9.697 acres an hour of cutting, without turns
  const said = asked("count", "soybeans", "--standing", "1,1,1", "--head", "9,9,9", "--behind", "10,10,10", "--tail", "spread", "--price", "11", "--acres-an-hour", "9.69697");
  const { value, range } = said.loss.total.money_per_h;
  assert.equal(await page.locator(".hour").innerText(), `In an hour of cutting, $${Math.round(value)} ($${Math.round(range.low)} to $${Math.round(range.high)}).`);
  await page.locator('[data-k="tries"]').tap();
  const tries = await page.locator("details.tries").innerText();
  assert.match(tries, /Reel slower, to just above ground speed/);
  assert.doesNotMatch(tries, /Loose grain in the straw/);
  assert.match(tries, /the maker's manual goes before all of this/);
  assert.match(await page.locator(".scr.answer").innerText(), /Guards shut while anything turns/);
  assert.deepEqual(await faults(page), []);
  assert.deepEqual(await small(page, 64), []);
  await context.setOffline(false);
  await language(context, served.origin, "es");
  await cab(page, served);
  await page.evaluate(() => (location.hash = "answer"));
  await page.locator('[data-k="tries"]').tap();
  assert.match(await page.locator("details.tries").innerText(), /Molinete más lento/);
});
