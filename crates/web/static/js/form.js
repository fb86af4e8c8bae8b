// Forms: another blank, a file read into a blank, and no entry written twice by two taps.
for (const button of document.querySelectorAll("button[data-again]")) {
  button.hidden = false;
  button.addEventListener("click", () => {
    const last = button.previousElementSibling?.matches(".blanks") ? button.previousElementSibling : button.parentElement.querySelector(".blanks:last-of-type");
    const next = last.cloneNode(true);
    const input = next.querySelector("input");
    input.value = "";
    input.removeAttribute("id");
    input.removeAttribute("aria-invalid");
    input.setAttribute("aria-label", button.closest(".q").querySelector("label").textContent.trim());
    for (const extra of next.querySelectorAll("select, .unit, input[type=hidden]")) extra.remove();
    button.before(next);
    input.focus();
  });
}

for (const picker of document.querySelectorAll("input[type=file][data-into]")) {
  picker.closest(".readin").hidden = false;
  picker.addEventListener("change", async () => {
    const [file] = picker.files;
    if (file) document.getElementById(picker.dataset.into).value = await file.text();
  });
}

for (const form of document.querySelectorAll("form[data-once]")) {
  form.addEventListener("submit", (event) => {
    if (form.dataset.sent) event.preventDefault();
    form.dataset.sent = "yes";
  });
}
// a page taken back from the browser's memory may be sent again
addEventListener("pageshow", () => {
  for (const form of document.querySelectorAll("form[data-once]")) delete form.dataset.sent;
});
