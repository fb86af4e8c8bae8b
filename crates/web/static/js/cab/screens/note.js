// Note: a few words or a photograph; a question goes onto the owner's list.

import { h } from "../dom.js";
import { noteDraft, photoDrafts } from "../figures.js";
import { begun, choices, head, save } from "../parts.js";
import { at } from "../said.js";
import { t } from "../text.js";
import { keep } from "./dump.js";
import { photographs, photosOf } from "./photos.js";

export const note = {
  entry: true,
  draft: "note",
  /** @param {import("../cab.js").Cab} cab @param {import("../parts.js").Form} form @param {any} acts */
  draw(cab, form, acts) {
    const { field } = cab.known().running;
    const { values } = form;
    const act = () => {
      const text = String(values.text ?? "").trim();
      const photos = photosOf(form);
      if (!text && photos.length === 0) return acts.miss(t("Write a few words or take a photograph."));
      const of = field && values.of !== "no" ? [field] : [];
      const drafts = photoDrafts(photos, "photograph", of, t("Photograph"), text || t("A photograph."));
      if (text) drafts.push(noteDraft(text, values.question === "yes", of));
      return keep(cab, drafts, "note", acts);
    };
    return [
      head(t("Note")),
      begun(form, form.since === null ? "" : at(form.since, cab)),
      h("label", { class: "q", for: "text" }, t("In your words")),
      h("textarea", { id: "text", name: "text", rows: "4", maxlength: "4000", value: values.text ?? "", "data-k": "text", oninput: (/** @type {any} */ event) => form.type("text", event.target.value) }),
      photographs(form, acts, t("Take a photograph"), "photograph"),
      choices(t("What it is"), [{ value: "no", text: t("a note") }, { value: "yes", text: t("a question") }], values.question ?? "no", (value) => form.set("question", value)),
      field ? choices(t("About {0}", field), [{ value: "yes", text: t("yes") }, { value: "no", text: t("no") }], values.of ?? "yes", (value) => form.set("of", value)) : null,
      save(values.question === "yes" ? t("Save question") : t("Save note"), act),
    ];
  },
};
