// Files dropped anywhere on a page go to the same form as those that are chosen.
import { t } from "./text.js";

/** Whether something stands in a blank that was not there when the page came. */
const halfTyped = () =>
  [...document.querySelectorAll("form input, form textarea, form select")].some((at) => {
    if (at.type === "checkbox" || at.type === "radio") return at.checked !== at.defaultChecked;
    if (at.tagName === "SELECT") {
      const given = [...at.options].findIndex((option) => option.defaultSelected);
      return at.selectedIndex !== Math.max(given, 0);
    }
    return at.type !== "hidden" && at.value !== at.defaultValue;
  });

addEventListener("dragover", (event) => {
  if (event.dataTransfer?.types.includes("Files")) event.preventDefault();
});
addEventListener("drop", (event) => {
  const files = event.dataTransfer?.files;
  if (!files?.length) return;
  event.preventDefault();
  if (halfTyped() && !confirm(t("What is half typed on this page will be gone. Take the files in?"))) return;
  const form = document.createElement("form");
  form.method = "post";
  form.action = "/import";
  form.enctype = "multipart/form-data";
  form.hidden = true;
  const input = document.createElement("input");
  input.type = "file";
  input.name = "files";
  input.multiple = true;
  input.files = files;
  form.append(input);
  document.body.append(form);
  form.submit();
});
