// Count: seeds in frames, one frame after another. Facts only; the loss is worked out on the laptop.

import { answer as reckon, ofEntry } from "../counted.js";
import { h } from "../dom.js";
import { countDrafts, frameText } from "../figures.js";
import { soFar } from "./answer.js";
import { begun, caution, choices, figure, head, prefilled, save } from "../parts.js";
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
    const seeds = () => String(values.seeds ?? "").trim();
    const last = cab.last.count ?? {};
    const REMEMBERED = ["shape", "long", "wide", "cut-width"];
    const whole = () => ({ ...values, ...Object.fromEntries(REMEMBERED.map((name) => [name, values[name] ?? last[name]])) });
    const next = () => {
      if (!/^\d+$/.test(seeds())) return acts.miss(t("Type how many seeds lie in the frame; none is 0."));
      form.type("frames", [...frames, { at: where, seeds: seeds() }]);
      form.set("seeds", "");
    };
    const more = () => form.set("seeds", String(Number(/^\d+$/.test(seeds()) ? seeds() : 0) + 1));
    const act = async () => {
      const all = seeds() ? [...frames, { at: where, seeds: seeds() }] : frames;
      const facts = whole();
      const behind = all.some((frame) => frame.at === "behind-machine");
      const missing = !field || !crop ? t("Choose field and crop first: tap change.") : all.length === 0 ? t("Count one frame first; none is 0.")
        : !frameText(facts) ? t("Say how large the frame is.") : behind && !values.tail ? t("Say what the tail did; it is never assumed.") : null;
      if (missing) return acts.miss(missing);
      const price = Number(String(values.price ?? "").replace(/[$\s]/g, "").replace(",", "."));
      if (price > 0 && crop) cab.last = { ...cab.last, price: { ...(cab.last.price ?? {}), [crop]: price } };
      cab.last = { ...cab.last, count: Object.fromEntries(REMEMBERED.map((name) => [name, /** @type {any} */ (facts)[name]])) };
      await cab.remember("last", cab.last);
      await keep(cab, countDrafts({ ...facts, frames: all }, known), "count", { ...acts, replace: () => acts.replace("answer") });
    };
    // what the frames say already, before anything is saved
    const sofar = () => {
      const draft = countDrafts({ ...whole(), frames: seeds() && /^\d+$/.test(seeds()) ? [...frames, { at: where, seeds: seeds() }] : frames }, known)[0];
      const one = ofEntry({ id: "", happened_ms: 0, figures: draft.figures }, cab.snapshot?.counting);
      return soFar(one && reckon(one, cab.snapshot?.counting, null));
    };
    const shadow = { ...form, values: whole() };
    const shape = shadow.values.shape ?? lengthUnit();
    const small = metric() ? "cm" : "in";
    const length = lengthUnit();
    return [
      head(t("Count")),
      caution(`${cautionOf(cab, "count", t("Engine off, key out, head on its safety stop. The maker’s manual comes first."))} ${t("Stand still to write.")}`),
      begun(form, form.since === null ? "" : at(form.since, cab)),
      prefilled(field ?? t("No field yet"), "#field", t("the field")),
      choices(t("Where the frame lies"), PLACES.map(([value, text]) => ({ value, text: t(text) })), where, (value) => form.set("at", value), { three: true }),
      h("div", { class: "tell" },
        h("label", { for: "seeds" }, t("Seeds in frame {0}", frames.length + 1)),
        h("input", { id: "seeds", name: "seeds", inputmode: "numeric", autocomplete: "off", value: seeds(), "data-k": "seeds", oninput: (/** @type {any} */ event) => form.type("seeds", event.target.value) }),
        h("button", { type: "button", class: "plus", onclick: more, "data-k": "plus", "aria-label": t("one more seed") }, "+"),
        h("button", { type: "button", class: "next", onclick: next, "data-k": "next" }, t("Next frame"))),
      frames.length ? h("ul", { class: "wl plain", "aria-label": t("Frames counted") }, frames.map((frame, nth) => h("li", null,
        h("span", null, `${nth + 1}. ${nameOf(frame.at)}: `, h("b", null, frame.seeds)),
        h("button", { type: "button", class: "link", "data-k": `drop ${nth}`, onclick: () => form.set("frames", frames.filter((one) => one !== frame)) }, t("take away"), h("span", { class: "hush" }, ` ${nth + 1}`))))) : null,
      frames.length || seeds() ? h("p", { class: "det", "aria-live": "polite" }, sofar()) : null,
      choices(t("The frame, as last time on this phone"), [{ value: lengthUnit(), text: lengthUnit() }, { value: small, text: small }, { value: "hoop", text: t("hoop") }], shape, (value) => form.set("shape", value), { three: true }),
      shape === "hoop" ? null : figure(shadow, "long", t("Along the rows, {0}", shape), { hint: t("type it") }),
      figure(shadow, "wide", shape === "hoop" ? t("Hoop across, {0}", small) : t("Across the rows, {0}", shape), { hint: t("type it") }),
      figure(shadow, "cut-width", t("Cut width, {0}", length)),
      choices(t("Behind the machine, the tail"), [{ value: "spread", text: t("spread over the full cut") }, { value: "narrow", text: t("spread, not over all of it") }, { value: "windrow", text: t("laid a windrow") }, { value: "unknown", text: t("nobody looked") }], values.tail, (value) => form.set("tail", value), { wide: true }),
      values.tail === "windrow" ? figure(form, "tail-width", t("Windrow width, {0}", length)) : null,
      values.tail === "narrow" ? figure(form, "tail-width", t("Width of the spread, {0}", length)) : null,
      figure(form, "seed-weight", t("Weight of 1,000 seeds, g"), { hint: t("or blank: our default") }),
      figure(form, "price", t("Price of a bushel, $"), { hint: cab.last.price?.[crop ?? ""] ? t("${0}, as typed before", cab.last.price[crop ?? ""]) : t("or blank") }),
      figure(form, "speed", t("Speed before, {0}", speedUnit())),
      save(t("Save count"), act),
    ];
  },
};
