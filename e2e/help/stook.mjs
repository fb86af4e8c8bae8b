// The program under test: a book in a folder of its own, `stook serve` on a free port, kills and restarts.
import { execFileSync, spawn } from "node:child_process";
import fs from "node:fs";
import os from "node:os";
import path from "node:path";
import { setTimeout as pause } from "node:timers/promises";
import { fileURLToPath } from "node:url";

const root = fileURLToPath(new URL("../..", import.meta.url));

/** The program: STOOK_BIN, or the debug build, or the release build, whichever is there. */
export function bin() {
  const target = process.env.CARGO_TARGET_DIR ?? path.join(root, "target");
  const here = [process.env.STOOK_BIN, path.join(target, "debug/stook"), path.join(target, "release/stook")];
  const found = here.find((file) => file && fs.existsSync(file));
  if (!found) throw new Error("there is no stook to test: cargo build -p stook, or set STOOK_BIN");
  return found;
}

const made = [];
// a browser may still write while its test ends: folders go when all of the file's tests are done
process.once("exit", () => made.forEach((one) => fs.rmSync(one, { recursive: true, force: true, maxRetries: 5, retryDelay: 100 })));

/** A folder that is gone after the tests. */
export function folder() {
  made.push(fs.mkdtempSync(path.join(os.tmpdir(), "stook-e2e-")));
  return made.at(-1);
}

const quiet = { ...process.env, STOOK_DEVICE: "kitchen", NO_COLOR: "1" };

/** Runs the program and gives back what it printed. */
export function run(...words) {
  return execFileSync(bin(), words, { encoding: "utf8", env: quiet, maxBuffer: 1 << 28, stdio: ["ignore", "pipe", "pipe"] });
}

/** The answer of a command as data. */
export const asked = (...words) => JSON.parse(run("--json", ...words));

/** A book with a farm's name in it and nothing else. */
export function emptyBook() {
  const book = path.join(folder(), "farm.stook");
  run("--book", book, "book", "new", "--farm", "Quiet Creek", "--zone", "America/Chicago");
  return book;
}

let demo; // built once a process, copied for each test
/** The demo farm with its corrections; `mended: false` is the same book before anybody looked at the paper. */
export function demoBook({ mended = true } = {}) {
  if (!demo) {
    demo = folder();
    run("demo", "--folder", path.join(demo, "farm"));
  }
  const book = path.join(folder(), "farm.stook");
  if (mended) fs.copyFileSync(path.join(demo, "farm/farm.stook"), book);
  else changed(path.join(demo, "farm/farm.stook"), book, unmended);
  return book;
}

/** A new book `to` whose entries are those of `from`, as the lines of entries.csv, after `change`. */
export function changed(from, to, change) {
  const out = path.join(folder(), "export");
  run("--book", from, "book", "export", out);
  const file = path.join(out, "entries.csv");
  const [head, ...lines] = fs.readFileSync(file, "utf8").trimEnd().split("\n"); // no payload has a bare newline
  fs.writeFileSync(file, [head, ...change(lines, head.split(","))].join("\n") + "\n");
  run("--book", to, "book", "import", out);
}

/** Everything before the first correction: a device's entries have no gaps, so what follows goes too. */
function unmended(lines, head) {
  const kind = head.indexOf("kind");
  const first = lines.findIndex((line) => ["correction", "void"].includes(line.split(",")[kind]));
  return lines.slice(0, first);
}

/** Writes entries, each `{kind, figures}`, all or none. */
export function write(book, entries, { at } = {}) {
  const lines = entries.map((entry) => JSON.stringify(entry)).join("\n");
  const words = ["--book", book, "write", "lines", ...(at ? ["--at", at] : [])];
  execFileSync(bin(), words, { input: lines, env: quiet, stdio: ["pipe", "pipe", "pipe"] });
}

