// Phones over HTTPS with the farm's own authority: trusted once, a service worker registers; untrusted, nothing.
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import fs from "node:fs";
import path from "node:path";
import test from "node:test";
import { chrome, phone } from "./help/browser.mjs";
import { cab, ready } from "./help/cab.mjs";
import { owner, pairing } from "./help/pages.mjs";
import { demoBook, folder, serve, until } from "./help/stook.mjs";

/** Whether a program is on the path. */
const has = (program) => (process.env.PATH ?? "").split(":").some((at) => fs.existsSync(path.join(at, program)));
const skip = (!chrome && "Chromium is not installed") || (!has("certutil") && "certutil is not installed (libnss3-tools)");

/** A home folder whose browsers trust a certificate, or none. */
function home(certificate) {
  const made = folder();
  for (const store of [".pki/nssdb", ".local/share/pki/nssdb"]) {
    const at = path.join(made, store);
    fs.mkdirSync(at, { recursive: true });
    execFileSync("certutil", ["-d", `sql:${at}`, "-N", "--empty-password"]);
    if (certificate) execFileSync("certutil", ["-d", `sql:${at}`, "-A", "-t", "C,,", "-n", "farm", "-i", certificate]);
  }
  return made;
}

test("the farm's authority, trusted once, gives a phone a secure page and its service worker", { skip, timeout: 120_000 }, async (t) => {
  const served = await serve(t, demoBook(), { args: ["--lan", "--host", "127.0.0.1"] });
  const phones = await until("the address for phones", () => /https:\/\/\S+/.exec(served.said())?.[0]);
  const kitchen = await owner(t, served);

  const stranger = await phone(t, { home: home() });
  await assert.rejects(stranger.page.goto(`${phones}/pair`), /ERR_CERT_AUTHORITY_INVALID/);

  const certificate = fs.readdirSync(served.state, { recursive: true }).find((file) => file.endsWith("authority.crt"));
  const told = await phone(t, { home: home(path.join(served.state, certificate)) });
  await pairing(kitchen, told.page, served, "Ann", { at: phones });
  await ready(told.page, { origin: phones });
  assert.equal(await told.page.evaluate(() => isSecureContext), true);
  await told.context.setOffline(true);
  await cab(told.page, { origin: phones }); // from the service worker
});
