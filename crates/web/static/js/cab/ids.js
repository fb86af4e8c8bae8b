// Names for what this phone writes: ids that nobody else makes, and times that never run back.

/**
 * @typedef {(bytes: Uint8Array) => Uint8Array} Fill fills bytes with chance
 */

/** @type {Fill} */
const chance = (bytes) => crypto.getRandomValues(bytes);

/** @param {Uint8Array} bytes @returns {string} */
export const hex = (bytes) => Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");

/** @param {Uint8Array} bytes @returns {string} */
function grouped(bytes) {
  const all = hex(bytes);
  return [all.slice(0, 8), all.slice(8, 12), all.slice(12, 16), all.slice(16, 20), all.slice(20)].join("-");
}

/**
 * An entry's id: UUID version 7 (RFC 9562), so ids sort by the time in them. Made from
 * getRandomValues, since crypto.randomUUID is missing where the page came over plain HTTP.
 * @param {number} ms  milliseconds since 1970
 * @param {Fill} [fill]
 */
export function entryId(ms, fill = chance) {
  const bytes = fill(new Uint8Array(16));
  let left = Math.max(0, Math.trunc(ms));
  for (let at = 5; at >= 0; at -= 1) {
    bytes[at] = left % 256;
    left = Math.floor(left / 256);
  }
  bytes[6] = 0x70 | (bytes[6] & 0x0f);
  bytes[8] = 0x80 | (bytes[8] & 0x3f);
  return grouped(bytes);
}

/** This phone's id: UUID version 4, made once. @param {Fill} [fill] */
export function deviceId(fill = chance) {
  const bytes = fill(new Uint8Array(16));
  bytes[6] = 0x40 | (bytes[6] & 0x0f);
  bytes[8] = 0x80 | (bytes[8] & 0x3f);
  return grouped(bytes);
}

/**
 * When an entry was written down: the clock, or one past the last stamp where the clock was set back.
 * @param {number} now @param {number | undefined} last
 */
export const stampAfter = (now, last) => (last === undefined ? now : Math.max(now, last + 1));
