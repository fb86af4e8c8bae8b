// A stop, ended. In the cab with no signal: why, part and cost are told when the machine goes on. At the kitchen
// table: one that nobody ended is told in the morning and ended at a typed time, by keyboard alone.
import assert from "node:assert/strict";
import test from "node:test";
import { chrome, phone } from "./help/browser.mjs";
import { cabBook, field, ready, waiting } from "./help/cab.mjs";
import { faults, sideways, small } from "./help/looks.mjs";
import { language, owner, pairing } from "./help/pages.mjs";
import { serve, until } from "./help/stook.mjs";

const skip = !chrome && "Chromium is not installed";

test("the end of a stop is told in aeroplane mode and comes into the book", { skip }, async (t) => {
  const served = await serve(t, cabBook());
  const kitchen = await owner(t, served);
  const on = await phone(t);
  await pairing(kitchen, on.page, served, "Ann");
  await ready(on.page, served);
  await field(on.page, "Willow Bench");
  await on.context.setOffline(true);
  const { page } = on;

  const stands = async () => {
    await page.evaluate(() => (location.hash = "home"));
    await page.locator("section.home").waitFor();
    await page.evaluate(() => (location.hash = "stop"));
    await page.locator("section.stop").waitFor();
  };
  await stands();
  await page.locator('[data-k$=" rest"]').tap();
  await page.locator("section.saved").waitFor();
  await stands();
  // a meal has no part and no cost
  assert.equal(await page.locator('input[name="cost"]').count(), 0);
  await page.locator('[data-k$=" breakdown"]').tap();
  await page.locator('input[name="part"]').fill("feeder chain");
  await page.locator('input[name="cost"]').fill("a lot");
  await page.locator('[data-k="save"]').tap();
  assert.match(await page.locator(".save small").innerText(), /dollars, as a number/);
  assert.equal((await waiting(page)).length, 1, "nothing is kept that the laptop would turn away");
  await page.locator('input[name="cost"]').fill("420");
  assert.deepEqual(await faults(page), []);
  assert.deepEqual(await small(page, 64), []);
  await page.locator('[data-k="save"]').tap();
  await page.locator("section.saved").waitFor();
  const last = await page.evaluate(() => globalThis.cab.waiting.at(-1));
  assert.deepEqual([last.kind, last.figures.why, last.figures.part, last.figures.cost], ["go", ["breakdown"], ["feeder chain"], ["$420"]]);

  await on.context.setOffline(false);
  await page.evaluate(() => void globalThis.cab.send(true));
  await until("all is in the book", async () => (await waiting(page)).length === 0, 30_000);
  await kitchen.page.goto(`${served.origin}/stops`);
  const row = kitchen.page.locator("tbody tr").last();
  // it was begun as a rest: that counts, and what the end told stands beside it
  assert.match(await row.innerText(), /rest[\s\S]*feeder chain[\s\S]*its end says: broke down[\s\S]*\$420/);
});

test("a stop that nobody ended is told in the morning and ended by keyboard", { skip }, async (t) => {
  const served = await serve(t, cabBook());
  const { context, page } = await owner(t, served);
  await page.goto(`${served.origin}/write/stop`);
  await page.locator('[name="why"][value="plug"]').or(page.locator('select[name="why"]')).first().evaluate((one) => {
    if (one.localName === "select") one.value = "plug";
    else one.checked = true;
  });
  await page.locator("form.paper button.btn").click();
  for (const code of ["es", "en"]) {
    await language(context, served.origin, code);
    for (const path of ["/morning", "/stops"]) {
      await page.goto(`${served.origin}${path}`);
      await page.evaluate(() => document.querySelectorAll("main details").forEach((one) => (one.open = true)));
      assert.deepEqual(await faults(page), [], path);
      for (const width of [320, 360, 1280]) {
        assert.deepEqual(await sideways(page, width), [], `${path} at ${width} in ${code}`);
        assert.deepEqual(await small(page, 48), [], `${path} at ${width} in ${code}`);
      }
    }
  }
  await page.goto(`${served.origin}/morning`);
  assert.match(await page.locator(".openstops").innerText(), /stands since[\s\S]*plugged[\s\S]*write its end or correct it/);
  await page.locator(".openstops a").first().focus();
  await page.keyboard.press("Enter");
  await page.waitForURL(/\/stops#end-/);
  const form = page.getByRole("form", { name: /stands since/ });
  await form.getByLabel("When it went on").focus();
  // past the parts of the date and the time, the folded figures are opened by keyboard
  const focused = () => page.evaluate(() => document.activeElement?.localName);
  for (let step = 0; step < 12 && (await focused()) !== "summary"; step += 1) await page.keyboard.press("Tab");
  await page.keyboard.press("Enter");
  for (const text of ["b", "belt", "35", "pulled free"]) {
    await page.keyboard.press("Tab");
    await page.keyboard.type(text);
  }
  await page.keyboard.press("Tab");
  await page.keyboard.press("Enter");
  await page.waitForURL(/\/stops\?kept=yes/);
  assert.equal(await page.getByRole("status").filter({ hasText: "It is in the book." }).count(), 1);
  assert.match(await page.locator("tbody tr").last().innerText(), /belt[\s\S]*pulled free[\s\S]*\$35/);
  assert.equal(await page.getByRole("form", { name: /stands since/ }).count(), 0);
});
