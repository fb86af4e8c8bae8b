// A half-typed screen: kept with every change, offered again until it is saved or started over.

/** A form left for less than this is simply gone on with. */
const A_WHILE_MS = 60_000;

/** @param {import("./cab.js").Cab} cab @param {string} name @param {() => void} redraw @param {number} opened */
export function formOf(cab, name, redraw, opened) {
  const held = cab.drafts.get(name);
  /** @type {import("./parts.js").Form} */
  const form = {
    values: held?.values ?? {},
    since: held && held.at < opened - A_WHILE_MS ? held.at : null,
    set(key, value) {
      form.type(key, value);
      redraw();
    },
    type(key, value) {
      // in place: what a screen's taps look at is then what was typed last
      form.values[key] = value;
      cab.draft(name, { values: form.values, at: cab.drafts.get(name)?.at ?? Date.now() });
    },
    forget() {
      cab.draft(name, undefined);
      form.values = {};
      form.since = null;
      redraw();
    },
  };
  return form;
}
