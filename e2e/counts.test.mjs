// Counting behind the machine with no signal: the phone's answer is the laptop's, to the dollar; a second count
// after a change shows the odds.
import assert from "node:assert/strict";
import test from "node:test";
import { chrome, phone } from "./help/browser.mjs";
import { cab, cabBook, field, ready, waiting } from "./help/cab.mjs";
import { faults, small } from "./help/looks.mjs";
import { owner, pairing } from "./help/pages.mjs";
import { asked, entries, serve, until } from "./help/stook.mjs";

const skip = !chrome && "Chromium is not installed";

/** Types frames, the tail and what else is asked, and saves. @param {any} page @param {Record<string, number[]>} frames @param {boolean} first */
async function count(page, frames, first) {
  await page.evaluate(() => (location.hash = "count"));
  await page.locator("section.count").waitFor();
  for (const [where, seeds] of Object.entries(frames)) {
    await page.locator(`[data-k="Where the frame lies ${where}"]`).tap();
    for (const one of seeds) {
      await page.locator("#seeds").fill(String(one));
      await page.locator('[data-k="next"]').tap();
    }
  }
  if (first) {
    await page.locator('input[name="long"]').fill("1");
    await page.locator('input[name="wide"]').fill("1");
    await page.locator('input[name="cut-width"]').fill("30");
    await page.locator('input[name="price"]').fill("11");
  }
  await page.locator('[data-k="Behind the machine, the tail windrow"]').tap();
  await page.locator('input[name="tail-width"]').fill("5");
  await page.locator('[data-k="save"]').tap();
  await page.locator(".scr.answer").waitFor();
}

test("a count answers in aeroplane mode with the laptop's dollars, and the next one with odds", { skip }, async (t) => {
  const book = cabBook();
  const served = await serve(t, book);
  const kitchen = await owner(t, served);
  const on = await phone(t);
  await pairing(kitchen, on.page, served, "Ann");
  await ready(on.page, served);
  await field(on.page, "Willow Bench");
  await on.context.setOffline(true);
  const { page } = on;

  await count(page, { standing: [2, 1, 2, 2], "behind-head": [10, 9, 11, 11], "behind-machine": [28, 19, 41, 24] }, true);
  const lede = await page.locator(".lede").innerText();
  assert.match(lede, /^You are leaving \$32 an acre, most of it at the head\.$/);
  assert.match(await page.locator(".big").innerText(), /2\.9\s+bu\/ac/);
  assert.equal(await page.locator(".fell tbody tr").count(), 4);
  assert.equal((await waiting(page)).length, 1);
  assert.deepEqual(await faults(page), []);
  assert.deepEqual(await small(page, 64), []);

  await count(page, { "behind-head": [10, 9, 11, 11], "behind-machine": [14, 13, 17, 12] }, false);
  const odds = await page.locator(".odds").innerText();
  assert.match(odds, /^(\d+|over 9) in 10 that less is lost behind the machine/);

  await on.context.setOffline(false);
  await page.evaluate(() => void globalThis.cab.send(true));
  await until("both counts are in the book", async () => (await waiting(page)).length === 0, 30_000);
  const counts = entries(book).filter((entry) => entry.kind === "count");
  assert.equal(counts.length, 2);
  // the laptop, asked for the same price, says the same of the same frames
  const said = asked("count", "soybeans", "--standing", "2,1,2,2", "--head", "10,9,11,11", "--behind", "28,19,41,24", "--tail", "windrow 5 ft of 30 ft", "--price", "11");
  const { total } = said.loss;
  assert.equal(`$${Math.round(total.money_per_ac.value)}`, lede.match(/\$\d+/)[0]);
});
