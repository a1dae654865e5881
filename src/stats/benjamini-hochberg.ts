export interface Discoveries {
  /** 1 where the hypothesis is rejected, in the order of the p-values given. */
  readonly rejected: Uint8Array;
  readonly count: number;
  /** Adjusted p-values: rejected exactly where at most q. */
  readonly adjusted: Float64Array;
}

/**
 * Benjamini and Hochberg's step-up rule: among all rejections the expected share of false ones is at most q.
 *
 * The largest i with p_(i) ≤ i q / m decides; all smaller p-values are rejected with it, even those that miss their
 * own threshold.
 *
 * @param pValues m probabilities 0..1, any order, independent or positively dependent
 * @param q bound on the false-discovery rate
 * @throws {RangeError} if a p-value is outside 0..1
 * @see Y. Benjamini, Y. Hochberg, J. R. Stat. Soc. B 57, 1995
 * @example benjaminiHochberg([0.01, 0.04, 0.03, 0.5], 0.05).count // 1
 */
export function benjaminiHochberg(pValues: ArrayLike<number>, q: number): Discoveries {
  const count = pValues.length;
  const order = Uint32Array.from({ length: count }, (_, i) => i).sort((a, b) => pValues[a]! - pValues[b]!);
  const adjusted = new Float64Array(count);
  let smallest = 1;
  for (let rank = count; rank >= 1; rank--) {
    const at = order[rank - 1]!;
    const p = pValues[at]!;
    if (!(p >= 0 && p <= 1)) throw new RangeError(`p-value outside 0..1: ${p}`);
    smallest = Math.min(smallest, p * (count / rank));
    adjusted[at] = smallest;
  }
  const rejected = Uint8Array.from(adjusted, (p) => (p <= q ? 1 : 0));
  return { rejected, count: rejected.reduce((sum, r) => sum + r, 0), adjusted };
}
