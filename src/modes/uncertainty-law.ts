/** A mode and a record, for the uncertainty law. */
export interface LawInput {
  readonly dampingRatio: number;
  /** Record length in natural periods, N_c. */
  readonly periods: number;
  /** The band used is f (1 ± κζ). */
  readonly kappa: number;
}

/** Share of the information on f that a band f (1 ± κζ) holds. */
export function bandFactorOfFrequency(kappa: number): number {
  return (2 / Math.PI) * (Math.atan(kappa) - kappa / (kappa * kappa + 1));
}

/** Share of the information on ζ that a band f (1 ± κζ) holds. */
export function bandFactorOfDamping(kappa: number): number {
  const angle = Math.atan(kappa);
  return (2 / Math.PI) * (angle + kappa / (kappa * kappa + 1) - (2 * angle * angle) / kappa);
}

/**
 * Smallest coefficient of variation of a natural frequency identified from ambient data, whatever the method:
 * √(ζ / (2π N_c B_f)).
 *
 * @see S. K. Au, "Uncertainty law in ambient modal identification, Part I", Mech. Syst. Signal Process. 48, 2014
 * @example lawOfFrequency({ dampingRatio: 0.01, periods: 1000, kappa: 10 }) // 0.00135
 */
export function lawOfFrequency({ dampingRatio, periods, kappa }: LawInput): number {
  return Math.sqrt(dampingRatio / (2 * Math.PI * periods * bandFactorOfFrequency(kappa)));
}

/**
 * The same for the damping ratio: 1 / √(2π ζ N_c B_ζ). An interval narrower than this law is wrong.
 *
 * @example lawOfDamping({ dampingRatio: 0.01, periods: 1000, kappa: 10 }) // 0.1483
 */
export function lawOfDamping({ dampingRatio, periods, kappa }: LawInput): number {
  return 1 / Math.sqrt(2 * Math.PI * dampingRatio * periods * bandFactorOfDamping(kappa));
}
