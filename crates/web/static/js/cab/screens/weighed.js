// Load, at the scale: the photograph first, figures if there is time.

import { h } from "../dom.js";
import { amongWagons, differs } from "../mix.js";
import { noteDraft, typedTicket, weighedDrafts } from "../figures.js";
import { begun, caution, choices, figure, head, prefilled, row, save } from "../parts.js";
import { at } from "../said.js";
import { massUnit, testWeightUnit } from "../settings.js";
import { t } from "../text.js";
import { cautionOf, holdsText, keep } from "./dump.js";
import { photographs, photosOf } from "./photos.js";

/** Where tickets come from. @param {import("../cab.js").Cab} cab */
const pits = (cab) => (cab.snapshot?.places ?? []).filter((/** @type {any} */ place) => place.kind === "pit").map((/** @type {any} */ place) => place.name);

/** What is filled in: the buyer and pit of the last ticket here, or the only ones. @param {import("../cab.js").Cab} cab @param {Record<string, any>} values */
export function delivery(cab, values) {
  const buyers = (cab.snapshot?.buyers ?? []).map((/** @type {any} */ one) => one.name);
  const only = (/** @type {string[]} */ list, /** @type {string | undefined} */ last) => (last && list.includes(last) ? last : list.length === 1 ? list[0] : null);
  return { buyers, pits: pits(cab), buyer: values.buyer ?? only(buyers, cab.last.buyer), to: values.to ?? only(pits(cab), cab.last.to) };
}

/** Writes the ticket. @param {import("../cab.js").Cab} cab @param {Record<string, any>} values @param {boolean} mixed @param {any} acts */
export async function saveWeighed(cab, values, mixed, acts) {
  const drafts = weighedDrafts(values, values.crop, values.photos ?? []);
  if (mixed) drafts.push(noteDraft(t("Mixed on one ticket: {0}.", values.from.join(", ")), false, values.from));
  cab.last = { ...cab.last, buyer: values.buyer, to: values.to };
  await cab.remember("last", cab.last);
  await keep(cab, drafts, "weighed", acts);
}

export const weighed = {
  entry: true,
  draft: "weighed",
  /** @param {import("../cab.js").Cab} cab */
  enter(cab) {
    if (cab.settings.face !== "weighed") cab.set({ face: "weighed" });
  },
  /** @param {import("../cab.js").Cab} cab @param {import("../parts.js").Form} form @param {any} acts */
  draw(cab, form, acts) {
    const known = cab.known();
    const { values } = form;
    const from = /** @type {string[]} */ (values.from ?? []);
    const wagons = known.places.filter((place) => ["wagon", "truck", "cart"].includes(place.kind) || from.includes(place.name));
    const bins = known.places.filter((place) => ["bin", "pile"].includes(place.kind));
    const list = [...wagons, ...(values.bins ? bins : [])];
    const toggle = (/** @type {string} */ name) => form.set("from", from.includes(name) ? from.filter((one) => one !== name) : [...from, name]);
    const where = delivery(cab, values);
    const chosen = known.places.filter((place) => from.includes(place.name));
    const crops = [...new Set(chosen.flatMap((place) => (place.holds ? [place.holds.crop] : [])))];
    const allCrops = [...new Map(known.fields.flatMap((field) => field.crops).map((crop) => [crop.crop, crop.name]))];
    const crop = values.crop ?? (crops.length === 1 ? crops[0] : null);
    const photos = photosOf(form);
    const act = () => {
      const figures = typedTicket(values);
      const missing = !photos.length && !figures ? t("Take a photograph, or type the weights.") : !from.length ? t("Choose what was emptied.")
        : !where.buyer && !where.to ? t("Choose the buyer.") : figures && !where.to ? t("Choose where it was emptied.") : figures && !crop ? t("Choose the crop.") : null;
      if (missing) return acts.miss(missing);
      const whole = { ...values, from, buyer: where.buyer, to: where.to, crop, photos };
      const among = amongWagons(chosen);
      const target = known.places.find((place) => place.name === where.to && place.kind !== "pit");
      const first = chosen.find((place) => place.holds)?.holds;
      const how = target && first ? differs(target.holds, first) : null;
      if (among) acts.ask({ of: "weighed", values: whole, place: among.first, comes: among.second.holds, how: among.how });
      else if (how) acts.ask({ of: "weighed", values: whole, place: target, comes: first, how });
      else saveWeighed(cab, whole, false, acts);
    };
    const mass = massUnit();
    return [
      head(t("Weighed"), { href: "#load", text: t("dump") }),
      begun(form, form.since === null ? "" : at(form.since, cab)),
      photographs(form, acts, t("Photograph the ticket"), "ticket"),
      choices(t("What was emptied"), [...list.map((place) => ({ value: place.name, text: place.name, small: holdsText(place, null) })), ...(values.bins || bins.length === 0 ? [] : [{ value: "?", text: t("A bin") }])], from,
        (name) => (name === "?" ? form.set("bins", true) : toggle(name))),
      values.changeBuyer || !where.buyer
        ? choices(t("Buyer"), where.buyers.map((/** @type {string} */ name) => ({ value: name, text: name })), where.buyer, (name) => { form.type("changeBuyer", false); form.set("buyer", name); }, { wide: true })
        : prefilled(where.buyer, () => form.set("changeBuyer", true), t("the buyer")),
      where.pits.length > 1 || !where.to
        ? choices(t("Emptied at"), [...where.pits, ...bins.map((bin) => bin.name)].map((name) => ({ value: name, text: name })), where.to, (name) => form.set("to", name), { wide: true })
        : null,
      row(t("What to say here"), t("card for the driver"), "#scale"),
      h("h2", { class: "q" }, t("Figures, now or at night")),
      typedTicket(values) && crops.length !== 1 ? choices(t("Crop"), allCrops.map(([key, name]) => ({ value: key, text: t(name) })), crop, (key) => form.set("crop", key)) : null,
      figure(form, "number", t("Ticket number"), { mode: "numeric" }),
      figure(form, "gross", t("Gross, {0}", mass)),
      figure(form, "tare", t("Tare, {0}", mass)),
      figure(form, "net", t("Net, {0}", mass)),
      figure(form, "moisture", t("Moisture, %")),
      figure(form, "test-weight", t("Test weight, {0}", testWeightUnit())),
      choices(t("Emptied"), [{ value: "yes", text: t("all of it") }, { value: "no", text: t("not all") }], values.emptied, (value) => form.set("emptied", values.emptied === value ? "" : value)),
      caution(cautionOf(cab, "load", t("Nobody in or on a wagon while grain flows. Children clear. Wires above the auger?"))),
      save(t("Save ticket"), act),
    ];
  },
};
