// The outbox as a file: the way that needs no signal at all. JSON lines; photographs as base64.

/** @typedef {import("./store.js").Entry} Entry */
/** @typedef {import("./store.js").Photo} Photo */

/** What the laptop is sent of an entry. @param {Entry} entry */
export const wire = (entry) => ({
  id: entry.id,
  seq: entry.seq,
  stamp_ms: entry.stamp_ms,
  happened_ms: entry.happened_ms,
  zone: entry.zone,
  kind: entry.kind,
  figures: entry.figures,
  replaces: entry.replaces,
});

/** @param {ArrayBuffer} data @returns {string} */
export function base64(data) {
  const bytes = new Uint8Array(data);
  let text = "";
  for (let at = 0; at < bytes.length; at += 0x6000) {
    text += String.fromCharCode(...bytes.subarray(at, at + 0x6000));
  }
  return btoa(text);
}

/**
 * @param {{id: string, name: string, person: string}} device
 * @param {Entry[]} entries @param {Photo[]} photos @param {number} now
 * @returns {string} one JSON value a line, the device first
 */
export function outboxFile(device, entries, photos, now) {
  const named = new Set(entries.flatMap((entry) => entry.photos));
  const lines = [{ stook: "outbox", device: device.id, name: device.name, person: device.person, sent_ms: now }];
  const pictures = photos
    .filter((photo) => named.has(photo.sha256))
    .map((photo) => ({ photograph: photo.sha256, type: photo.type, base64: base64(photo.data) }));
  return [...lines, ...entries.map(wire), ...pictures].map((line) => `${JSON.stringify(line)}\n`).join("");
}

/**
 * Hands the file to the phone's share sheet, or downloads it. Entries stay until the book has them.
 * @param {string} text @param {string} stem  file name without ending
 * @returns {Promise<"shared" | "downloaded" | "left">}
 */
export async function sendFile(text, stem) {
  for (const [ending, type] of [["jsonl", "application/jsonl"], ["txt", "text/plain"]]) {
    const file = new File([text], `${stem}.${ending}`, { type });
    if (navigator.canShare?.({ files: [file] })) {
      try {
        await navigator.share({ files: [file], title: stem });
        return "shared";
      } catch (why) {
        if (why instanceof DOMException && why.name === "AbortError") return "left";
      }
    }
  }
  const link = document.createElement("a");
  const address = URL.createObjectURL(new Blob([text], { type: "application/jsonl" }));
  link.href = address;
  link.download = `${stem}.jsonl`;
  link.click();
  setTimeout(() => URL.revokeObjectURL(address), 60_000);
  return "downloaded";
}
