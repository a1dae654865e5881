import { describe, expect, it } from "vitest";
import {
  bandFactorOfDamping,
  bandFactorOfFrequency,
  lawOfDamping,
  lawOfFrequency,
} from "../../src/modes/uncertainty-law.js";
import { vector } from "../vectors/vector.js";

interface LawRow {
  zeta: number;
  Nc: number;
  kappa: number;
  Bf: number;
  Bzeta: number;
  cov_f: number;
  cov_zeta: number;
  cov_f_numeric: number;
  cov_zeta_numeric: number;
}

// S. K. Au, "Uncertainty law in ambient modal identification, Part I", Mech. Syst. Signal Process. 48, 2014;
// numeric columns: Whittle-Fisher information by NumPy (tests/vectors/oma_uncertainty.json)
describe("the uncertainty law of ambient modal identification", () => {
  const { rows } = vector<{ rows: LawRow[] }>("oma_uncertainty");

  it("gives the tabulated band factors and deviations", () => {
    for (const r of rows) {
      const law = { dampingRatio: r.zeta, periods: r.Nc, kappa: r.kappa };
      expect(bandFactorOfFrequency(r.kappa)).toBeCloseTo(r.Bf, 9);
      expect(bandFactorOfDamping(r.kappa)).toBeCloseTo(r.Bzeta, 9);
      expect(lawOfFrequency(law)).toBeCloseTo(r.cov_f, 12);
      expect(lawOfDamping(law)).toBeCloseTo(r.cov_zeta, 12);
    }
  });

  it("agrees with the numeric Fisher information within 0.3 %", () => {
    for (const r of rows) {
      expect(Math.abs(r.cov_f_numeric / r.cov_f - 1)).toBeLessThan(0.003);
      expect(Math.abs(r.cov_zeta_numeric / r.cov_zeta - 1)).toBeLessThan(0.003);
    }
  });

  it("lawOfDamping: ζ 0.01, 1000 periods, κ 10: 14.83 % on ζ and 0.1350 % on f", () => {
    const law = { dampingRatio: 0.01, periods: 1000, kappa: 10 };
    expect(lawOfDamping(law)).toBeCloseTo(0.1483, 4);
    expect(lawOfFrequency(law)).toBeCloseTo(0.00135, 5);
    const long = { dampingRatio: 0.02, periods: 10000, kappa: 10 };
    expect(lawOfDamping(long)).toBeCloseTo(0.0332, 4);
    expect(lawOfFrequency(long)).toBeCloseTo(0.000604, 6);
  });
});
