// A day on the pages: what looks wrong in the evening is corrected from its paper, by mouse and by keyboard.
import assert from "node:assert/strict";
import test from "node:test";
import { chrome } from "./help/browser.mjs";
import { reach } from "./help/looks.mjs";
import { go, owner } from "./help/pages.mjs";
import { demoBook, entries, serve } from "./help/stook.mjs";

const skip = !chrome && "Chromium is not installed";
const LIKELY = 'a[href^="/night/slip/"]';

/** The corrections that stand in a book. */
const corrections = (book) => entries(book).filter((entry) => entry.kind === "correction");

test("the suspicious slip: opened from Night, corrected from the paper with a reason, never filled in", { skip }, async (t) => {
  const book = demoBook({ mended: false });
  const served = await serve(t, book);
  const { page } = await owner(t, served);
  await go(page, served, "/night");
  const first = await page.locator(LIKELY).first().getAttribute("href");
  const lede = await page.locator("h1").innerText();
  assert.match(lede, /^Not square/);
  await page.locator(LIKELY).first().click();
  await page.waitForURL("**" + first);
  const form = page.locator('form[action$="/mend"]').first();
  const blank = form.locator('input:not([type="hidden"]):not([type="radio"]):not([type="checkbox"]), textarea');
  for (const value of await blank.evaluateAll((all) => all.map((one) => [one.name, one.value]))) assert.equal(value[1], "", `${value[0]} is filled in`);
  assert.equal(corrections(book).length, 0);
  await form.locator('[name="moisture"]').fill("19.5");
  await form.locator('[name="reason"]').fill("the paper says 19.5");
  await form.locator("button").last().click();
  await page.waitForURL((url) => !url.pathname.startsWith("/night/slip/"));
  assert.equal(corrections(book).length, 1);
  assert.equal(corrections(book)[0].reason, "the paper says 19.5");
  await go(page, served, "/night");
  assert.notEqual(await page.locator(LIKELY).first().getAttribute("href"), first, "the next slip comes first");
});

test("the same by keyboard alone", { skip }, async (t) => {
  const book = demoBook({ mended: false });
  const served = await serve(t, book);
  const { page } = await owner(t, served);
  await go(page, served, "/night");
  await reach(page, LIKELY);
  await page.keyboard.press("Enter");
  await page.waitForURL("**/night/slip/**");
  await reach(page, 'form[action$="/mend"] [name="moisture"]');
  await page.keyboard.type("19.5");
  await reach(page, 'form[action$="/mend"] [name="reason"]');
  await page.keyboard.type("the paper says 19.5");
  await page.keyboard.press("Enter");
  await page.waitForURL((url) => !url.pathname.startsWith("/night/slip/"));
  assert.equal(corrections(book).length, 1);
});

test("pages print, and on paper nothing is left of what is touched", { skip }, async (t) => {
  const served = await serve(t, demoBook());
  const { page } = await owner(t, served);
  for (const path of ["/morning", "/night"]) {
    await go(page, served, path);
    const sheet = await page.pdf({ format: "Letter", preferCSSPageSize: true, printBackground: true });
    assert.equal(sheet.subarray(0, 5).toString(), "%PDF-");
    assert.ok(sheet.length > 15_000, `${path}: ${sheet.length} bytes`);
    await page.emulateMedia({ media: "print" });
    const left = await page.locator("nav, footer").evaluateAll((all) => all.filter((one) => one.checkVisibility()).map((one) => one.outerHTML.slice(0, 80)));
    await page.emulateMedia({ media: null });
    assert.deepEqual(left, [], path);
  }
});
