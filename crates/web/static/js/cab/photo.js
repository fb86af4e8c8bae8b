// A photograph: made smaller on the phone, then known by the hash of its bytes.

import { hex } from "./ids.js";

/** Longest side in pixels, and how hard it is pressed. */
const SIDE = 2000;
const QUALITY = 0.8;
/** What the laptop takes of one photograph. */
export const MOST_BYTES = 6 * 1024 * 1024;

/** @param {Blob} file @returns {Promise<Blob>} a smaller JPEG, or the file itself where that fails */
async function smaller(file) {
  try {
    const picture = await createImageBitmap(file, { imageOrientation: "from-image" });
    const scale = Math.min(1, SIDE / Math.max(picture.width, picture.height));
    const canvas = document.createElement("canvas");
    canvas.width = Math.round(picture.width * scale);
    canvas.height = Math.round(picture.height * scale);
    const pen = canvas.getContext("2d");
    if (!pen) return file;
    pen.drawImage(picture, 0, 0, canvas.width, canvas.height);
    picture.close();
    const made = await new Promise((/** @type {(blob: Blob | null) => void} */ resolve) => canvas.toBlob(resolve, "image/jpeg", QUALITY));
    return made && made.size > 0 ? made : file;
  } catch {
    return file;
  }
}

/** @param {ArrayBuffer} data @returns {Promise<string>} */
export const sha256 = async (data) => hex(new Uint8Array(await crypto.subtle.digest("SHA-256", data)));

/**
 * @param {File} file @param {string} stem  what it is of, for its name
 * @returns {Promise<import("./store.js").Photo>}
 */
export async function takePhoto(file, stem) {
  const blob = await smaller(file);
  const data = await blob.arrayBuffer();
  const type = ["image/jpeg", "image/png", "image/webp"].includes(blob.type) ? blob.type : "image/jpeg";
  const ending = { "image/png": "png", "image/webp": "webp" }[type] ?? "jpg";
  return { sha256: await sha256(data), data, type, name: `${stem}.${ending}` };
}
