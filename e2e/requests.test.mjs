// What pages ask for: nothing of the outside, little, and nothing that the content security policy stops.
import assert from "node:assert/strict";
import test from "node:test";
import { chrome } from "./help/browser.mjs";
import { PAGES, owner, visit } from "./help/pages.mjs";
import { demoBook, serve } from "./help/stook.mjs";

const skip = !chrome && "Chromium is not installed";
/** Most bytes of a page before its maps, as they go over the wire. */
const MOST = 300_000;

test("no page asks anything of the outside", { skip }, async (t) => {
  const served = await serve(t, demoBook({ mended: false }));
  const { page, saw } = await owner(t, served);
  for (const one of PAGES) await visit(page, served, one);
  const outside = saw.requests.filter((url) => !url.startsWith(`${served.origin}/`) && !/^(data|blob):/.test(url));
  assert.ok(saw.requests.length > PAGES.length);
  assert.deepEqual(outside, []);
  assert.deepEqual([...new Set(saw.violations)], []);
});

test("a page with all it needs is under 300 kB, maps aside", { skip }, async (t) => {
  const served = await serve(t, demoBook({ mended: false }));
  const table = [];
  const { context, page } = await owner(t, served, { serviceWorkers: "block" });
  for (const one of PAGES) {
    const wire = await context.newCDPSession(page); // a browser that has nothing yet
    await wire.send("Network.enable");
    await wire.send("Network.setCacheDisabled", { cacheDisabled: true });
    const addresses = new Map();
    let bytes = 0;
    wire.on("Network.responseReceived", ({ requestId, response }) => addresses.set(requestId, response.url));
    wire.on("Network.loadingFinished", ({ requestId, encodedDataLength }) => {
      if (!/\/static\/vendor\/|\/maps?\//.test(addresses.get(requestId) ?? "")) bytes += encodedDataLength;
    });
    await visit(page, served, one);
    table.push([one.name, bytes]);
    await wire.detach();
  }
  for (const [name, bytes] of table) t.diagnostic(`${name}: ${Math.round(bytes / 1000)} kB`);
  assert.deepEqual(table.filter(([, bytes]) => bytes >= MOST), []);
  assert.deepEqual(table.filter(([, bytes]) => bytes < 1000), [], "a page of nothing was not measured");
});