/** A farm of forty fields with long names, fourteen wagons and people of long names. */
export function fortyBook() {
  const book = emptyBook();
  const names = ["Upper Meadow beside the old brick schoolhouse", "Northwest quarter across the county drainage ditch", "Grandmother's bottomland"];
  const lines = [{ kind: "machine", figures: { name: "The older combine with the replaced feeder house", tank: "10000 lb" } }];
  lines.push({ kind: "person", figures: { name: "Neighbor's brother-in-law who helps at weekends", role: "help" } });
  lines.push({ kind: "meter", figures: { name: "Hand meter borrowed from the cooperative's agronomist", kind: "hand" } });
  for (let number = 1; number <= 14; number += 1) {
    lines.push({ kind: "place", figures: { name: `Gravity wagon with the patched left side ${number}`, kind: "wagon", capacity: "14000 lb" } });
  }
  lines.push({ kind: "buyer", figures: { name: "Farmers' elevator at the river landing" } });
  for (let number = 1; number <= 40; number += 1) {
    const field = `${names[number % names.length]} ${number}`;
    lines.push({ kind: "field", figures: { name: field, planted: `${10 + number}.5 ac`, unit: `0001-000${number % 4}` } });
    lines.push({ kind: "planting", figures: { field, crop: ["corn", "soybeans", "oats"][number % 3], season: "2026" } });
    lines.push({ kind: "dump", figures: { machine: "The older combine with the replaced feeder house", field, crop: ["corn", "soybeans", "oats"][number % 3], to: `Gravity wagon with the patched left side ${1 + (number % 14)}`, full: "1/2" } });
  }
  write(book, lines);
  return book;
}

/** All entries of a book, in its own order, corrections and what was struck out too. */
export const entries = (book) => asked("--book", book, "book", "show", "--all");

/** How many attachments a book holds, each once. */
export function attachments(book) {
  const out = path.join(folder(), "export");
  run("--book", book, "book", "export", out);
  return fs.readdirSync(path.join(out, "attachments"));
}

/**
 * Starts `stook serve` and waits until it says where. `port` is given again to come back where a killed
 * server was; `state` likewise.
 */
export async function serve(t, book, { port = 0, state = folder(), args = [], env = {} } = {}) {
  const words = ["--book", book, "serve", "--state", state, "--port", String(port), "--no-open", ...args];
  const child = spawn(bin(), words, { env: { ...quiet, ...env }, stdio: ["ignore", "pipe", "pipe"] });
  let said = "";
  const ended = new Promise((done) => child.once("exit", (code, signal) => done(code ?? signal)));
  for (const stream of [child.stdout, child.stderr]) stream.setEncoding("utf8").on("data", (text) => (said += text));
  t?.after(() => child.exitCode === null && child.signalCode === null && child.kill("SIGKILL"));
  const url = await Promise.race([
    (async () => {
      for (;;) {
        const found = /https?:\/\/\S+/.exec(said);
        if (found && said.indexOf("\n", found.index) >= 0) return found[0];
        await pause(10);
      }
    })(),
    ended.then((how) => Promise.reject(new Error(`stook serve ended (${how}) before it said where:\n${said}`))),
    pause(15_000, null, { ref: false }).then(() => Promise.reject(new Error(`stook serve did not say where:\n${said}`))),
  ]);
  const origin = new URL(url).origin;
  return {
    url, // carries the one-time token
    origin,
    port: Number(new URL(url).port),
    state,
    book,
    said: () => said,
    /** Ends it as a power cut would. */
    async kill() {
      child.kill("SIGKILL");
      await ended;
    },
    /** Ends it as a person would, and says how it went. */
    async stop() {
      child.kill("SIGINT");
      return ended;
    },
    /** Starts it again on the same port, book and state. */
    again: (more = {}) => serve(t, book, { port: Number(new URL(url).port), state, args, env, ...more }),
  };
}

/** Waits until `check` gives something true, and gives that back; fails with `what` after `most` ms. */
export async function until(what, check, most = 15_000) {
  const end = Date.now() + most;
  for (let last; ; await pause(25)) {
    try {
      const seen = await check();
      if (seen) return seen;
      last = seen;
    } catch (error) {
      last = error;
    }
    if (Date.now() > end) throw new Error(`${what}: not so after ${most} ms; last seen: ${last?.message ?? JSON.stringify(last)}`);
  }
}
