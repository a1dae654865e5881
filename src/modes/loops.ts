import { type AxisMode, prominenceDb } from "./axis-mode.js";
import type { ScannedAxis } from "./first-look.js";
import { fitSeed } from "./fit-seed.js";
import { type MergedMode, mergeAxes } from "./merge.js";
import { bestContrast, movingTest, surelyMoves } from "./moving.js";

const FROM_HZ = 8;
/** Control loops oscillate below this (common practice, no source). */
const TO_HZ = 60;
/** Places looked at, as a ratio: half the width of what is looked for. */
const STEP = 1.08;
const DAMPING = 0.05;
/** ln contrast, and standard deviations of it, from which a place is worth a fit. */
const LEAST_CONTRAST = 1;
const LEAST_SD = 5;
const LEAST_DROP = 60;
const LEAST_PROMINENCE_DB = 6;
const MOST_DAMPING = 0.15;

/** Contrast at each place of an axis when the frames are aligned to speed there. */
function places(axis: ScannedAxis): { hz: number; contrast: number }[] {
  const { bank } = axis;
  const top = Math.min(axis.lineFreeHz, TO_HZ);
  const found: { hz: number; contrast: number }[] = [];
  for (let hz = FROM_HZ; hz < top; hz *= STEP) {
    const request = {
      step: 0,
      fromHz: 0.5 * hz,
      toHz: 1.6 * hz,
      follow: (ratio: number) => hz * (ratio - 1),
      classes: false,
    };
    const average = bank.zoom(axis.axis, request);
    if (average === null) continue;
    const c = bestContrast(average, hz, 0.04 * hz, [Math.max(1.5 * average.df, DAMPING * hz)]);
    found.push({ hz: c.atHz, contrast: c.value > LEAST_SD * c.sd ? c.value : 0 });
  }
  return found;
}

/** The strongest place of an axis, fitted along constant order; null when it is no clear, moving peak. */
function loopOnAxis(axis: ScannedAxis): AxisMode | null {
  const best = places(axis).reduce((a, b) => (b.contrast > a.contrast ? b : a), {
    hz: 0,
    contrast: LEAST_CONTRAST,
  });
  if (best.hz === 0) return null;
  const seed = { frequencyHz: best.hz, dampingRatio: DAMPING, gain: Math.exp(best.contrast), searchP: 0 };
  const mode = fitSeed(axis, seed, [], (ratio) => best.hz * (ratio - 1));
  if (mode === null || mode.drop < LEAST_DROP || prominenceDb(mode.gain) < LEAST_PROMINENCE_DB) return null;
  return mode.dampingRatio < MOST_DAMPING && surelyMoves(movingTest(axis.bank, mode)) ? mode : null;
}

/**
 * Oscillations of a control loop: their frequency goes with the loop's gain, so with rotor speed, and they lie where
 * nothing that turns leaves a line. Averaged along constant frequency they smear out, so they are looked for along
 * constant order.
 *
 * @param axes after the first pass
 * @param known modes that are not to be found again
 * @returns modes whose drift is that of the speed itself; none where the speed is unknown or hardly varies
 */
export function findLoops(axes: readonly ScannedAxis[], known: readonly MergedMode[]): MergedMode[] {
  const classes = axes[0]?.bank.base.classes;
  if (!classes?.isSpeed) return [];
  const found = axes.flatMap((axis) => loopOnAxis(axis) ?? []);
  return mergeAxes(found)
    .filter((m) => known.every((k) => Math.abs(k.frequencyHz / m.frequencyHz - 1) > 0.15))
    .map((m) => {
      const drift = { hz: (m.frequencyHz * classes.thrustSpan) / 2, sdHz: 0.005 * m.frequencyHz };
      return { ...m, drift, measuredDrift: drift };
    });
}
