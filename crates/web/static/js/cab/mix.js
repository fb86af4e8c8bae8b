// Before mixing: would this put two crops, insured units or owners together? Sets are compared;
// where either side is not known, nothing is claimed.

/** @typedef {import("./knows.js").Holds} Holds */
/** @typedef {{crop: string, crop_name: string, units: string[], owners: string[], fields: string[]}} Grain */
/** @typedef {{crop: boolean, unit: boolean, owner: boolean}} Differs */

/** @param {string[]} a @param {string[]} b both known, and not the same set */
const other = (a, b) => a.length > 0 && b.length > 0 && (a.length !== b.length || a.some((one) => !b.includes(one)));

/** @param {import("./knows.js").Field | undefined} field @param {string} crop @param {string} name @returns {Grain} */
export function grainOf(field, crop, name) {
  const owners = (field?.owners ?? []).map((owner) => (typeof owner === "string" ? owner : owner.person));
  return { crop, crop_name: name, units: field?.unit ? [field.unit] : [], owners, fields: field ? [field.name] : [] };
}

/**
 * How what comes differs from what is there; null where it does not, or where grain of that field
 * is in it already (the question was answered then).
 * @param {Holds | Grain | null} holds @param {Grain} comes @returns {Differs | null}
 */
export function differs(holds, comes) {
  if (!holds) return null;
  const crop = holds.crop !== comes.crop;
  const among = !crop || ("other_crops" in holds && (holds.other_crops ?? []).includes(comes.crop));
  const inAlready = comes.fields.length > 0 && comes.fields.every((field) => holds.fields.includes(field));
  if (inAlready && among) return null;
  const unit = other(holds.units, comes.units);
  const owner = other(holds.owners, comes.owners);
  return crop || unit || owner ? { crop, unit, owner } : null;
}

/**
 * Of several wagons on one ticket, the first two that differ.
 * @param {{name: string, holds: Holds | null}[]} wagons
 * @returns {{first: {name: string, holds: Holds}, second: {name: string, holds: Holds}, how: Differs} | null}
 */
export function amongWagons(wagons) {
  const full = /** @type {{name: string, holds: Holds}[]} */ (wagons.filter((wagon) => wagon.holds));
  for (let at = 1; at < full.length; at += 1) {
    for (const first of full.slice(0, at)) {
      const second = full[at];
      const crop = first.holds.crop !== second.holds.crop;
      const unit = other(first.holds.units, second.holds.units);
      const owner = other(first.holds.owners, second.holds.owners);
      if (crop || unit || owner) return { first, second, how: { crop, unit, owner } };
    }
  }
  return null;
}
