// The cab's pure modules: ids, times, what the phone knows, mixing, entries, sending.
import assert from "node:assert/strict";
import { test } from "node:test";
import { page } from "./pages.mjs";

const ids = await page("cab/ids.js");
const clock = await page("cab/clock.js");
const { knows, since, likely } = await page("cab/knows.js");
const { differs, grainOf, amongWagons } = await page("cab/mix.js");
const figures = await page("cab/figures.js");
const { outboxFile, base64 } = await page("cab/outfile.js");
const { drain, waitAfter, BATCH, LONGEST_MS, EVERY_MS } = await page("cab/drain.js");
const levels = await page("cab/levels.js");
const moving = await page("cab/moving.js");
const { t, useWords } = await page("cab/text.js");

const ZONE = "America/Chicago";
const NOON = Date.UTC(2026, 9, 9, 17, 0); // 12:00 in Chicago

let made = 0;
/** An entry as the outbox holds it. */
function entry(kind, given, more = {}) {
  made += 1;
  return { seq: made, id: `id-${made}`, stamp_ms: NOON + made, happened_ms: NOON + made, zone: ZONE, kind, figures: figures.figures(given), replaces: [], label: kind, said: "", photos: [], state: "waits", ...more };
}
const field = (name, crop, unit, owners) => ({ name, crops: [{ crop, name: crop }], unit, owners: owners.map((person) => ({ person, percent: "50" })) });
const snapshot = () => ({
  day_begins_hour: 4, now_ms: NOON, next_load: 6,
  fields: [field("Willow Bench", "soybeans", "1", ["owner"]), field("Long Eighty", "sorghum", "2", ["owner", "Ruth"])],
  places: [{ name: "Gravity 1", kind: "wagon", holds: null }, { name: "Gravity 2", kind: "wagon", holds: { crop: "soybeans", crop_name: "soybeans", units: ["1"], owners: ["owner"], fields: ["Willow Bench"], full: 50 } }, { name: "Mill pit", kind: "pit", holds: null }],
  running: { field: "Willow Bench", machine: "combine", into: "Gravity 2", crop: "soybeans" },
  stop: null, today: { dumps: 2, last_dump_ms: NOON, counts: 0, last_count_ms: null, samples: 0, last_sample_ms: null, stop_minutes: 25, notes: 1 },
  heard: [{ device: "me", name: "this", last_ms: NOON }, { device: "b", name: "b", last_ms: NOON - 9 }, { device: "c", name: "c", last_ms: NOON - 5 }],
});
const here = { now: NOON + 5000, zone: ZONE, device: "me" };
const dump = (to, given = {}, more = {}) => entry("dump", { machine: "combine", field: "Willow Bench", crop: "soybeans", to, ...given }, more);

test("an entry's id is the RFC 9562 example's time, version and variant", () => {
  // RFC 9562, appendix A.6: 017F22E2-79B0-7CC3-98C4-DC0C0C07398F at 0x017F22E279B0
  const bytes = [0, 0, 0, 0, 0, 0, 0x0c, 0xc3, 0x18, 0xc4, 0xdc, 0x0c, 0x0c, 0x07, 0x39, 0x8f];
  assert.equal(ids.entryId(0x017f22e279b0, () => Uint8Array.from(bytes)), "017f22e2-79b0-7cc3-98c4-dc0c0c07398f");
});

