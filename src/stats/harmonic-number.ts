/** H_0 … H_255, summed; larger ones come from the asymptotic series, which is exact to double precision there. */
const SUMMED = 256;
const EULER_GAMMA = 0.5772156649015329;
const table = new Float64Array(SUMMED);
for (let n = 1; n < SUMMED; n++) table[n] = table[n - 1]! + 1 / n;

/**
 * Harmonic number H_n = 1 + 1/2 + … + 1/n.
 *
 * @param n whole number, 0 or more
 * @throws {RangeError} otherwise
 * @see D. E. Knuth, The Art of Computer Programming 1, section 1.2.7 (asymptotic series)
 * @example harmonicNumber(4) // 25/12
 */
export function harmonicNumber(n: number): number {
  if (!Number.isInteger(n) || n < 0) throw new RangeError(`harmonic number of ${n}`);
  if (n < SUMMED) return table[n]!;
  const square = n * n;
  return Math.log(n) + EULER_GAMMA + 1 / (2 * n) - 1 / (12 * square) + 1 / (120 * square * square);
}
