// Which field, which crop in it, behind which machine.

import { h } from "../dom.js";
import { choices, head } from "../parts.js";
import { t } from "../text.js";

export const field = {
  draft: "field",
  /** @param {import("../cab.js").Cab} cab @param {import("../parts.js").Form} form */
  enter(cab, form) {
    const { running } = cab.known();
    form.values = { ...running };
  },
  /** @param {import("../cab.js").Cab} cab @param {import("../parts.js").Form} form @param {any} acts */
  draw(cab, form, acts) {
    const { fields } = cab.known();
    const machines = (cab.snapshot?.machines ?? []).map((/** @type {any} */ one) => ({ value: one.name, text: one.name }));
    const here = fields.find((one) => one.name === form.values.field);
    const planted = here?.crops ?? [];
    const others = [...new Map(fields.flatMap((one) => one.crops).map((one) => [one.crop, one])).values()];
    const crops = here && planted.length === 0 ? others : planted;
    const crop = planted.length === 1 ? planted[0].crop : crops.some((one) => one.crop === form.values.crop) ? form.values.crop : null;
    const machine = () => form.values.machine ?? (machines.length === 1 ? machines[0].value : null);
    const done = async () => {
      await cab.choose({ field: form.values.field, crop, machine: machine() });
      cab.draft("field", undefined);
      acts.back();
    };
    const pick = (/** @type {string} */ name) => form.set("field", name);
    return [
      head(t("Field"), null, "#home"),
      fields.length === 0 ? h("p", { class: "det" }, t("This phone knows no field yet. Open it once within reach of the laptop, or write on a load card.")) : null,
      choices(t("Which field"), fields.map((one) => ({ value: one.name, text: one.name, small: one.crops.map((c) => t(c.name)).join(", ") })), form.values.field, pick, { wide: true }),
      here && planted.length !== 1 ? choices(t("Which crop"), crops.map((one) => ({ value: one.crop, text: t(one.name) })), crop, (value) => form.set("crop", value)) : null,
      machines.length > 1 ? choices(t("Which machine"), machines, form.values.machine, (value) => form.set("machine", value)) : null,
      h("button", { type: "button", class: "save", onclick: done, disabled: !form.values.field || !crop || (machines.length > 1 && !form.values.machine), "data-k": "save" }, t("This field")),
    ];
  },
};
