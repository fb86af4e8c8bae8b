// Draws every page in every light into a folder: node draw-pages.mjs FOLDER [NAME...]
// The first screen of each, on the laptop (1280 x 800) and on a phone (360 x 740), the demo farm's book.
import fs from "node:fs";
import path from "node:path";
import { PHONE } from "./help/browser.mjs";
import { LIGHTS, PAGES, light, owner, visit } from "./help/pages.mjs";
import { small } from "./help/png.mjs";
import { demoBook, serve } from "./help/stook.mjs";

const [folder, ...names] = process.argv.slice(2);
if (!folder) throw new Error("which folder? node draw-pages.mjs FOLDER [NAME...]");
fs.mkdirSync(folder, { recursive: true });

/** The evening of the demo farm's last day of cutting. */
const EVENING = "2025-10-14 17:30";

/** What a test would end, ended when we are done. */
const ends = [];
const t = { after: (end) => ends.unshift(end) };
const chosen = PAGES.filter((page) => names.length === 0 || names.includes(page.name));
let bytes = 0;
try {
  for (const [width, look] of [[1280, { viewport: { width: 1280, height: 800 } }], [360, { ...PHONE, deviceScaleFactor: 1 }]]) {
    const served = await serve(t, demoBook({ mended: false }), { args: ["--clock", EVENING] });
    const { context, page } = await owner(t, served, { look, behind: Date.now() - Date.parse(`${EVENING}-05:00`) });
    for (const one of chosen) {
      if (width === 1280 && one.cab) continue; // it is never on the laptop
      for (const name of LIGHTS) {
        await light(context, served.origin, name);
        await visit(page, served, one);
        const drawn = small(await page.screenshot(), one.colors ?? 16);
        fs.writeFileSync(path.join(folder, `${one.name}-${name}-${width}.png`), drawn);
        bytes += drawn.length;
      }
    }
  }
  console.log(`${folder}: ${Math.round(bytes / 1000)} kB`);
} finally {
  for (const end of ends) await end();
}
