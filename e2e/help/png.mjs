// Pictures made small: a PNG of Chromium's is written again with a palette of its own colors, 16 or 256.
import zlib from "node:zlib";
import { chunk, SIGNATURE } from "./photograph.mjs";

/** The rows of an 8-bit RGB or RGBA picture, alpha dropped: {width, height, rgb}. */
export function pixels(png) {
  let at = 8;
  let head;
  const parts = [];
  while (at < png.length) {
    const size = png.readUInt32BE(at);
    const name = png.toString("latin1", at + 4, at + 8);
    const body = png.subarray(at + 8, at + 8 + size);
    if (name === "IHDR") head = { width: body.readUInt32BE(0), height: body.readUInt32BE(4), depth: body[8], kind: body[9] };
    if (name === "IDAT") parts.push(body);
    at += size + 12;
  }
  if (head.depth !== 8 || (head.kind !== 2 && head.kind !== 6)) throw new Error("expected 8-bit RGB or RGBA");
  const each = head.kind === 6 ? 4 : 3;
  const raw = zlib.inflateSync(Buffer.concat(parts));
  const wide = head.width * each;
  const rgb = Buffer.alloc(head.width * head.height * 3);
  let above = Buffer.alloc(wide);
  for (let y = 0; y < head.height; y += 1) {
    const filter = raw[y * (wide + 1)];
    const row = Buffer.from(raw.subarray(y * (wide + 1) + 1, (y + 1) * (wide + 1)));
    for (let x = 0; x < wide; x += 1) {
      const left = x >= each ? row[x - each] : 0;
      const corner = x >= each ? above[x - each] : 0;
      row[x] = (row[x] + [0, left, above[x], (left + above[x]) >> 1, nearest(left, above[x], corner)][filter]) & 255;
    }
    for (let x = 0; x < head.width; x += 1) row.copy(rgb, (y * head.width + x) * 3, x * each, x * each + 3);
    above = row;
  }
  return { width: head.width, height: head.height, rgb };
}

/** The predictor of PNG's fourth filter. */
function nearest(left, above, corner) {
  const guess = left + above - corner;
  const [a, b, c] = [left, above, corner].map((value) => Math.abs(guess - value));
  if (a <= b && a <= c) return left;
  return b <= c ? above : corner;
}

/** The same picture with at most `most` colors: those that most pixels have, the rest to the nearest. */
export function small(png, most = 16) {
  const { width, height, rgb } = pixels(png);
  const counts = new Map();
  for (let at = 0; at < rgb.length; at += 3) {
    const color = rgb.readUIntBE(at, 3);
    counts.set(color, (counts.get(color) ?? 0) + 1);
  }
  const palette = spread([...counts].sort((one, other) => other[1] - one[1] || one[0] - other[0]), most);
  const index = new Map();
  for (const color of counts.keys()) index.set(color, closest(palette, color));
  const bits = palette.length <= 16 ? 4 : 8;
  const wide = Math.ceil((width * bits) / 8);
  const rows = Buffer.alloc(height * (wide + 1));
  for (let y = 0; y < height; y += 1) {
    for (let x = 0; x < width; x += 1) {
      const which = index.get(rgb.readUIntBE((y * width + x) * 3, 3));
      const at = y * (wide + 1) + 1 + (bits === 8 ? x : x >> 1);
      rows[at] |= bits === 8 || x % 2 ? which : which << 4;
    }
  }
  const header = Buffer.alloc(13);
  header.writeUInt32BE(width, 0);
  header.writeUInt32BE(height, 4);
  header.set([bits, 3, 0, 0, 0], 8);
  const colors = Buffer.alloc(palette.length * 3);
  palette.forEach((color, at) => colors.writeUIntBE(color, at * 3, 3));
  return Buffer.concat([
    SIGNATURE, chunk("IHDR", header), chunk("PLTE", colors), chunk("IDAT", zlib.deflateSync(rows, { level: 9 })), chunk("IEND", Buffer.alloc(0)),
  ]);
}

/** How unlike two colors are. */
function apart(one, other) {
  let sum = 0;
  for (const shift of [16, 8, 0]) sum += (((one >> shift) & 255) - ((other >> shift) & 255)) ** 2;
  return sum;
}

/** The commonest colors, none of them near another that is taken, until there are `most`. */
function spread(counted, most) {
  const taken = [];
  for (const near of [1600, 400, 100, 0]) {
    for (const [color] of counted.slice(0, 4000)) {
      if (taken.length >= most) return taken;
      if (taken.every((other) => apart(color, other) > near)) taken.push(color);
    }
  }
  return taken;
}

/** Which color of the palette is nearest. */
function closest(palette, color) {
  let best = 0;
  for (let at = 1; at < palette.length; at += 1) if (apart(palette[at], color) < apart(palette[best], color)) best = at;
  return best;
}
