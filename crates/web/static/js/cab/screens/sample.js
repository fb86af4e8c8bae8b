// Sample: of what, how it was taken, on which meter, what it read.

import { h } from "../dom.js";
import { sampleDrafts } from "../figures.js";
import { begun, choices, figure, head, save } from "../parts.js";
import { at } from "../said.js";
import { testWeightUnit } from "../settings.js";
import { t } from "../text.js";
import { keep } from "./dump.js";

const HOWS = [["hand-shelled", "shelled by hand"], ["tank", "from the tank"], ["wagon", "from a wagon"], ["bin", "from a bin"], ["stream", "from the stream"], ["dryer-hot", "hot from the dryer"]];

export const sample = {
  entry: true,
  draft: "sample",
  /** @param {import("../cab.js").Cab} cab @param {import("../parts.js").Form} form @param {any} acts */
  draw(cab, form, acts) {
    const known = cab.known();
    const { values } = form;
    const { running } = known;
    const of = values.of ?? running.field;
    const place = known.places.find((one) => one.name === of);
    const field = known.fields.find((one) => one.name === of);
    const crops = [...new Map(known.fields.flatMap((one) => one.crops).map((one) => [one.crop, one.name]))];
    const likelyCrop = place ? place.holds?.crop : field?.name === running.field ? running.crop : field?.crops.length === 1 ? field.crops[0].crop : null;
    const crop = values.crop ?? likelyCrop ?? null;
    const readings = /** @type {string[]} */ (values.readings ?? []);
    const meters = (cab.snapshot?.meters ?? []).map((/** @type {any} */ one) => one.name);
    const meter = values.meter ?? (meters.includes(cab.last.meter) ? cab.last.meter : meters.length === 1 ? meters[0] : null);
    const reading = () => String(values.reading ?? "").trim();
    const holding = known.places.filter((one) => one.holds);
    const list = [running.field, running.into, ...(values.more ? [...holding.map((one) => one.name), ...known.fields.map((one) => one.name)] : [])].filter((name, nth, all) => name && all.indexOf(name) === nth);
    if (of && !list.includes(of)) list.push(of);
    const add = () => {
      if (!reading()) return acts.miss(t("Type the reading first."));
      form.type("readings", [...readings, reading()]);
      form.set("reading", "");
    };
    const act = async () => {
      const all = reading() ? [...readings, reading()] : readings;
      const missing = !of ? t("Choose what was sampled.") : !crop ? t("Choose the crop.") : !values.how ? t("Choose how it was taken.") : all.length === 0 ? t("Type at least one reading.") : null;
      if (missing) return acts.miss(missing);
      cab.last = { ...cab.last, meter };
      await cab.remember("last", cab.last);
      await keep(cab, sampleDrafts({ ...values, readings: all, meter: meter ?? "" }, of, crop), "sample", acts);
    };
    return [
      head(t("Sample")),
      begun(form, form.since === null ? "" : at(form.since, cab)),
      choices(t("Of what"), [...list.map((name) => ({ value: String(name), text: String(name) })), ...(values.more ? [] : [{ value: "?", text: t("Other") }])], of, (name) => (name === "?" ? form.set("more", true) : form.set("of", name))),
      likelyCrop ? null : choices(t("Crop"), crops.map(([key, name]) => ({ value: key, text: t(name) })), crop, (key) => form.set("crop", key)),
      choices(t("How it was taken"), HOWS.map(([value, text]) => ({ value, text: t(text) })), values.how, (value) => form.set("how", value)),
      values.how === "dryer-hot" ? h("p", { class: "q" }, t("A meter reads hot grain wrong; let it cool in a closed jar and read again.")) : null,
      figure(form, "reading", t("Reading {0}, %", readings.length + 1), { hint: t("type it") }),
      h("button", { type: "button", class: "undo", onclick: add, "data-k": "add" }, h("b", null, t("Another reading")), h("span", null, readings.join(", "))),
      readings.length ? h("button", { type: "button", class: "link wide", onclick: () => form.set("readings", readings.slice(0, -1)), "data-k": "drop" }, t("Take away the last reading")) : null,
      meters.length ? choices(t("Meter"), meters.map((/** @type {string} */ name) => ({ value: name, text: name })), meter, (name) => form.set("meter", name), { wide: true }) : null,
      figure(form, "count", t("Ears or handfuls"), { mode: "numeric" }),
      figure(form, "test-weight", t("Test weight, {0}", testWeightUnit())),
      save(t("Save sample"), act),
    ];
  },
};
