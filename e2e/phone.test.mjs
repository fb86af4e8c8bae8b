// The phone in the cab, 360 x 740 with touch: no signal, a battery that dies, a laptop that is killed, a wrong
// clock, an ended session, a file. In the end the book has every entry exactly once.
import assert from "node:assert/strict";
import fs from "node:fs";
import path from "node:path";
import test from "node:test";
import { chrome, phone } from "./help/browser.mjs";
import { cab, cabBook, field, load, note, ready, spell, waiting } from "./help/cab.mjs";
import { owner, pairing } from "./help/pages.mjs";
import { attachments, entries, folder, serve, until } from "./help/stook.mjs";

const skip = !chrome && "Chromium is not installed";
const DAY = 86_400_000;

/** A phone that is paired, has seen the Cab once and lies in its pocket, switched on. */
async function paired(t, served, laptop, person, more = {}) {
  const on = await phone(t, more);
  await pairing(laptop, on.page, served, person);
  await ready(on.page, served);
  await field(on.page, "Willow Bench");
  await on.close(); // what a browser keeps in memory of its cookies goes to the disk when it is closed
  const again = await on.again();
  await cab(again.page, served);
  return again;
}

/** Out of reach: aeroplane mode, and it is checked that nothing comes through. */
async function away(on) {
  await on.context.setOffline(true);
  const reached = await on.page.evaluate(() => fetch("/api/cab", { cache: "no-store" }).then(() => true, () => false));
  assert.equal(reached, false, "aeroplane mode lets something through");
}

/** The battery dies and the phone is switched on again, still out of reach. */
async function dies(on, served) {
  await on.kill();
  const again = await on.again();
  await again.context.setOffline(true);
  await cab(again.page, served);
  return again;
}

const emptied = (on) => until("all is in the book", async () => (await waiting(on.page)).length === 0, 30_000);

/** Every one of `ids` is in the book once, and no other entry came since `before`. */
function once(book, before, ids, allowed = []) {
  const there = entries(book).map((entry) => entry.id);
  assert.equal(new Set(there).size, there.length, "an id is there twice");
  assert.deepEqual(ids.filter((id) => !there.includes(id)), [], "lost");
  const more = entries(book).filter((entry) => !before.includes(entry.id) && !ids.includes(entry.id) && !allowed.includes(entry.kind));
  assert.deepEqual(more, [], "nobody wrote these");
}

test("forty entries with photographs: battery dead twice, laptop killed while it takes them", { skip }, async (t) => {
  const book = cabBook();
  const before = entries(book).map((entry) => entry.id);
  let served = await serve(t, book);
  const kitchen = await owner(t, served);
  let on = await paired(t, served, kitchen, "Ann");
  await away(on);
  await on.page.reload(); // opens with no network at all
  await on.page.locator("section.home").waitFor();
  await spell(on.page, 1);
  let ids = await waiting(on.page);
  on = await dies(on, served);
  assert.deepEqual(await waiting(on.page), ids, "what was saved before the battery died");
  await spell(on.page, 2);
  await spell(on.page, 3);
  await note(on.page, "last thing", 99);
  ids = await waiting(on.page);
  on = await dies(on, served); // right after the phone said "Saved"
  assert.deepEqual(await waiting(on.page), ids);
  assert.ok(ids.length >= 40, `${ids.length} entries`);
  assert.equal(entries(book).length, before.length, "nothing reached the book so far");

  // within reach again: the laptop dies as soon as the entries come, and comes back
  const sent = on.page.waitForRequest((request) => request.url().endsWith("/api/entries"));
  await on.context.setOffline(false);
  await on.page.evaluate(() => void globalThis.cab.send(true));
  await sent;
  await served.kill();
  served = await served.again();
  await on.page.evaluate(() => void globalThis.cab.send(true));
  await emptied(on);
  once(book, before, ids);
  assert.equal(attachments(book).length, 3 * 4 + 1, "photographs, each once");
});

