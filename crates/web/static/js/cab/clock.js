// Times and days as people say them. The harvest day begins at an hour of the farm's own.

/** @returns {string} the zone that this phone is set to, e.g. "America/Chicago" */
export function zoneHere() {
  try {
    return Intl.DateTimeFormat().resolvedOptions().timeZone || "UTC";
  } catch {
    return "UTC";
  }
}

/** @type {Map<string, Intl.DateTimeFormat>} */
const formats = new Map();

/** @param {string} lang @param {string | undefined} zone @param {Intl.DateTimeFormatOptions} shape */
function format(lang, zone, shape) {
  const key = JSON.stringify([lang, zone, shape]);
  let known = formats.get(key);
  if (!known) {
    const locale = lang === "es" ? "es-US" : "en-US";
    try {
      known = new Intl.DateTimeFormat(locale, { ...shape, timeZone: zone });
    } catch {
      known = new Intl.DateTimeFormat(locale, shape);
    }
    formats.set(key, known);
  }
  return known;
}

/**
 * The hour as a clock face has it, no am or pm: "2:10". For times of today, where the day says which.
 * @param {number} ms @param {string} [lang] @param {string} [zone]
 */
export function hour(ms, lang = "en", zone = undefined) {
  const parts = format(lang, zone, { hour: "numeric", minute: "2-digit", hour12: true }).formatToParts(ms);
  return parts.filter((part) => part.type === "hour" || part.type === "minute").map((part) => part.value).join(":");
}

/** The hour with am or pm, small and without dots: "2:10 pm". @param {number} ms @param {string} [lang] @param {string} [zone] */
export function hourOfDay(ms, lang = "en", zone = undefined) {
  const parts = format(lang, zone, { hour: "numeric", minute: "2-digit", hour12: true }).formatToParts(ms);
  const half = parts.find((part) => part.type === "dayPeriod")?.value ?? "";
  return `${hour(ms, lang, zone)} ${half.toLowerCase().replace(/[^a-z]/g, "")}`.trim();
}

/** @param {number} ms @param {string} [zone] @returns {{day: string, hour: number}} the calendar day and hour there */
export function dayAndHour(ms, zone = undefined) {
  const shape = /** @type {const} */ ({ year: "numeric", month: "2-digit", day: "2-digit", hour: "2-digit", hourCycle: "h23" });
  const parts = format("en", zone, shape).formatToParts(ms);
  /** @param {string} type */
  const of = (type) => parts.find((part) => part.type === type)?.value ?? "";
  return { day: `${of("year")}-${of("month")}-${of("day")}`, hour: Number(of("hour")) };
}

/**
 * The harvest day that a moment belongs to, as the date on which it began.
 * @param {number} ms @param {number} beginsHour @param {string} [zone]
 */
export function harvestDay(ms, beginsHour, zone = undefined) {
  const here = dayAndHour(ms, zone);
  return here.hour >= beginsHour ? here.day : dayAndHour(ms - beginsHour * 3_600_000, zone).day;
}

/**
 * A moment as this phone says it: the hour alone today, else with its day: "Oct 9, 2:10 pm".
 * @param {number} ms @param {number} now @param {string} [lang] @param {string} [zone]
 */
export function moment(ms, now, lang = "en", zone = undefined) {
  if (dayAndHour(ms, zone).day === dayAndHour(now, zone).day) return hour(ms, lang, zone);
  return `${format(lang, zone, { month: "short", day: "numeric" }).format(ms)}, ${hourOfDay(ms, lang, zone)}`;
}
