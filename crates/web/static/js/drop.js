// Files dropped anywhere on a page go to the same form as those that are chosen.
addEventListener("dragover", (event) => {
  if (event.dataTransfer?.types.includes("Files")) event.preventDefault();
});
addEventListener("drop", (event) => {
  const files = event.dataTransfer?.files;
  if (!files?.length) return;
  event.preventDefault();
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
