/**
 * Permissible residual unbalance of a rigid rotor for a balance quality grade: e_per · ω = G.
 *
 * The grade is the velocity of the free rotor's mass centre, not a vibration level of the frame that carries it.
 *
 * @param massKg mass of the rotor, kg
 * @param gradeMmS balance quality grade G, mm/s (6.3 for G6.3)
 * @param rotorHz speed, Hz
 * @returns permissible unbalance in g·mm, and the force it makes at that speed in N
 * @see ISO 21940-11:2016 (formerly ISO 1940-1)
 * @example permissibleUnbalance(2, 6.3, 10000 / 60).unbalanceGmm // 12.032
 */
export function permissibleUnbalance(
  massKg: number,
  gradeMmS: number,
  rotorHz: number,
): { unbalanceGmm: number; forceN: number } {
  const omega = 2 * Math.PI * rotorHz;
  // kg · mm/s ÷ rad/s = kg·mm = 1000 g·mm
  const unbalanceGmm = (1000 * massKg * gradeMmS) / omega;
  return { unbalanceGmm, forceN: massKg * (gradeMmS / 1000) * omega };
}
