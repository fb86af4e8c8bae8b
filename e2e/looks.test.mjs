// Every page in every light: axe, contrast, sizes of what is touched, no sideways scroll; with the demo
// farm, an empty book, forty fields of long names, and in Spanish.
import assert from "node:assert/strict";
import test from "node:test";
import { chrome } from "./help/browser.mjs";
import { faults, sideways, small, tabbed } from "./help/looks.mjs";
import { LIGHTS, PAGES, language, light, owner, visit } from "./help/pages.mjs";
import { demoBook, emptyBook, fortyBook, serve } from "./help/stook.mjs";

const skip = !chrome && "Chromium is not installed";
const BOOKS = { demo: () => demoBook({ mended: false }), empty: emptyBook, forty: fortyBook };
/** The narrowest phone, the phone of the cab, a tablet, the laptop; half the laptop is 200 % zoom. */
const WIDTHS = [320, 360, 640, 768, 1280];

for (const [book, make] of Object.entries(BOOKS)) {
  const pages = PAGES.filter((page) => !page.of || page.of.includes(book));

  for (const name of LIGHTS) {
    test(`${book} book in ${name}: nothing on any page hinders a reader`, { skip }, async (t) => {
      const served = await serve(t, make());
      const { context, page, saw } = await owner(t, served);
      await light(context, served.origin, name);
      const found = [];
      for (const one of pages) {
        await visit(page, served, one);
        found.push(...(await faults(page)).map((fault) => `${one.name}: ${fault}`));
      }
      assert.deepEqual(found, []);
      assert.deepEqual([...new Set(saw.violations)], [], "content security policy");
      assert.deepEqual([...new Set(saw.errors)], [], "errors of page scripts");
    });
  }

  for (const code of ["en", "es"]) {
    test(`${book} book in ${code}: nothing scrolls sideways, all that is touched is large enough`, { skip }, async (t) => {
      const served = await serve(t, make());
      const { context, page } = await owner(t, served);
      await language(context, served.origin, code);
      const found = [];
      for (const one of pages) {
        await visit(page, served, one);
        for (const width of WIDTHS) {
          found.push(...(await sideways(page, width)).map((past) => `${one.name} at ${width}: ${past}`));
          if (width !== 360 && width !== 1280) continue;
          const least = one.cab ? 64 : 48;
          found.push(...(await small(page, least)).map((less) => `${one.name} at ${width}: under ${least} px: ${less}`));
        }
      }
      assert.deepEqual(found, []);
    });
  }
}

test("the keyboard reaches everything that a mouse reaches, and shows where it is", { skip }, async (t) => {
  const served = await serve(t, BOOKS.demo());
  const { page } = await owner(t, served);
  for (const one of PAGES) {
    await visit(page, served, one);
    const walked = await tabbed(page, 600);
    assert.ok(walked.length > 0, `${one.name}: Tab reaches nothing`);
    assert.deepEqual(walked.filter((step) => !step.ring).map((step) => step.what), [], `${one.name}: no ring on the focus`);
    const missed = await page.evaluate(() =>
      [...document.querySelectorAll("a[href], button:enabled, input:enabled:not([type=hidden]), select:enabled, textarea:enabled, summary")]
        .filter((element) => element.checkVisibility({ visibilityProperty: true }) && element.tabIndex >= 0)
        .filter((element) => !globalThis.walked.seen.has(element) && !globalThis.walked.marks.has(element.dataset.k))
        .filter((element) => !(element.type === "radio" && [...document.getElementsByName(element.name)].some((other) => globalThis.walked.seen.has(other))))
        .map((element) => `${element.localName} ${(element.textContent || element.name || "").trim().slice(0, 40)}`));
    assert.deepEqual(missed, [], `${one.name}: not reached by Tab`);
  }
});
