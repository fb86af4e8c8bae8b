// No entry while moving. The position is asked for only where it was allowed before, or where the
// user switched watching on; where no speed is known, nothing is ever held up.

/** A walking man is faster; metres a second (1 mile an hour). */
const MOVES_M_S = 0.44704;
const STALE_MS = 10_000;

/** @type {{speed: number, at: number} | null} */
let seen = null;
/** @type {number | null} */
let watch = null;

/** @param {{speed: number | null} | undefined} coords @param {number} at */
export function hear(coords, at) {
  seen = coords && typeof coords.speed === "number" && Number.isFinite(coords.speed) ? { speed: coords.speed, at } : null;
}

/** How fast, metres a second, while moving; null when still or not known. @param {number} now @returns {number | null} */
export const movingAt = (now) => (seen && now - seen.at <= STALE_MS && seen.speed > MOVES_M_S ? seen.speed : null);

/** @param {number} metresPerSecond @param {boolean} metric @returns {string} whole miles or kilometers an hour */
export const speedText = (metresPerSecond, metric) =>
  metric ? `${Math.round(metresPerSecond * 3.6)} km/h` : `${Math.round(metresPerSecond / 0.44704)} mph`;

/** @returns {Promise<boolean>} whether the position was allowed before */
export async function allowed() {
  try {
    return (await navigator.permissions.query({ name: "geolocation" })).state === "granted";
  } catch {
    return false;
  }
}

/** @param {boolean} wanted @param {() => void} changed */
export function watchMoving(wanted, changed) {
  if (!wanted || !navigator.geolocation) {
    if (watch !== null) navigator.geolocation.clearWatch(watch);
    watch = null;
    seen = null;
    return;
  }
  if (watch !== null) return;
  watch = navigator.geolocation.watchPosition(
    (position) => {
      hear(position.coords, Date.now());
      changed();
    },
    () => {
      seen = null;
      changed();
    },
    { enableHighAccuracy: true, maximumAge: 2000, timeout: 20_000 },
  );
}