test("ids sort by time and differ at one time; a device's id is small letters, digits and hyphens", () => {
  assert.ok(ids.entryId(NOON) < ids.entryId(NOON + 1));
  assert.equal(new Set(Array.from({ length: 500 }, () => ids.entryId(NOON))).size, 500);
  assert.match(ids.deviceId(), /^[0-9a-f]{8}-[0-9a-f]{4}-4[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/);
});

test("a stamp never runs back, whatever the clock does", () => {
  assert.equal(ids.stampAfter(100, undefined), 100);
  assert.equal(ids.stampAfter(100, 50), 100);
  assert.equal(ids.stampAfter(40, 100), 101);
  assert.equal(ids.stampAfter(100, 100), 101);
});

test("times are said as a clock face has them; the day begins at 4", () => {
  assert.equal(clock.hour(NOON + 130 * 60_000, "en", ZONE), "2:10");
  assert.equal(clock.hourOfDay(NOON, "en", ZONE), "12:00 pm");
  assert.equal(clock.harvestDay(Date.UTC(2026, 9, 9, 8, 30), 4, ZONE), "2026-10-08"); // 3:30 am
  assert.equal(clock.harvestDay(Date.UTC(2026, 9, 9, 9, 0), 4, ZONE), "2026-10-09"); // 4:00 am
  assert.equal(clock.moment(NOON - 86_400_000, NOON, "en", ZONE), "Oct 8, 12:00 pm");
});

test("what waits counts over the snapshot, and so does what was taken after it was asked for", () => {
  const known = knows(snapshot(), since([dump("Gravity 1", { "now-full": "1/4" })], [dump("Gravity 2", { "now-full": "3/4" }, { state: "kept", acked_ms: 70 })], 60), here);
  assert.equal(known.today.dumps, 4);
  assert.equal(known.nextLoad, 8);
  const of = (name) => known.places.find((place) => place.name === name).holds;
  assert.deepEqual([of("Gravity 1").full, of("Gravity 1").units, of("Gravity 2").full], ["1/4", ["1"], "3/4"]);
});

test("what the snapshot has already is not counted twice, and what could not be read holds nothing", () => {
  const late = dump("Gravity 1", {}, { state: "kept", acked_ms: 50 });
  const odd = dump("Gravity 1", {}, { state: "unread", acked_ms: 90 });
  assert.deepEqual(since([], [late, odd], 60), []);
});

test("an undone load is gone, from the wagon and from the tally", () => {
  const load = dump("Gravity 1");
  const known = knows(snapshot(), since([load, entry("strike", { reason: "x" }, { replaces: [load.id] })], [], 0), here);
  assert.equal(known.today.dumps, 2);
  assert.equal(known.places[0].holds, null);
});

test("a ticket empties its wagons; a photograph of one does too; a bin stays", () => {
  const s = snapshot();
  s.places.push({ name: "Bin", kind: "bin", holds: { ...s.places[1].holds } });
  const one = knows(s, [entry("file", { purpose: "ticket", of: ["Gravity 2", "Bin", "Mill"] })], here);
  assert.deepEqual(one.places.filter((place) => place.holds).map((place) => place.name), ["Bin"]);
  const not = knows(s, [entry("weighed", { from: ["Gravity 2"], "not-emptied": "yes" })], here);
  assert.ok(not.places[1].holds);
});

test("the end of a stop carries why, part and cost only where they were given", () => {
  assert.deepEqual(figures.goDraft("id-1").figures, { stop: ["id-1"] });
  const told = figures.goDraft("id-1", { why: "breakdown", part: "feeder chain", cost: "1,420.5", remark: "two links", ago: "5" });
  assert.deepEqual(told.figures, { stop: ["id-1"], why: ["breakdown"], part: ["feeder chain"], cost: ["$1420.5"], remark: ["two links"] });
  assert.equal(told.said, "The machine goes on. feeder chain two links");
  for (const [typed, cost] of [["420", "$420"], ["$ 420", "$420"], [".5", "$.5"], ["12 dollars", null], ["4-2", null], ["", null], [undefined, null]]) assert.equal(figures.costText(typed), cost, String(typed));
});

test("a stop runs until it goes on; one with its minutes does not run", () => {
  const stop = entry("stop", { why: "plug" });
  assert.equal(knows(snapshot(), [stop], here).stop.why, "plug");
  assert.equal(knows(snapshot(), [stop, entry("go", { stop: stop.id })], here).stop, null);
  assert.equal(knows(snapshot(), [entry("stop", { why: "plug", minutes: "20" })], here).stop, null);
});

test("yesterday's snapshot has no tallies of today; a chosen field holds for its day", () => {
  const later = { ...here, now: NOON + 86_400_000 };
  assert.equal(knows(snapshot(), [], later).today.dumps, 0);
  const chosen = { field: "Long Eighty", crop: "sorghum", machine: null, into: null, at: NOON + 9 };
  assert.equal(knows(snapshot(), [], { ...here, chosen }).running.field, "Long Eighty");
  assert.equal(knows(snapshot(), [], { ...later, chosen }).running.field, "Willow Bench");
  assert.equal(knows(snapshot(), [dump("Gravity 1", {}, { stamp_ms: NOON + 99 })], { ...here, chosen }).running.field, "Willow Bench");
});

test("the other phone is the one heard last that is not this one; nothing is known without a snapshot", () => {
  assert.equal(knows(snapshot(), [], here).other.device, "c");
  const empty = knows(null, [dump("Old wagon")], here);
  assert.equal(empty.places[0].name, "Old wagon");
  assert.equal(empty.running.field, "Willow Bench");
});

test("the wagon that is being filled comes first, pits never", () => {
  assert.deepEqual(likely(knows(snapshot(), [], here)).map((place) => place.name), ["Gravity 2", "Gravity 1"]);
});

test("mixing is another crop, unit or owner; the same field again is not, nor what nobody knows", () => {
  const [willow, long] = snapshot().fields;
  const holds = snapshot().places[1].holds;
  assert.equal(differs(null, grainOf(willow, "soybeans", "soybeans")), null);
  assert.equal(differs(holds, grainOf(willow, "soybeans", "soybeans")), null);
  assert.deepEqual(differs(holds, grainOf(long, "sorghum", "sorghum")), { crop: true, unit: true, owner: true });
  assert.deepEqual(differs(holds, grainOf({ ...willow, name: "Next", unit: "9" }, "soybeans", "soybeans")), { crop: false, unit: true, owner: false });
  assert.deepEqual(differs(holds, grainOf({ ...willow, name: "Next", owners: [{ person: "Ruth" }] }, "soybeans", "soybeans")), { crop: false, unit: false, owner: true });
  assert.equal(differs({ ...holds, units: [], owners: [] }, grainOf({ ...willow, name: "Next", unit: null, owners: [] }, "soybeans", "soybeans")), null);
  // the same field planted to two crops
  assert.deepEqual(differs(holds, grainOf(willow, "oats", "oats")), { crop: true, unit: false, owner: false });
});

test("two wagons on one ticket are held against each other; an empty one says nothing", () => {
  const holds = snapshot().places[1].holds;
  const other = { ...holds, units: ["2"], fields: ["Long Eighty"] };
  assert.equal(amongWagons([{ name: "a", holds }, { name: "b", holds: null }, { name: "c", holds }]), null);
  const found = amongWagons([{ name: "a", holds }, { name: "b", holds }, { name: "c", holds: other }]);
  assert.deepEqual([found.first.name, found.second.name, found.how.unit], ["a", "c", true]);
});

test("figures are texts as typed with the unit beside them; what is blank is left out", () => {
  const known = knows(snapshot(), [], here);
  const [load] = figures.dumpDrafts({ to: "Gravity 2", full: "3/4", monitor: " 235 ", number: "" }, known, { monitor: "bu" }, true);
  assert.deepEqual(load.figures, { machine: ["combine"], field: ["Willow Bench"], crop: ["soybeans"], to: ["Gravity 2"], "now-full": ["3/4"], monitor: ["235 bu"], mixed: ["yes"] });
  assert.equal(load.label, "Load 6");
  assert.equal(figures.withUnit("17.4", "%"), "17.4%");
  assert.equal(figures.withUnit("5 kg", "lb"), "5 kg");
  assert.equal(figures.withUnit(" ", "lb"), "");
});

test("a ticket without figures is its photographs; with figures it is written too and names its paper", () => {
  const photo = { sha256: "ab", data: new ArrayBuffer(7), type: "image/jpeg", name: "t.jpg" };
  const bare = figures.weighedDrafts({ from: ["Gravity 1", "Gravity 2"], buyer: "Mill", to: "Mill pit" }, "corn", [photo]);
  assert.deepEqual(bare.map((one) => one.kind), ["file"]);
  assert.deepEqual(bare[0].figures, { sha256: ["ab"], name: ["t.jpg"], bytes: ["7"], purpose: ["ticket"], of: ["Gravity 1", "Gravity 2", "Mill"] });
  const whole = figures.weighedDrafts({ from: ["Gravity 1"], buyer: "Mill", to: "Mill pit", gross: "21460", tare: "6120", emptied: "no" }, "corn", [photo]);
  assert.deepEqual(whole.map((one) => one.kind), ["file", "weighed"]);
  assert.deepEqual(whole[1].figures, { from: ["Gravity 1"], to: ["Mill pit"], buyer: ["Mill"], crop: ["corn"], gross: ["21460 lb"], tare: ["6120 lb"], "not-emptied": ["yes"], paper: ["ab"] });
});

test("a count keeps every frame, 0 too, and a windrow's width only of a windrow", () => {
  const known = knows(snapshot(), [], here);
  const frames = [{ at: "standing", seeds: "0" }, { at: "behind-machine", seeds: "9" }, { at: "behind-machine", seeds: "11" }];
  const [one] = figures.countDrafts({ frames, shape: "ft", long: "1", wide: "2", tail: "spread", "tail-width": "5", "cut-width": "20", speed: "3.2" }, known);
  assert.deepEqual(one.figures, { field: ["Willow Bench"], crop: ["soybeans"], machine: ["combine"], frame: ["1 ft x 2 ft"], standing: ["0"], "behind-machine": ["9", "11"], "cut-width": ["20 ft"], tail: ["spread"], speed: ["3.2 mph"] });
  assert.equal(figures.frameText({ shape: "hoop", wide: "34" }), "hoop 34 in");
  assert.equal(figures.frameText({ shape: "ft", long: "1" }), "");
});

test("undo is one new entry that names all that was saved together", () => {
  const [strike, ...more] = figures.undoDrafts([entry("file", {}), entry("note", {})]);
  assert.equal(strike.kind, "strike");
  assert.equal(strike.replaces.length, 2);
  assert.equal(more.length, 0);
});

test("how full is read from parts, per cent and numbers", () => {
  assert.deepEqual(["3/4", "75%", 75, "110%", "full", null, 0].map(levels.levelOf), [2, 2, 2, 4, -1, -1, -1]);
  assert.equal(levels.saysFull("1/2"), "½ full");
});

test("above a mile an hour is moving; no speed, or an old one, holds nothing up", () => {
  moving.hear({ speed: 1.4 }, 1000);
  assert.equal(moving.movingAt(2000), 1.4);
  assert.equal(moving.movingAt(20_000), null);
  moving.hear({ speed: 0.4 }, 1000);
  assert.equal(moving.movingAt(1000), null);
  moving.hear({ speed: null }, 1000);
  assert.equal(moving.movingAt(1000), null);
  assert.equal(moving.speedText(1.34112, false), "3 mph");
});

test("words are filled in and looked up by their English", () => {
  useWords({ "{0} wait": "{0} esperan" });
  assert.equal(t("{0} wait", 2), "2 esperan");
  assert.equal(t("{0} of {1}", 1), "1 of ");
  useWords({});
});

test("the outbox as a file is one JSON value a line, the device first, photographs that are named", () => {
  const one = entry("file", { sha256: "ab" }, { photos: ["ab"] });
  const photo = (sha256) => ({ sha256, data: Uint8Array.from([1, 2, 255]).buffer, type: "image/jpeg", name: "x" });
  const lines = outboxFile({ id: "d", name: "n", person: "p" }, [one], [photo("ab"), photo("cd")], 5).trim().split("\n").map((line) => JSON.parse(line));
  assert.deepEqual(lines[0], { stook: "outbox", device: "d", name: "n", person: "p", sent_ms: 5 });
  assert.deepEqual(Object.keys(lines[1]), ["id", "seq", "stamp_ms", "happened_ms", "zone", "kind", "figures", "replaces"]);
  assert.deepEqual(lines[2], { photograph: "ab", type: "image/jpeg", base64: "AQL/" });
  assert.equal(lines.length, 3);
  const large = new Uint8Array(100_000).fill(7);
  assert.equal(base64(large.buffer), Buffer.from(large).toString("base64"));
});

/** A shelf in memory and a laptop that answers as told. */
function farm(entries, photos = []) {
  const box = new Map(entries.map((one) => [one.id, one]));
  const pictures = new Map(photos.map((one) => [one.sha256, one]));
  const asked = [];
  return {
    box, pictures, asked,
    shelf: {
      outbox: async () => [...box.values()],
      photographs: async () => [...pictures.values()],
      markPhoto: async (sha, change) => void pictures.set(sha, { ...pictures.get(sha), ...change }),
      settle: async (results) => {
        for (const { id, state, why } of results) {
          if (["kept", "known", "unread"].includes(state)) box.delete(id);
          else if (state === "refused" && box.has(id)) box.set(id, { ...box.get(id), state, why });
        }
      },
    },
    /** @param {(letter: any) => Response | Promise<Response>} laptop */
    fetch: (laptop) => async (path, request) => {
      const letter = { path, method: request.method, body: typeof request.body === "string" ? JSON.parse(request.body) : request.body };
      asked.push(letter);
      return laptop(letter);
    },
  };
}
const takes = (state = "kept") => ({ path, body }) => path === "/api/entries" ? Response.json({ now_ms: 1, clock_off_ms: 7, results: body.entries.map(({ id }) => ({ id, state })) }) : new Response(null, { status: 204 });
const device = { id: "d", name: "n" };

test("photographs go first, then entries in letters of 100; all that is said to be in the book goes", async () => {
  const many = Array.from({ length: 230 }, () => entry("note", { text: "x" }));
  many[0].photos = ["ab"];
  const one = farm(many, [{ sha256: "ab", data: new ArrayBuffer(3), type: "image/jpeg", name: "x" }, { sha256: "draft", data: new ArrayBuffer(3), type: "image/jpeg", name: "y" }]);
  const sent = await drain(one.shelf, device, { fetch: one.fetch(takes()) });
  assert.deepEqual(sent, { state: "heard", kept: 230, clock_off_ms: 7 });
  assert.equal(one.box.size, 0);
  assert.deepEqual(one.asked.map(({ path, body }) => (path === "/api/entries" ? body.entries.length : path)), ["/api/photographs/ab", BATCH, BATCH, 30]);
});

test("what the laptop does not name stays, and a silent laptop takes nothing away", async () => {
  const one = farm([entry("note", { text: "a" }), entry("note", { text: "b" })]);
  const first = [...one.box.keys()][0];
  await drain(one.shelf, device, { fetch: one.fetch(() => Response.json({ results: [{ id: first, state: "kept" }] })) });
  assert.deepEqual([...one.box.keys()].length, 1);
  for (const laptop of [() => Promise.reject(new TypeError("no network")), () => new Response("busy", { status: 503 }), () => new Response("not found", { status: 404 }), () => Response.json({ results: [] }), () => new Response("<html>")]) {
    assert.equal((await drain(one.shelf, device, { fetch: one.fetch(laptop) })).state, "silent");
    assert.equal(one.box.size, 1);
  }
});

test("an ended session keeps every entry and says so", async () => {
  const one = farm([entry("note", { text: "a" })]);
  const sent = await drain(one.shelf, device, { fetch: one.fetch(() => new Response('{"error":"not paired"}', { status: 401 })) });
  assert.equal(sent.state, "unpaired");
  assert.equal([...one.box.values()][0].state, "waits");
});

test("what was refused stays with the reason and is not sent again by itself", async () => {
  const one = farm([entry("note", { text: "a" })]);
  await drain(one.shelf, device, { fetch: one.fetch(takes("refused")) });
  assert.equal([...one.box.values()][0].state, "refused");
  const before = one.asked.length;
  assert.equal((await drain(one.shelf, device, { fetch: one.fetch(takes()) })).state, "heard");
  assert.equal(one.asked.length, before);
});

test("one bad line does not hold up the rest", async () => {
  const all = Array.from({ length: 9 }, () => entry("note", { text: "x" }));
  const bad = all[4].id;
  const one = farm(all);
  const laptop = (letter) => (letter.body.entries.some(({ id }) => id === bad) ? Response.json({ error: "it is odd" }, { status: 422 }) : takes()(letter));
  await drain(one.shelf, device, { fetch: one.fetch(laptop) });
  assert.deepEqual([...one.box.values()].map(({ id, state, why }) => [id, state, why]), [[bad, "refused", "it is odd"]]);
});

test("a photograph that is turned away holds back its own entry only", async () => {
  const [a, b] = [entry("file", {}, { photos: ["ab"] }), entry("note", { text: "b" })];
  const one = farm([a, b], [{ sha256: "ab", data: new ArrayBuffer(3), type: "image/jpeg", name: "x" }]);
  const laptop = (letter) => (letter.method === "PUT" ? Response.json({ error: "too large" }, { status: 413 }) : takes()(letter));
  await drain(one.shelf, device, { fetch: one.fetch(laptop) });
  assert.deepEqual([...one.box.values()].map(({ id, state, why }) => [id, state, why]), [[a.id, "refused", "too large"]]);
});

test("tries come further apart, ten minutes at most", () => {
  assert.deepEqual([0, 1, 2, 3].map(waitAfter), [EVERY_MS, EVERY_MS, 2 * EVERY_MS, 4 * EVERY_MS]);
  assert.equal(waitAfter(50), LONGEST_MS);
});
