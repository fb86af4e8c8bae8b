// A button that prints, where the browser can.
for (const button of document.querySelectorAll("button[data-print]")) {
  button.hidden = false;
  button.addEventListener("click", () => print());
}
