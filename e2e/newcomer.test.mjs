// A newcomer: from no book at all to the first load, and Night shows it; by mouse and by keyboard alone.
import assert from "node:assert/strict";
import path from "node:path";
import test from "node:test";
import { chrome } from "./help/browser.mjs";
import { ready } from "./help/cab.mjs";
import { reach } from "./help/looks.mjs";
import { go, owner } from "./help/pages.mjs";
import { entries, folder, serve } from "./help/stook.mjs";

const skip = !chrome && "Chromium is not installed";

/** What is typed on each of the first pages: the field's name on the form, and the text or the choice. */
const STEPS = [
  ["farm", [["name", "Quiet Creek"]]],
  ["fields", [["field1.name", "Willow Bench"], ["field1.planted", "31"], ["planting1.crop", "soybeans"]]],
  ["machines", [["machine1.name", "Old Red"]]],
  ["places", [["place1.name", "Gravity 1"], ["place5.name", "River pit"]]],
  ["buyer", [["buyer1.name", "River landing"]]],
];

/** What a thumb or a mouse does. */
const byHand = {
  async fill(page, name, text) {
    const field = page.locator(`main [name="${name}"]`);
    if ((await field.evaluate((one) => one.localName)) === "select") await field.selectOption(text);
    else await field.fill(text);
  },
  write: (page) => page.locator("main form button.btn").last().click(),
  press: (page, selector) => page.locator(selector).click(),
};

/** What somebody does who has no mouse; choices are made by typing the first letters. */
const byKeys = {
  async fill(page, name, text) {
    await reach(page, `main [name="${name}"]`);
    await page.keyboard.type(text);
  },
  async write(page) {
    await reach(page, "main form button.btn");
    await page.keyboard.press("Enter");
  },
  async press(page, selector) {
    await reach(page, selector);
    await page.keyboard.press("Enter");
  },
};

for (const [how, act] of [["by hand", byHand], ["by keyboard alone", byKeys]]) {
  test(`from no book to the first load, ${how}`, { skip }, async (t) => {
    const book = path.join(folder(), "farm.stook");
    const served = await serve(t, book);
    const { page } = await owner(t, served);
    assert.equal(new URL(page.url()).pathname, "/start");
    for (const [step, typed] of STEPS) {
      await go(page, served, `/start/${step}`);
      for (const [name, text] of typed) await act.fill(page, name, text);
      await act.write(page);
      await page.waitForURL((url) => url.pathname !== `/start/${step}`);
    }
    const kinds = new Set(entries(book).map((entry) => entry.kind));
    for (const kind of ["farm", "field", "planting", "machine", "place", "buyer"]) assert.ok(kinds.has(kind), `no ${kind} was written`);

    await ready(page, served);
    await act.press(page, '[data-k="#load"]');
    await page.locator("section.load").waitFor();
    await act.press(page, '[data-k="change the field"]');
    await page.locator("section.field").waitFor();
    await act.press(page, '[data-k="Which field Willow Bench"]');
    await act.press(page, 'section.field [data-k="save"]');
    await page.locator("section.load").waitFor();
    await act.press(page, '[data-k="Dumped into Gravity 1"]');
    await act.press(page, '[data-k="level 1"]');
    await act.press(page, 'section.load [data-k="save"]');
    await page.locator("section.saved").waitFor();
    await page.waitForFunction(() => globalThis.cab.waiting.length === 0);
    assert.equal(entries(book).filter((entry) => entry.kind === "dump").length, 1);

    await go(page, served, "/night");
    const night = await page.locator("main").innerText();
    assert.match(night, /Gravity 1/);
    assert.match(night, /Willow Bench/);
  });
}
