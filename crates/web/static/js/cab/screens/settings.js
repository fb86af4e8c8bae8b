// How this phone is set.

import { h } from "../dom.js";
import { choices, head } from "../parts.js";
import { applyLight, cookie, metric, setCookie } from "../settings.js";
import { language, speak, t } from "../text.js";

/** @param {import("../cab.js").Cab} cab @param {string} name @param {string} label @param {string} hint */
const typed = (cab, name, label, hint) => [
  h("label", { class: "q", for: `set-${name}` }, label),
  h("input", { class: "line", id: `set-${name}`, autocomplete: "off", maxlength: "60", placeholder: hint, value: /** @type {any} */ (cab.settings)[name], "data-k": name, onchange: (/** @type {any} */ event) => cab.set({ [name]: event.target.value.trim() }) }),
];

/** @param {import("../cab.js").Cab} cab @param {"cards" | "watch" | "awake"} name @param {string} label */
const yesNo = (cab, name, label) => choices(label, [{ value: "yes", text: t("yes") }, { value: "no", text: t("no") }], cab.settings[name] ? "yes" : "no", (value) => cab.set({ [name]: value === "yes" }));

export const settings = {
  /** @param {import("../cab.js").Cab} cab @param {any} _form @param {any} acts */
  draw(cab, _form, acts) {
    const light = (/** @type {string} */ value) => {
      setCookie("light", value);
      applyLight();
      acts.redraw();
    };
    const speech = async (/** @type {string} */ value) => {
      setCookie("language", value);
      await speak(value);
      document.documentElement.lang = language();
      acts.redraw();
    };
    const units = (/** @type {string} */ value) => {
      setCookie("units", value);
      cab.set({ monitor: value === "metric" ? "kg" : "bu" });
      acts.redraw();
    };
    return [
      head(t("This phone")),
      choices("Language / Idioma", [{ value: "en", text: "English" }, { value: "es", text: "Español" }], language(), speech),
      choices(t("Light"), [{ value: "device", text: t("as the device") }, { value: "light", text: t("light") }, { value: "dark", text: t("dark") }, { value: "sun", text: t("sun") }], cookie("light") ?? "device", light),
      choices(t("Units"), [{ value: "us", text: "lb, ac, bu" }, { value: "metric", text: "kg, ha, t" }], metric() ? "metric" : "us", units),
      choices(t("The monitor shows"), (metric() ? ["kg", "t"] : ["bu", "lb"]).map((unit) => ({ value: unit, text: unit })), cab.settings.monitor, (value) => cab.set({ monitor: value })),
      typed(cab, "name", t("This phone’s name"), cab.deviceName()),
      typed(cab, "person", t("Who writes on it"), ""),
      yesNo(cab, "cards", t("Numbered load cards are used")),
      yesNo(cab, "watch", t("Watch for moving")),
      h("p", { class: "det" }, t("The phone then asks for its position, only to close these screens above 1 mile an hour. The position is not kept and goes nowhere.")),
      yesNo(cab, "awake", t("Keep the screen on")),
    ];
  },
};
