// At the scale: what the driver says, in large type. A blank means ask the owner.

import { h } from "../dom.js";
import { choices, head } from "../parts.js";
import { t } from "../text.js";
import { delivery } from "./weighed.js";

const TERMS = { sell: "Sell", store: "Store", price_later: "Price later" };

/** @param {any} cab @param {any} holds @param {string | null} buyer */
function cardOf(cab, holds, buyer) {
  const fits = (cab.snapshot?.arranged ?? []).filter((/** @type {any} */ one) => one.crop === holds.crop && (!one.buyer || one.buyer === buyer) && (!one.field || holds.fields.includes(one.field)));
  // of the cards that fit, the one that says most about this load
  const weight = (/** @type {any} */ one) => (one.field ? 2 : 0) + (one.buyer ? 1 : 0);
  return fits.sort((/** @type {any} */ a, /** @type {any} */ b) => weight(b) - weight(a))[0] ?? null;
}

/** @param {string} name @param {import("../dom.js").Inside} said */
const line = (name, said) => [h("dt", null, name), h("dd", null, said || h("span", { class: "blank" }, t("ask")))];

/** @param {any} terms @param {any} card */
function saysTerms(terms, card) {
  if (!terms) return null;
  const text = t(/** @type {any} */ (TERMS)[terms] ?? terms);
  return card.contract ? t("{0}, contract {1}", text, card.contract) : text;
}

export const scale = {
  draft: "scale",
  /** @param {import("../cab.js").Cab} cab @param {import("../parts.js").Form} form */
  draw(cab, form) {
    const known = cab.known();
    const held = cab.drafts.get("weighed")?.values ?? {};
    const wagons = known.places.filter((place) => place.holds && ["wagon", "truck", "cart"].includes(place.kind));
    const picked = form.values.from ?? held.from?.[0] ?? (wagons.length === 1 ? wagons[0].name : null);
    const place = known.places.find((one) => one.name === picked);
    const { buyer } = delivery(cab, held);
    const holds = place?.holds;
    const card = holds ? cardOf(cab, holds, buyer) : null;
    const several = holds && holds.fields.length > 1;
    const split = (card?.split ?? []).map((/** @type {any} */ one) => h("span", { class: "part" }, `${one.account || one.person} ${one.percent}${/%|\//.test(one.percent) ? "" : " %"}`));
    return [
      head(t("To say here"), null, "#weighed"),
      choices(t("Which wagon"), wagons.map((one) => ({ value: one.name, text: one.name, small: t(one.holds?.crop_name ?? "") })), picked, (name) => form.set("from", name)),
      wagons.length === 0 ? h("p", { class: "det" }, t("As this phone knows, no wagon holds grain.")) : null,
      holds ? h("dl", { class: "card" },
        line(t("Crop"), t(holds.crop_name)),
        line(t("Field"), holds.fields.join(", ")),
        line(t("Accounts"), several && !card?.split_arranged ? null : split),
        line(t("Terms"), saysTerms(card?.terms, card)),
        card?.remark ? line(t("And"), card.remark) : null) : null,
      holds ? h("p", { class: "det" }, buyer ? t("For {0}. Blank means ask the owner before you unload.", buyer) : t("Blank means ask the owner before you unload.")) : null,
    ];
  },
};
