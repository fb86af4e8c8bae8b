// Words in this phone's language, also with no network: the English sentence is the key. The cab's
// own reader of them, since its page lies in the phone and is the same in every language.

/** @type {Record<string, string>} */
let words = {};
let code = "en";

/** @returns {"en" | "es"} */
export const language = () => /** @type {"en" | "es"} */ (code);

/** @param {string} to */
export async function speak(to) {
  code = to === "es" ? "es" : "en";
  words = {};
  if (code === "es") {
    try {
      ({ default: words } = await import("../words-es.js"));
    } catch {
      // English is better than nothing
    }
  }
}

/** For tests. @param {Record<string, string>} given */
export const useWords = (given) => {
  words = given;
};

/**
 * @param {string} english @param {...(string | number)} parts fills {0}, {1}, ...
 * @returns {string}
 */
export const t = (english, ...parts) =>
  (words[english] ?? english).replace(/\{(\d+)\}/g, (_, n) => String(parts[Number(n)] ?? ""));