test("two phones in turn, one a day behind, and everything sent twice", { skip }, async (t) => {
  const book = cabBook();
  const before = entries(book).map((entry) => entry.id);
  const served = await serve(t, book);
  const kitchen = await owner(t, served);
  const [one, two] = [await paired(t, served, kitchen, "Ann"), await paired(t, served, kitchen, "Ben", { behind: DAY })];
  const sent = new Set();
  for (const on of [one, two]) on.context.on("request", (request) => request.url().endsWith("/api/entries") && sent.add(request.postData()));
  const ids = [];
  for (let turn = 0; turn < 3; turn += 1) {
    for (const on of [one, two]) {
      await away(on);
      await load(on.page, "Gravity 1", turn);
      await note(on.page, `turn ${turn}`, 500 + turn * 2 + (on === two ? 1 : 0));
      ids.push(...(await waiting(on.page)));
      await on.context.setOffline(false);
      if (turn === 1) continue; // this one stays away until the next turn
      await on.page.evaluate(() => void globalThis.cab.send(true));
      await emptied(on);
    }
  }
  for (const on of [one, two]) await emptied(on);
  // each letter once more, as a phone that never heard the answer would send it
  for (const letter of sent) {
    for (const on of [one, two]) {
      const answer = await on.page.evaluate((body) => fetch("/api/entries", { method: "POST", headers: { "content-type": "application/json" }, body }).then(async (said) => [said.status, await said.text()]), letter);
      assert.equal(answer[0], 200, answer[1]);
      assert.ok(JSON.parse(answer[1]).results.every((result) => result.state === "known"), answer[1]);
    }
  }
  assert.ok(sent.size >= 4);
  once(book, before, [...new Set(ids)], ["note"]); // a clock that is far off is noted by the book itself
  const stamps = entries(book).filter((entry) => ids.includes(entry.id));
  assert.equal(stamps.length, new Set(ids).size);
  assert.equal(attachments(book).length, 6);
});

test("a session that was ended: the entries wait, and go when the phone is paired again", { skip }, async (t) => {
  const book = cabBook();
  const before = entries(book).map((entry) => entry.id);
  const served = await serve(t, book);
  const kitchen = await owner(t, served);
  const on = await paired(t, served, kitchen, "Ann");
  await on.context.clearCookies();
  await load(on.page, "Gravity 2", 1);
  await note(on.page, "the belt slips", 7);
  const ids = await waiting(on.page);
  await until("the phone says that it is not paired", () => on.page.evaluate(() => globalThis.cab.link.state === "unpaired"));
  assert.equal(ids.length, 3);
  assert.equal(entries(book).length, before.length);
  await pairing(kitchen, on.page, served, "Ann", { known: true });
  await cab(on.page, served);
  await emptied(on);
  once(book, before, ids);
});

test("the outbox as a file, dropped on the laptop", { skip }, async (t) => {
  const book = cabBook();
  const before = entries(book).map((entry) => entry.id);
  const served = await serve(t, book);
  const kitchen = await owner(t, served);
  const on = await paired(t, served, kitchen, "Ann");
  await away(on);
  await load(on.page, "Gravity 2", 1);
  await note(on.page, "fence down", 8);
  const ids = await waiting(on.page);
  await on.page.evaluate(() => (location.hash = "waiting"));
  const coming = on.page.waitForEvent("download");
  await on.page.locator('[data-k="Send as a file"]').tap();
  const file = path.join(folder(), "outbox.txt");
  await (await coming).saveAs(file);
  const lines = fs.readFileSync(file, "utf8").trim().split("\n").map((line) => JSON.parse(line));
  assert.equal(lines[0].stook, "outbox");
  assert.deepEqual(lines.slice(1).flatMap((line) => line.id ?? []), ids);
  assert.equal(lines.filter((line) => line.photograph).length, 1);
});
