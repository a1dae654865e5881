import { deflateSync } from "node:zlib";
import { scheme } from "vega-scale";

/**
 * The scale of level for heat maps: cividis, perceptually uniform and made to look alike to people with the common
 * forms of colour blindness (J. R. Nuñez, C. R. Anderton, R. S. Renslow, PLoS ONE 13(7), 2018, e0199239).
 */
const SCALE = "cividis";
const STEPS = 254;
/** Palette entry of a cell that holds nothing. */
const NOTHING = 255;

type Rgb = readonly [number, number, number];

function rgb(text: string): Rgb {
  const hex = /^#([0-9a-f]{6})$/i.exec(text);
  if (hex) return [0, 2, 4].map((i) => Number.parseInt(hex[1]!.slice(i, i + 2), 16)) as unknown as Rgb;
  const parts = /rgb\((\d+), ?(\d+), ?(\d+)\)/.exec(text);
  if (!parts) throw new RangeError(`colour ${text}`);
  return [Number(parts[1]), Number(parts[2]), Number(parts[3])];
}

let cached: Uint8Array | null = null;

/** 256 colours: the scale, then "nothing here" as the last, which is transparent. */
function palette(): Uint8Array {
  if (cached) return cached;
  const at = scheme(SCALE);
  cached = new Uint8Array(768);
  for (let i = 0; i <= STEPS; i++) cached.set(rgb(at(i / STEPS)), i * 3);
  return cached;
}

/** Levels as colour numbers: the lowest of the domain is 0, the highest 254, what is not finite 255. */
export function colourNumbers(levels: ArrayLike<number>, [low, high]: readonly [number, number]): Uint8Array {
  const out = new Uint8Array(levels.length);
  const span = high - low;
  for (let i = 0; i < out.length; i++) {
    const level = levels[i]!;
    out[i] = Number.isFinite(level)
      ? Math.round(Math.min(1, Math.max(0, (level - low) / span)) * STEPS)
      : NOTHING;
  }
  return out;
}

/**
 * A picture of palette colours as a PNG data address, small enough for a page.
 *
 * @param pixels colour numbers, row by row from the top, width × height
 * @see ISO/IEC 15948 (PNG), colour type 3
 */
export function palettePng(pixels: Uint8Array, width: number, height: number): string {
  const lines = new Uint8Array((width + 1) * height);
  for (let y = 0; y < height; y++)
    lines.set(pixels.subarray(y * width, (y + 1) * width), y * (width + 1) + 1);
  const head = new DataView(new ArrayBuffer(13));
  head.setUint32(0, width);
  head.setUint32(4, height);
  // Eight bits, palette, deflate, no filter, not interlaced.
  head.setUint8(8, 8);
  head.setUint8(9, 3);
  const clear = new Uint8Array(256).fill(255);
  clear[NOTHING] = 0;
  const png = Buffer.concat([
    Uint8Array.of(137, 80, 78, 71, 13, 10, 26, 10),
    chunk("IHDR", new Uint8Array(head.buffer)),
    chunk("PLTE", palette()),
    chunk("tRNS", clear),
    chunk("IDAT", deflateSync(lines, { level: 6 })),
    chunk("IEND", new Uint8Array(0)),
  ]);
  return `data:image/png;base64,${png.toString("base64")}`;
}

function chunk(name: string, body: Uint8Array): Buffer {
  const typed = Buffer.concat([Buffer.from(name, "latin1"), body]);
  const out = Buffer.alloc(body.length + 12);
  out.writeUInt32BE(body.length, 0);
  typed.copy(out, 4);
  out.writeUInt32BE(crc32(typed), body.length + 8);
  return out;
}

const CRC_TABLE = Uint32Array.from({ length: 256 }, (_, n) => {
  let c = n;
  for (let k = 0; k < 8; k++) c = c & 1 ? 0xedb88320 ^ (c >>> 1) : c >>> 1;
  return c >>> 0;
});

/** Cyclic redundancy check of a chunk (ISO/IEC 15948, annex D). */
function crc32(bytes: Uint8Array): number {
  let c = 0xffffffff;
  for (const byte of bytes) c = CRC_TABLE[(c ^ byte) & 0xff]! ^ (c >>> 8);
  return (c ^ 0xffffffff) >>> 0;
}
