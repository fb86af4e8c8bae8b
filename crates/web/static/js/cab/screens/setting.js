// Setting: what was changed on the machine, and what the tank's grain looked like before it.

import { h } from "../dom.js";
import { changeText, settingDrafts } from "../figures.js";
import { begun, caution, choices, figure, head, nudges, prefilled, row, save, words } from "../parts.js";
import { at } from "../said.js";
import { language, t } from "../text.js";
import { cautionOf, keep } from "./dump.js";

/** What can be set, by the key that entries write. */
const WHATS = [["fan", "fan"], ["chaffer", "chaffer"], ["sieve", "sieve"], ["rotor", "rotor"], ["concave", "concave"], ["head-height", "head-height"], ["reel", "reel"], ["stripper", "stripper"], ["ground-speed", "ground-speed"], ["deck-plates", "deck-plates"], ["other", "other"]];

/** How much of something is seen in the tank. */
const SEEN = [["none", "none seen"], ["some", "some"], ["much", "much"]];

const seen = () => SEEN.map(([value, text]) => ({ value, text: t(text) }));

export const setting = {
  entry: true,
  draft: "setting",
  /** @param {import("../cab.js").Cab} cab @param {import("../parts.js").Form} form @param {any} acts */
  draw(cab, form, acts) {
    const known = cab.known();
    const { field, crop } = known.running;
    const { values } = form;
    const done = /** @type {{what: string, from?: string, to?: string}[]} */ (values.changes ?? []);
    const current = () => ({ what: values.what, from: values.from, to: values.to });
    const begunOne = () => Boolean(values.what || String(values.to ?? "").trim());
    const missing = () => (!values.what ? t("Choose what was changed.") : !String(values.to ?? "").trim() ? t("Type what it is set to now.") : null);
    const another = () => {
      const lacks = missing();
      if (lacks) return acts.miss(lacks);
      for (const [name, value] of Object.entries({ changes: [...done, current()], from: "", to: "" })) form.type(name, value);
      form.set("what", null);
    };
    const act = () => {
      const lacks = done.length === 0 || begunOne() ? missing() : null;
      if (lacks) return acts.miss(lacks);
      const all = begunOne() ? [...done, current()] : done;
      const said = all.map((one) => `${t(one.what)} ${one.from ? `${one.from} → ` : ""}${one.to}`).join(", ");
      return keep(cab, settingDrafts(values, all, known, `${said}.`), "setting", acts);
    };
    const tries = (cab.snapshot?.tries ?? []).filter((/** @type {any} */ one) => one.crop === crop);
    return [
      head(t("Setting")),
      caution(cautionOf(cab, "setting", t("Guards shut while anything turns. Engine off, key out before you reach in."))),
      begun(form, form.since === null ? "" : at(form.since, cab)),
      prefilled(field ?? t("No field yet"), "#field", t("the field")),
      done.length ? h("p", { class: "det" }, done.map((one) => changeText({ ...one, what: t(one.what) })).join(", ")) : null,
      choices(t("What was changed"), WHATS.map(([value, text]) => ({ value, text: t(text) })), values.what, (value) => form.set("what", value), { three: true }),
      figure(form, "from", t("It was, with its unit"), { mode: "text" }),
      figure(form, "to", t("It is now, with its unit"), { mode: "text", hint: t("type it") }),
      row(t("Another change"), t("one at a time can be judged; several only together"), another),
      figure(form, "cracked", t("Split or cracked in the tank, %")),
      figure(form, "foreign", t("Foreign matter in the tank, %")),
      choices(t("Unthreshed in the tank"), seen(), values.unthreshed, (value) => form.set("unthreshed", value), { three: true }),
      choices(t("Dirt in the tank"), seen(), values.dirt, (value) => form.set("dirt", value), { three: true }),
      words(form, "remark", t("Remark")),
      tries.length ? nudges(tries, language()) : null,
      save(t("Save setting"), act),
    ];
  },
};
