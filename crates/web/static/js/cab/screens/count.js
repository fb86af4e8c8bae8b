// Count: seeds in frames, one frame after another. Facts only; the loss is worked out on the laptop.

import { h } from "../dom.js";
import { countDrafts } from "../figures.js";
import { begun, caution, choices, figure, head, prefilled, save, words } from "../parts.js";
import { at } from "../said.js";
import { lengthUnit, metric, speedUnit } from "../settings.js";
import { t } from "../text.js";
import { cautionOf, keep } from "./dump.js";

/** Where a frame lies, as entries write it. */
const PLACES = [["standing", "standing"], ["behind-head", "behind the head"], ["behind-machine", "behind the machine"]];

/** @param {string} where */
const nameOf = (where) => t(PLACES.find(([value]) => value === where)?.[1] ?? where);

export const count = {
  entry: true,
  draft: "count",
  /** @param {import("../cab.js").Cab} cab @param {import("../parts.js").Form} form @param {any} acts */
  draw(cab, form, acts) {
    const known = cab.known();
    const { field, crop } = known.running;
    const { values } = form;
    const frames = /** @type {{at: string, seeds: string}[]} */ (values.frames ?? []);
    const where = values.at ?? "standing";
    const seeds = String(values.seeds ?? "");
    const last = cab.last.count ?? {};
    const whole = { ...values, frame: values.frame ?? last.frame ?? "", "cut-width": values["cut-width"] ?? last["cut-width"] ?? "" };
    const next = () => {
      if (!/^\d+$/.test(seeds.trim())) return acts.miss(t("Type how many seeds lie in the frame; none is 0."));
      form.type("frames", [...frames, { at: where, seeds: seeds.trim() }]);
      form.set("seeds", "");
    };
    const more = () => form.set("seeds", String(Number(/^\d+$/.test(seeds) ? seeds : 0) + 1));
    const act = async () => {
      const all = seeds.trim() ? [...frames, { at: where, seeds: seeds.trim() }] : frames;
      const behind = all.some((frame) => frame.at === "behind-machine");
      const missing = !field || !crop ? t("Choose field and crop first: tap change.") : all.length === 0 ? t("Count one frame first; none is 0.")
        : !whole.frame.trim() ? t("Say how large the frame is.") : behind && !values.tail ? t("Say what the tail did; it is never assumed.") : null;
      if (missing) return acts.miss(missing);
      cab.last = { ...cab.last, count: { frame: whole.frame, "cut-width": whole["cut-width"] } };
      await cab.remember("last", cab.last);
      await keep(cab, countDrafts({ ...whole, frames: all }, known), "count", acts);
    };
    const shadow = { ...form, values: whole };
    const length = lengthUnit();
    return [
      head(t("Count")),
      caution(`${cautionOf(cab, "count", t("Engine off, key out, head on its safety stop. The maker’s manual comes first."))} ${t("Stand still to write.")}`),
      begun(form, form.since === null ? "" : at(form.since, cab)),
      prefilled(field ?? t("No field yet"), "#field", t("the field")),
      choices(t("Where the frame lies"), PLACES.map(([value, text]) => ({ value, text: t(text) })), where, (value) => form.set("at", value), { three: true }),
      h("div", { class: "tell" },
        h("label", { for: "seeds" }, t("Seeds in frame {0}", frames.length + 1)),
        h("input", { id: "seeds", name: "seeds", inputmode: "numeric", autocomplete: "off", value: seeds, "data-k": "seeds", oninput: (/** @type {any} */ event) => form.type("seeds", event.target.value) }),
        h("button", { type: "button", class: "plus", onclick: more, "data-k": "plus", "aria-label": t("one more seed") }, "+"),
        h("button", { type: "button", class: "next", onclick: next, "data-k": "next" }, t("Next frame"))),
      frames.length ? h("ul", { class: "wl plain", "aria-label": t("Frames counted") }, frames.map((frame, nth) => h("li", null,
        h("span", null, `${nth + 1}. ${nameOf(frame.at)}: `, h("b", null, frame.seeds)),
        h("button", { type: "button", class: "link", "data-k": `drop ${nth}`, onclick: () => form.set("frames", frames.filter((one) => one !== frame)) }, t("take away"), h("span", { class: "hush" }, ` ${nth + 1}`))))) : null,
      words(shadow, "frame", t("Frame size, as on this phone last time"), metric() ? "0.5m x 0.5m" : "1ft x 1ft"),
      figure(shadow, "cut-width", t("Cut width, {0}", length)),
      choices(t("Behind the machine, the tail"), [{ value: "spread", text: t("spread over the full cut") }, { value: "windrow", text: t("laid a windrow") }, { value: "unknown", text: t("nobody looked") }], values.tail, (value) => form.set("tail", value), { wide: true }),
      values.tail === "windrow" ? figure(form, "tail-width", t("Windrow width, {0}", length)) : null,
      figure(form, "speed", t("Speed before, {0}", speedUnit())),
      save(t("Save count"), act),
    ];
  },
};
