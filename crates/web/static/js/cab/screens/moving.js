// The screen while the machine moves.

import { h } from "../dom.js";
import { movingAt, speedText } from "../moving.js";
import { metric } from "../settings.js";
import { t } from "../text.js";

export const moving = {
  announce: () => t("Moving. Stand still to write."),
  /** @param {import("../cab.js").Cab} cab */
  draw(cab) {
    const { field, crop } = cab.known().running;
    const speed = movingAt(Date.now());
    return [
      h("header", { class: "st" }, h("p", { class: "fld" }, h("span", null, field ?? t("No field yet")), crop ? h("small", null, t(crop)) : null)),
      h("h1", { class: "bigsay", id: "title", tabindex: "-1" }, t("Moving")),
      h("p", { class: "det" }, speed === null ? "" : `${speedText(speed, metric())}. `, t("Stand still to write. What you tap now is not kept; what you had typed is.")),
    ];
  },
};
