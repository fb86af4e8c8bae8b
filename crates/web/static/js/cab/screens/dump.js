// Load, in the machine: where it was dumped, how full that is now.

import { differs, grainOf } from "../mix.js";
import { dumpDrafts } from "../figures.js";
import { cropName, likely } from "../knows.js";
import { levelOf, sign } from "../levels.js";
import { begun, caution, choices, figure, head, levels, prefilled, save, words } from "../parts.js";
import { at } from "../said.js";
import { language, t } from "../text.js";

/** @param {import("../cab.js").Cab} cab @param {"load" | "count" | "stop" | "bin"} name @param {string} otherwise */
export const cautionOf = (cab, name, otherwise) => cab.snapshot?.cautions?.[name]?.[language()] ?? otherwise;

/** A place with what this phone knows to be in it. @param {import("../knows.js").Place} place @param {string | null} crop */
export function holdsText(place, crop) {
  if (!place.holds) return t("empty");
  if (crop && place.holds.crop !== crop) return t(place.holds.crop_name);
  const level = levelOf(place.holds.full);
  return level < 0 ? t(place.holds.crop_name) : t("was {0}", sign(level));
}

/** Writes the load. @param {import("../cab.js").Cab} cab @param {Record<string, any>} values @param {boolean} mixed @param {any} acts */
export async function saveDump(cab, values, mixed, acts) {
  await keep(cab, dumpDrafts(values, cab.known(), cab.settings, mixed), "dump", acts);
}

/** Saves and shows it; where the phone keeps nothing the form stays and says so. @param {import("../cab.js").Cab} cab @param {import("../store.js").Draft[]} drafts @param {string | undefined} done @param {any} acts */
export async function keep(cab, drafts, done, acts) {
  try {
    await cab.save(drafts, done);
    acts.replace("saved");
  } catch (why) {
    acts.fail(why instanceof Error ? why.message : String(why));
  }
}

export const dump = {
  entry: true,
  draft: "dump",
  /** @param {import("../cab.js").Cab} cab */
  enter(cab) {
    if (cab.settings.face !== "load") cab.set({ face: "load" });
  },
  /** @param {import("../cab.js").Cab} cab @param {import("../parts.js").Form} form @param {any} acts */
  draw(cab, form, acts) {
    const known = cab.known();
    const { field, crop, machine } = known.running;
    const { values } = form;
    const all = likely(known);
    const to = values.to ?? (known.running.into && all.some((place) => place.name === known.running.into) ? known.running.into : null);
    let near = all.slice(0, 3);
    const far = to && to !== "?" && !near.some((place) => place.name === to) ? all.find((place) => place.name === to) : null;
    if (far) near = [far, ...near.slice(0, 2)];
    const shown = values.more || to === "?" ? all : near;
    const list = shown.map((place) => ({ value: place.name, text: place.name, small: holdsText(place, crop) }));
    const other = { value: "?", text: values.more ? t("Not on the list") : t("Other") };
    const pick = (/** @type {string} */ name) => {
      if (name === "?" && !values.more && all.length > 3) form.set("more", true);
      else {
        form.type("more", false);
        form.set("to", name);
      }
    };
    const act = () => {
      const into = to === "?" ? String(values.other ?? "").trim() : to;
      const missing = !field || !crop || !machine ? t("Choose field, crop and machine first: tap change.") : !into ? t("Choose where it was dumped.") : null;
      if (missing) return acts.miss(missing);
      const chosen = { ...values, to: into, other: "" };
      const place = known.places.find((one) => one.name === into);
      const comes = grainOf(known.fields.find((one) => one.name === field), crop ?? "", cropName(cab.snapshot, field ?? "", crop ?? ""));
      const how = place ? differs(place.holds, comes) : null;
      if (how) {
        form.type("to", to);
        acts.ask({ of: "dump", values: chosen, place, comes, how });
      } else saveDump(cab, chosen, false, acts);
    };
    return [
      head(t("Load"), { href: "#weighed", text: t("weighed") }),
      begun(form, form.since === null ? "" : at(form.since, cab)),
      prefilled(field ?? t("No field yet"), "#field", t("the field")),
      choices(t("Dumped into"), [...list, other], to, pick),
      to === "?" ? words(form, "other", t("Its name")) : null,
      levels(t("How full it is now"), values.full, (value) => form.set("full", value)),
      figure(form, "monitor", t("Monitor, {0}", cab.settings.monitor)),
      caution(`${cautionOf(cab, "load", t("Nobody in or on a wagon while grain flows. Children clear. Wires above the auger?"))} ${t("Stand still to write.")}`),
      choices(t("Tarp"), [{ value: "yes", text: t("on it") }, { value: "no", text: t("off") }], values.covered, (value) => form.set("covered", values.covered === value ? "" : value)),
      cab.settings.cards ? figure(form, "number", t("Load card number"), { mode: "numeric" }) : null,
      save(t("Save load {0}", known.nextLoad), act),
    ];
  },
};
