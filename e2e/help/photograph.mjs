// Photographs for the tests: small PNG pictures, each unlike the others, made with no library.
import zlib from "node:zlib";

/** The first bytes of every PNG. */
export const SIGNATURE = Buffer.from([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]);

/** A PNG of `side` px whose noise depends on `seed`: its SHA-256 is its own. */
export function photograph(seed, side = 96) {
  const rows = Buffer.alloc(side * (side * 3 + 1));
  let state = (seed + 1) * 2654435761 >>> 0;
  for (let at = 0; at < rows.length; at += 1) {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    rows[at] = at % (side * 3 + 1) === 0 ? 0 : state >>> 24;
  }
  const header = Buffer.alloc(13);
  header.writeUInt32BE(side, 0);
  header.writeUInt32BE(side, 4);
  header.set([8, 2, 0, 0, 0], 8);
  return Buffer.concat([SIGNATURE, chunk("IHDR", header), chunk("IDAT", zlib.deflateSync(rows)), chunk("IEND", Buffer.alloc(0))]);
}

/** One chunk of a PNG: length, name, bytes, checksum. */
export function chunk(name, bytes) {
  const named = Buffer.concat([Buffer.from(name, "latin1"), bytes]);
  const whole = Buffer.alloc(named.length + 8);
  whole.writeUInt32BE(bytes.length, 0);
  named.copy(whole, 4);
  whole.writeUInt32BE(checksum(named), named.length + 4);
  return whole;
}

/** CRC-32 as PNG has it. */
function checksum(bytes) {
  let value = 0xffffffff;
  for (const byte of bytes) {
    value ^= byte;
    for (let bit = 0; bit < 8; bit += 1) value = (value >>> 1) ^ (value & 1 ? 0xedb88320 : 0);
  }
  return (value ^ 0xffffffff) >>> 0;
}
