// Asked for a page that needs the laptop, with no laptop to be heard.

import { h } from "../dom.js";
import { row } from "../parts.js";
import { t } from "../text.js";

export const away = {
  draw: () => [
    h("header", { class: "back" }, h("h1", { id: "title", tabindex: "-1" }, t("Not in reach"))),
    h("p", { class: "holds" }, t("This page needs the laptop, and the laptop is not heard.")),
    h("p", { class: "det" }, t("Morning, Night, Winter, what was written and all settings of the farm are made on the laptop when they are asked for. The Cab works here; what is written in it is safe and goes later.")),
    row(t("Open the Cab"), null, "/cab"),
    row(t("Try this page again"), null, () => location.reload()),
  ],
};
