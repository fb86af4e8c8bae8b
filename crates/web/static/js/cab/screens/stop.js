// Stop: why the machine stands. It runs from the tap until it goes on.

import { h } from "../dom.js";
import { costText, goDraft, stopDraft } from "../figures.js";
import { caution, choices, figure, head, row, save, words } from "../parts.js";
import { at } from "../said.js";
import { t } from "../text.js";
import { cautionOf, keep } from "./dump.js";

/** Why, by the key that entries write. */
const WHYS = [["wagon", "no wagon"], ["plug", "plugged"], ["breakdown", "broken"], ["moving", "moving"], ["fuel-grease", "fuel, grease"], ["weather", "weather"], ["setting", "setting, counting"], ["rest", "rest, meal"], ["other", "something else"]];

/** @param {string} why */
export const whyText = (why) => t(WHYS.find(([key]) => key === why.replace("_", "-"))?.[1] ?? why);

/** @param {import("../cab.js").Cab} cab @param {any} stop @param {import("../parts.js").Form} form @param {any} acts */
function standing(cab, stop, form, acts) {
  const { values } = form;
  const began = stop.why.replace("_", "-");
  // a part and its cost are asked for where something broke or plugged, and kept once typed
  const broke = ["breakdown", "plug", "other"].includes(values.turned ?? began) || values.part || values.cost;
  const go = () => {
    const late = String(values.ago ?? "").trim();
    const draft = goDraft(stop.id, { ...values, why: values.turned });
    const minutes = Number(late);
    if (values.cost && costText(values.cost) === null) return acts.miss(t("Type the cost in dollars, as a number."));
    if (late && !(minutes >= 0)) return acts.miss(t("Type the minutes as a number."));
    if (late) draft.happened_ms = Math.max(stop.since_ms, Date.now() - Math.round(minutes * 60_000));
    keep(cab, [draft], "stop", acts);
  };
  return [
    head(t("Stop")),
    h("p", { class: "bigsay" }, t("Stands")),
    h("p", { class: "det" }, t("Since {0}: {1}.", at(stop.since_ms, cab), whyText(stop.why))),
    caution(cautionOf(cab, "stop", t("Engine off, key out, head on its safety stop before you reach in."))),
    choices(t("If it was something else in the end"), WHYS.filter(([key]) => key !== began && key !== "other").map(([value, text]) => ({ value, text: t(text) })), values.turned, (why) => form.set("turned", values.turned === why ? null : why)),
    broke ? [words(form, "part", t("Which part"), t("or blank")), figure(form, "cost", t("Parts and labor, $"))] : null,
    words(form, "remark", t("What was done"), t("or blank")),
    figure(form, "ago", t("Went on minutes ago"), { mode: "numeric" }),
    save(t("Goes on"), go),
  ];
}

export const stop = {
  entry: true,
  draft: "stop",
  /** @param {import("../cab.js").Cab} cab @param {import("../parts.js").Form} form @param {any} acts */
  draw(cab, form, acts) {
    const known = cab.known();
    const { values } = form;
    if (known.stop) return standing(cab, known.stop, form, acts);
    const write = (/** @type {string} */ why) => {
      const draft = stopDraft(why, values, known, whyText(why));
      const minutes = Number(draft.figures.minutes?.[0]);
      if (minutes > 0) draft.happened_ms = Date.now() - Math.round(minutes * 60_000);
      keep(cab, [draft], "stop", acts);
    };
    const pick = (/** @type {string} */ why) => {
      if (values.late) form.set("why", why);
      else write(why);
    };
    const late = () => {
      const missing = !values.why ? t("Choose why it stood.") : !/^\d+$/.test(String(values.minutes ?? "").trim()) ? t("Type how many minutes it stood.") : null;
      return missing ? acts.miss(missing) : write(values.why);
    };
    return [
      head(t("Stop")),
      caution(cautionOf(cab, "stop", t("Engine off, key out, head on its safety stop before you reach in."))),
      choices(values.late ? t("Why it stood") : t("Why it stands, from this tap on"), WHYS.map(([value, text]) => ({ value, text: t(text) })), values.late ? values.why : null, pick),
      values.late ? [figure(form, "minutes", t("Minutes it stood"), { mode: "numeric", hint: t("type it") }), words(form, "remark", t("Remark")), row(t("It stands now"), null, () => form.set("late", false)), save(t("Save stop"), late)]
        : [row(t("Forgot one"), t("type its minutes"), () => form.set("late", true)), row(t("Setting"), t("what was changed on the machine"), "#setting")],
    ];
  },
};
