// Lets node read the pages' own modules, which lie in no package.
import { register } from "node:module";

const hook = `
import { readFile } from "node:fs/promises";
export async function load(url, context, next) {
  if (!url.includes("/crates/web/static/js/")) return next(url, context);
  return { format: "module", source: await readFile(new URL(url), "utf8"), shortCircuit: true };
}`;
register(`data:text/javascript,${encodeURIComponent(hook)}`);

/** A page's module. @param {string} name under `static/js/` */
export const page = (name) => import(new URL(`../../crates/web/static/js/${name}`, import.meta.url));

// what the modules look at when they are called; they ask for nothing while they are read
globalThis.document ??= { cookie: "", documentElement: { lang: "en" } };
