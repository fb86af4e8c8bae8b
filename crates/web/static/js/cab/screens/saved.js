// "Saved": what was saved, how to take it back, what still waits.

import { h } from "../dom.js";
import { hourOfDay } from "../clock.js";
import { undoDrafts } from "../figures.js";
import { head, row } from "../parts.js";
import { signal, stillWaiting } from "../said.js";
import { language, t } from "../text.js";
import { lines } from "./waiting.js";
import { keep } from "./dump.js";

export const saved = {
  announce: (/** @type {import("../cab.js").Cab} */ cab) => (cab.saved ? t("Saved. {0}", cab.saved.entries.at(-1)?.said ?? "") : ""),
  /** @param {import("../cab.js").Cab} cab @param {any} _form @param {any} acts */
  draw(cab, _form, acts) {
    const done = cab.saved;
    if (!done || done.entries.length === 0) return [head(t("Saved")), h("p", { class: "det" }, t("Nothing was saved since this opened.")), list(cab)];
    const main = /** @type {import("../store.js").Entry} */ (done.entries.at(-1));
    const undone = main.kind === "strike";
    const undo = () => keep(cab, undoDrafts(done.entries), undefined, acts);
    return [
      head(main.label),
      h("p", { class: "bigsay" }, t("Saved")),
      h("p", { class: "det" }, `${hourOfDay(main.happened_ms, language(), cab.zone())}. ${main.said}`),
      undone ? null : row(t("Undo"), t("as a new entry"), undo),
      main.kind === "dump" ? row(t("Another load"), null, "#load") : null,
      list(cab),
    ];
  },
};

/** @param {import("../cab.js").Cab} cab */
function list(cab) {
  return [
    h("h2", { class: "q" }, t("Waiting for the book")),
    lines(cab, 4),
    h("p", { class: "foot" }, signal(cab), " ", stillWaiting(cab).length ? [t("They go when the laptop is heard."), " "] : null,
      h("a", { href: "#waiting", "data-k": "file" }, t("send as a file")), "."),
  ];
}
