// Photographs on a screen: take, see how many, take away again. They live in the half-typed form.

import { h } from "../dom.js";
import { MOST_BYTES, takePhoto } from "../photo.js";
import { t } from "../text.js";

/** @param {import("../parts.js").Form} form @returns {import("../store.js").Photo[]} */
export const photosOf = (form) => form.values.photos ?? [];

/** @param {import("../parts.js").Form} form @param {any} acts @param {string} text @param {string} stem */
export function photographs(form, acts, text, stem) {
  const taken = photosOf(form);
  const add = async (/** @type {any} */ event) => {
    const files = /** @type {File[]} */ ([...event.target.files]);
    for (const file of files) {
      try {
        const photo = await takePhoto(file, `${stem}-${new Date().toISOString().slice(0, 16).replace(/\D/g, "")}`);
        const now = form.values.photos ?? [];
        if (photo.data.byteLength > MOST_BYTES) acts.say(t("That photograph is too large; take it smaller."));
        else if (!now.some((/** @type {any} */ one) => one.sha256 === photo.sha256)) form.set("photos", [...now, photo]);
      } catch {
        acts.say(t("This phone could not keep the photograph; the address must begin with https."));
      }
    }
  };
  return [
    h("label", { class: "shoot" }, h("b", null, taken.length ? t("Another photograph") : text),
      h("input", { type: "file", accept: "image/*", capture: "environment", multiple: true, onchange: add, "data-k": "photo", name: "photo" })),
    taken.length === 0 ? null : h("ul", { class: "wl plain" },
      taken.map((photo, at) => h("li", null, h("span", null, t("Photograph {0}", at + 1)),
        h("button", { type: "button", class: "link", "data-k": `away ${at}`, onclick: () => form.set("photos", taken.filter((one) => one !== photo)) }, t("take away"), h("span", { class: "hush" }, ` ${at + 1}`))))),
  ];
}
