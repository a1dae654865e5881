import type { AxisMode } from "./axis-mode.js";
import { BIN_CORRELATION, type FixedAverage, SHAPE_PER_FRAME } from "./masked-average.js";
import type { ResolutionBank } from "./resolution-bank.js";

/** How much sharper a peak gets when the frames are aligned to rotor speed than when they are not. */
export interface MovingTest {
  /** ln contrast aligned less ln contrast fixed: above 0 for what moves. */
  readonly gain: number;
  readonly sd: number;
  /** Where the peak lies in the aligned spectrum: its frequency at median speed, Hz. */
  readonly atHz: number;
}

/** Without a speed report only throttle is known; speed goes with it to a power between these. */
const THROTTLE_POWERS = [1, 1.4, 1.8];

export interface Contrast {
  readonly value: number;
  readonly sd: number;
  readonly atHz: number;
}

/** Frame-weighted mean of the density over lo ≤ |f − at| < hi. */
function ring(average: FixedAverage, at: number, lo: number, hi: number): { mean: number; cells: number } {
  let weight = 0;
  let sum = 0;
  const first = Math.max(1, Math.ceil((at - hi) / average.df));
  const last = Math.min(average.density.length - 1, Math.floor((at + hi) / average.df));
  for (let b = first; b <= last; b++) {
    const n = average.frames[b]!;
    if (!(average.density[b]! > 0) || Math.abs(b * average.df - at) < lo) continue;
    weight += n;
    sum += n * average.density[b]!;
  }
  return { mean: sum / weight, cells: weight * SHAPE_PER_FRAME };
}

/** Highest core-over-skirt contrast near a frequency, over places and core widths. */
export function bestContrast(
  average: FixedAverage,
  atHz: number,
  reachHz: number,
  widths: readonly number[],
): Contrast {
  let best: Contrast = { value: Number.NEGATIVE_INFINITY, sd: 1, atHz };
  for (let f = atHz - reachHz; f <= atHz + reachHz; f += average.df) {
    for (const w of widths) {
      const core = ring(average, f, 0, w);
      const skirt = ring(average, f, Math.max(2 * w, 3 * average.df), Math.max(5 * w, 9 * average.df));
      const value = Math.log(core.mean / skirt.mean);
      if (!(value > best.value) || core.cells < 6 || skirt.cells < 6) continue;
      best = { value, sd: Math.sqrt(BIN_CORRELATION / core.cells + BIN_CORRELATION / skirt.cells), atHz: f };
    }
  }
  return best;
}

/** A peak surely moves when aligning the frames to rotor speed sharpens it by so many standard deviations, and ln. */
const SURE_SD = 3;
const SURE_GAIN = 0.5;

/** Whether the test leaves no doubt. */
export function surelyMoves(test: MovingTest | null): test is MovingTest {
  return test !== null && test.gain > SURE_GAIN && test.gain > SURE_SD * test.sd;
}

/**
 * Is a peak sharper in the spectrum averaged along constant order than in the one averaged along constant frequency?
 * What turns is, a structure is not. Both are searched over the same places and widths, so that choosing the best
 * favours neither.
 *
 * @returns null when the speed hardly varies or too few cells are free
 */
export function movingTest(bank: ResolutionBank, mode: AxisMode): MovingTest | null {
  const { classes } = bank.base;
  if (classes === null) return null;
  const f = mode.frequencyHz;
  const { df } = bank.averages[mode.axis]!;
  const spread = Math.sqrt(1 + classes.thrustSpan) - 1;
  const reach = Math.min(0.5 * spread * f, 0.15 * f) + 2 * df;
  const widths = [1.5 * df, mode.dampingRatio * f, 0.012 * f, 0.025 * f].filter((w) => w >= 1.5 * df);
  const margin = reach + 0.2 * f + 10 * df;
  const place = { step: 0, fromHz: f - margin, toHz: f + margin, classes: false };
  const fixed = bestContrast(bank.averages[mode.axis]!, f, reach, widths);
  let best: MovingTest | null = null;
  for (const power of classes.isSpeed ? [1] : THROTTLE_POWERS) {
    const follow = (ratio: number): number => f * (ratio ** power - 1);
    const average = bank.zoom(mode.axis, { ...place, follow });
    if (average === null) continue;
    const moving = bestContrast(average, f, reach, widths);
    const gain = moving.value - fixed.value;
    if (Number.isFinite(gain) && (best === null || gain > best.gain)) {
      best = { gain, sd: Math.hypot(moving.sd, fixed.sd), atHz: moving.atHz };
    }
  }
  return best;
}
