import type { Section } from "./section.js";

/** A section with its memory. Its coefficients may be exchanged between samples: that is how a tracking filter runs. */
export interface RunningSection {
  section: Section;
  /** One sample in, one out. */
  step(x: number): number;
}

/**
 * A section at work, transposed direct form II, at rest to begin with.
 *
 * @see A. V. Oppenheim, R. W. Schafer, Discrete-Time Signal Processing, section 6.3
 */
export function runningSection(section: Section): RunningSection {
  let s1 = 0;
  let s2 = 0;
  const running: RunningSection = {
    section,
    step(x) {
      const { a, b } = running.section;
      const y = b[0] * x + s1;
      s1 = b[1] * x - a[1] * y + s2;
      s2 = b[2] * x - a[2] * y;
      return y;
    },
  };
  return running;
}

/**
 * Runs a series through a chain that does not change.
 *
 * @param x samples at the rate for which the sections were made
 * @returns as many samples, double precision
 * @example runSections([lowPass2(150, 4000)], [0, 1, 2, 3])[1] // 0.0118576826432
 */
export function runSections(sections: readonly Section[], x: ArrayLike<number>): Float64Array {
  const running = sections.map(runningSection);
  return Float64Array.from(x, (value) => running.reduce((v, r) => r.step(v), value));
}
