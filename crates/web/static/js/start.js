// The browser's own time zone is taken where nobody has chosen one.
const zones = document.querySelector("select[data-zone]");
if (zones) {
  const own = Intl.DateTimeFormat().resolvedOptions().timeZone;
  const known = [...zones.options].find((option) => option.value === own);
  if (known) known.selected = true;
}
