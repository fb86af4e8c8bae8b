// Headless Chromium: laptops and phones with a profile of their own, killed as a dead battery would.
import fs from "node:fs";
import path from "node:path";
import { chromium } from "playwright-core";
import { folder, until } from "./stook.mjs";

/** Where Chromium is; the tests are skipped, and say so, where it is not. */
export const chrome = [process.env.STOOK_CHROMIUM, "/usr/bin/chromium", "/usr/bin/chromium-browser", "/usr/bin/google-chrome"]
  .find((file) => file && fs.existsSync(file));

const FLAGS = [
  "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
  "--disable-component-update", "--disable-sync", "--hide-scrollbars", "--disable-dev-shm-usage",
];

/** A phone as held in the cab. */
export const PHONE = { viewport: { width: 360, height: 740 }, deviceScaleFactor: 2, hasTouch: true, isMobile: true };
/** The laptop in the kitchen. */
export const LAPTOP = { viewport: { width: 1280, height: 900 } };

/**
 * Opens a browser on a profile. What it asks of any server, what its pages complain about and what
 * breaks the content security policy is kept in `saw`.
 */
export async function open(t, { profile = folder(), look = LAPTOP, args = [], behind = 0, home, ...more } = {}) {
  const context = await chromium.launchPersistentContext(profile, {
    executablePath: chrome, headless: true, args: [...FLAGS, ...args], acceptDownloads: true,
    env: home ? { ...process.env, HOME: home } : process.env, ...look, ...more,
  });
  context.setDefaultTimeout(10_000);
  const saw = { requests: [], violations: [], errors: [] };
  context.on("request", (request) => saw.requests.push(request.url()));
  context.on("weberror", (error) => saw.errors.push(String(error.error())));
  context.on("console", (message) => {
    const text = message.text();
    if (/Content Security Policy|Content-Security-Policy/i.test(text)) saw.violations.push(text);
    else if (message.type() === "error" && !/Failed to load resource/.test(text)) saw.errors.push(text);
  });
  if (behind) await context.addInitScript(shiftClock, behind);
  let closed = false;
  context.once("close", () => (closed = true));
  const close = () => (closed ? undefined : context.close());
  t?.after(close);
  return {
    context, profile, saw, close,
    page: context.pages()[0] ?? (await context.newPage()),
    /** SIGKILL to the browser and every process of its profile: a battery that died. */
    async kill() {
      for (const pid of processes(profile)) process.kill(pid, "SIGKILL");
      await until("the browser is gone", () => closed && processes(profile).length === 0);
    },
    /** The same phone switched on again. */
    again: (changed = {}) => open(t, { profile, look, args, behind, home, ...more, ...changed }),
  };
}

/** A phone. */
export const phone = (t, more = {}) => open(t, { look: PHONE, ...more });
/** A laptop. */
export const laptop = (t, more = {}) => open(t, { look: LAPTOP, ...more });

/** Ids of the processes that run on a profile of ours: nobody else's can carry its path. */
function processes(profile) {
  return fs.readdirSync("/proc").filter((name) => /^\d+$/.test(name)).map(Number).filter((pid) => {
    try {
      const words = fs.readFileSync(path.join("/proc", String(pid), "cmdline"), "utf8");
      return words.includes(`--user-data-dir=${profile}\0`);
    } catch {
      return false;
    }
  });
}

/** Runs in the page before its own scripts: a clock that is wrong by `behind` ms. */
function shiftClock(behind) {
  const Real = Date;
  globalThis.Date = class extends Real {
    constructor(...given) {
      if (given.length > 0) super(...given);
      else super(Real.now() - behind);
    }
    static now() {
      return Real.now() - behind;
    }
  };
}
