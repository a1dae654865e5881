/**
 * Advance widths in 1/1000 of the letter size for ASCII 32..126: Helvetica as in the Adobe Font Metrics of the
 * core fonts (from memory), which Arial and Liberation Sans share.
 */
const ASCII = [
  278, 278, 355, 556, 556, 889, 667, 191, 333, 333, 389, 584, 278, 333, 278, 278, 556, 556, 556, 556, 556,
  556, 556, 556, 556, 556, 278, 278, 584, 584, 584, 556, 1015, 667, 667, 722, 722, 667, 611, 778, 722, 278,
  500, 667, 556, 833, 722, 778, 667, 778, 722, 667, 611, 722, 667, 944, 667, 667, 611, 278, 278, 278, 469,
  556, 333, 556, 556, 500, 556, 556, 278, 556, 556, 222, 222, 500, 222, 833, 556, 556, 556, 556, 333, 500,
  278, 556, 500, 722, 500, 500, 500, 334, 260, 334, 584,
];
/** Faces differ a little: room for 6 % more. */
const SPARE = 1.06;

/**
 * Width of a line of text in the drawing's units, a little generously.
 *
 * @param size letter size in the same units
 */
export function textWidth(text: string, size: number): number {
  let width = 0;
  for (const c of text) {
    const code = c.codePointAt(0)!;
    width += ASCII[code - 32] ?? (code < 0x2e80 ? 600 : 1000);
  }
  return (width / 1000) * size * SPARE;
}
