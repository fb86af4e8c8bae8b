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

/** A folder that is gone after the test. */
export function folder(t) {
  const made = fs.mkdtempSync(path.join(os.tmpdir(), "stook-e2e-"));
  t?.after(() => fs.rmSync(made, { recursive: true, force: true, maxRetries: 5, retryDelay: 100 }));
  return made;
}

const quiet = { ...process.env, STOOK_DEVICE: "kitchen", NO_COLOR: "1" };

/** Runs the program and gives back what it printed. */
export function run(...words) {
  return execFileSync(bin(), words, { encoding: "utf8", env: quiet, maxBuffer: 1 << 28, stdio: ["ignore", "pipe", "pipe"] });
}

/** The answer of a command as data. */
export const asked = (...words) => JSON.parse(run("--json", ...words));

/** A book with a farm's name in it and nothing else. */
export function emptyBook(t) {
  const book = path.join(folder(t), "farm.stook");
  run("--book", book, "book", "new", "Quiet Creek");
  return book;
}

let demo; // built once a process, copied for each test
/** The demo farm, as typed with its eight mistakes (`mended: true`: after the paper was looked up). */
export function demoBook(t, { mended = true } = {}) {
  if (!demo) {
    demo = fs.mkdtempSync(path.join(os.tmpdir(), "stook-e2e-demo-"));
    process.once("exit", () => fs.rmSync(demo, { recursive: true, force: true }));
    run("demo", "--folder", path.join(demo, "farm"));
  }
  const book = path.join(folder(t), "farm.stook");
  if (mended) fs.copyFileSync(path.join(demo, "farm/farm.stook"), book);
  else unmended(path.join(demo, "farm/farm.stook"), book);
  return book;
}

/** A copy of a book without its corrections and what was struck out: a new book of the older entries. */
function unmended(from, to) {
  const lines = run("--book", from, "book", "export").split("\n");
  void lines;
  throw new Error(`not yet: ${to}`);
}

/** All entries of a book, in its own order. */
export const entries = (book) => asked("--book", book, "book", "show", "--all").entries;

/**
 * Starts `stook serve` and waits until it says where. `port` is given again to come back where a killed
 * server was; `state` likewise.
 */
export async function serve(t, book, { port = 0, state = folder(t), args = [], env = {} } = {}) {
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
