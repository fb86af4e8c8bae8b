// What every page is held to: axe, contrast, sizes of what is touched, no sideways scroll.
import fs from "node:fs";
import { createRequire } from "node:module";

const axe = fs.readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

/** Serious and critical faults that axe-core finds, contrast AA among them, one line each. */
export async function faults(page) {
  if (!(await page.evaluate(() => typeof globalThis.axe === "object"))) await page.evaluate(axe);
  const found = await page.evaluate(async () => {
    const tags = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"];
    const result = await globalThis.axe.run(document, { runOnly: tags, preload: false, resultTypes: ["violations"] });
    return result.violations.map(({ id, impact, help, nodes }) => ({
      id, impact, help, where: nodes.slice(0, 3).map((node) => `${node.target.join(" ")} ${node.any[0]?.message ?? ""}`),
    }));
  });
  return found
    .filter((one) => one.impact === "serious" || one.impact === "critical" || one.id === "color-contrast")
    .map((one) => `${one.impact} ${one.id}: ${one.help}: ${one.where.join(" | ")}`);
}

/**
 * What can be touched and is smaller than `least` px either way, one line each. Links inside a running
 * sentence are let be, as WCAG 2.2 (2.5.8) lets them; so is what is hidden until focused.
 */
export function small(page, least = 48) {
  return page.evaluate((least) => {
    const touched = "a[href], button, input:not([type=hidden]), select, textarea, summary, label:has(input), [role=button], [tabindex='0']";
    const tall = (element) => {
      const areas = [element.getBoundingClientRect()];
      // a label is touched for its field, and a hit area may be drawn around by ::before or ::after
      for (const label of element.labels ?? []) areas.push(label.getBoundingClientRect());
      const around = element.closest("label");
      if (around) areas.push(around.getBoundingClientRect());
      let [width, height] = [Math.max(...areas.map((area) => area.width)), Math.max(...areas.map((area) => area.height))];
      for (const edge of ["::before", "::after"]) {
        const drawn = getComputedStyle(element, edge);
        if (drawn.content === "none" || drawn.position !== "absolute") continue;
        width = Math.max(width, parseFloat(drawn.width) || 0);
        height = Math.max(height, parseFloat(drawn.height) || 0);
      }
      return [width, height];
    };
    const inSentence = (element) => {
      if (element.localName !== "a" || getComputedStyle(element).display !== "inline") return false;
      const around = [...element.parentElement.childNodes].filter((node) => node.nodeType === 3).map((node) => node.data).join("");
      return /\p{L}{2,}/u.test(around);
    };
    const found = [];
    for (const element of document.querySelectorAll(touched)) {
      if (!element.checkVisibility({ opacityProperty: true, visibilityProperty: true })) continue;
      if (element.disabled || inSentence(element)) continue;
      const box = element.getBoundingClientRect();
      if (box.width <= 1 || box.height <= 1 || box.right < 0 || box.bottom + scrollY < 0) continue; // shown on focus only
      const [width, height] = tall(element);
      if (width < least - 0.5 || height < least - 0.5) {
        const name = (element.getAttribute("aria-label") ?? element.textContent ?? element.name ?? "").trim().replace(/\s+/g, " ").slice(0, 40);
        found.push(`${element.localName}${element.className ? "." + String(element.className).split(" ").join(".") : ""} "${name}" ${Math.round(width)}x${Math.round(height)}`);
      }
    }
    return found;
  }, least);
}

/** What reaches past the right edge when the page scrolls sideways at this width; empty when it does not. */
export async function sideways(page, width, height = 900) {
  await page.setViewportSize({ width, height });
  return page.evaluate(() => {
    const root = document.documentElement;
    if (root.scrollWidth <= root.clientWidth) return [];
    const past = [...document.body.querySelectorAll("*")]
      .filter((element) => element.getBoundingClientRect().right > root.clientWidth + 0.5 && element.checkVisibility())
      .map((element) => `${element.localName}${element.id ? "#" + element.id : ""}.${element.getAttribute("class") ?? ""} to ${Math.round(element.getBoundingClientRect().right)}`);
    return [`${root.scrollWidth} px of ${root.clientWidth}: ${past.slice(0, 4).join(", ")}`];
  });
}

/** Walks the page by Tab from its top: what has the focus, in order, until it comes round. */
export async function tabbed(page, most = 300) {
  await page.evaluate(() => document.activeElement?.blur());
  const seen = [];
  for (let step = 0; step < most; step += 1) {
    await page.keyboard.press("Tab");
    const at = await page.evaluate(() => {
      const on = document.activeElement;
      if (!on || on === document.body) return null;
      // kept beside the page, not in it: a page that is alive draws itself anew
      const walked = (globalThis.walked ??= { seen: new WeakMap(), marks: new Set(), count: 0 });
      if (!walked.seen.has(on)) walked.seen.set(on, (walked.count += 1));
      if (on.dataset.k) walked.marks.add(on.dataset.k);
      const style = getComputedStyle(on);
      const ring = (style.outlineStyle !== "none" && parseFloat(style.outlineWidth) > 0) || style.boxShadow !== "none";
      return { key: on.dataset.k ?? walked.seen.get(on), what: `${on.localName} ${(on.getAttribute("aria-label") ?? on.textContent ?? "").trim().slice(0, 40)}`, ring };
    });
    if (!at) break;
    if (seen.at(-1)?.key === at.key) continue; // a date has its day, month and year
    if (seen.some((one) => one.key === at.key)) break;
    seen.push(at);
  }
  return seen;
}

/** Goes on by Tab until what has the focus matches. */
export async function reach(page, selector, most = 400) {
  for (let step = 0; step < most; step += 1) {
    await page.keyboard.press("Tab");
    if (await page.evaluate((wanted) => document.activeElement?.matches(wanted), selector)) return;
  }
  throw new Error(`Tab never reaches ${selector}`);
}
