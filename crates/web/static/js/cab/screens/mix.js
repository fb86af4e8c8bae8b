// Before mixing: what the place holds, what comes, and three ways on.

import { noteDraft } from "../figures.js";
import { h } from "../dom.js";
import { head, row, save } from "../parts.js";
import { saveDump, keep } from "./dump.js";
import { saveWeighed } from "./weighed.js";
import { t } from "../text.js";

/** @param {string[]} names */
const listed = (names) => names.join(", ");

/** @param {import("../mix.js").Differs} how @param {string} comes */
function reasons(how, comes) {
  const what = [how.crop ? t("another crop") : "", how.unit ? t("another insured unit") : "", how.owner ? t("other owners") : ""].filter(Boolean).join(", ");
  const then = how.crop ? t("Mixed, neither can be weighed alone, and the buyer may turn both away.") : t("Mixed, neither can be weighed alone.");
  return `${t("What comes is {0}:", comes)} ${what}. ${then}`;
}

export const mix = {
  entry: true,
  announce: () => t("Stop: this would mix."),
  /** @param {import("../cab.js").Cab} cab @param {any} _form @param {any} acts */
  draw(cab, _form, acts) {
    const asked = acts.asked();
    if (!asked) return [head(t("Load"), null, "#home"), h("p", { class: "det" }, t("Nothing to mix."))];
    const { place, comes, how, values, of } = asked;
    const holds = place.holds;
    const from = holds.fields.length ? t("{0} holds {1} from {2}.", place.name, t(holds.crop_name), listed(holds.fields)) : t("{0} holds {1}.", place.name, t(holds.crop_name));
    const where = of === "dump" ? t("Choose another wagon") : t("Choose other wagons");
    const mixed = () => (of === "dump" ? saveDump(cab, values, true, acts) : saveWeighed(cab, values, true, acts));
    const question = () => {
      const text = t("May {0} go with this? {1}", t("{0} from {1}", t(comes.crop_name), listed(comes.fields)), from);
      keep(cab, [noteDraft(text, true, [place.name, ...comes.fields])], undefined, acts);
    };
    return [
      head(of === "dump" ? t("Load") : t("Weighed"), null, of === "dump" ? "#load" : "#weighed"),
      h("p", { class: "warn bare", "aria-hidden": "true" }),
      h("p", { class: "holds" }, from),
      h("p", { class: "det" }, reasons(how, comes.fields.length ? t("{0} from {1}", t(comes.crop_name), listed(comes.fields)) : t(comes.crop_name))),
      row(where, null, of === "dump" ? "#load" : "#weighed"),
      row(t("Already mixed"), t("write it so"), mixed),
      h("p", { class: "det" }, t("Not sure? Ask the owner, and leave this wagon shut.")),
      save(t("Save as a question"), question),
    ];
  },
};
