// Words in the page's language: the English sentence is the key.
let words = {};
if (document.documentElement.lang === "es") ({ default: words } = await import("./words-es.js"));

/** @param {string} english @param {...(string|number)} parts fills {0}, {1}, ... */
export const t = (english, ...parts) =>
  (words[english] ?? english).replace(/\{(\d+)\}/g, (_, n) => String(parts[Number(n)] ?? ""));
