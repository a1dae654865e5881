import type { AxisMode } from "./axis-mode.js";
import { BIN_CORRELATION, type FixedAverage, SHAPE_PER_FRAME } from "./masked-average.js";
import type { ResolutionBank } from "./resolution-bank.js";

/** How much sharper a peak gets when the frames are aligned to rotor speed than when they are not. */
export interface MovingTest {
  /** ln contrast aligned less ln contrast fixed: above 0 for what moves. */
  readonly gain: number;
  readonly sd: number;
  /** Where the peak lies in the aligned spectrum: its frequency at median speed, before folding, Hz. */
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

/** A line above this order is too faint to be taken for a structure (common practice, no source). */
const MOST_ORDER = 8;

/** How a peak would move with speed, were it a line: at or above the logged frequency, folded or not. */
interface Path {
  /** Frequency before folding, Hz. */
  readonly trueHz: number;
  /** 1: it rises in the log as it rises truly; −1: it falls. */
  readonly sense: 1 | -1;
  readonly power: number;
}

/** Paths of a line that shows at a frequency: speed goes with the driver to a power that is only known for speeds. */
function pathsOf(hz: number, { base }: ResolutionBank, rotorHz: number | null): Path[] {
  if (!base.classes!.isSpeed) return THROTTLE_POWERS.map((power) => ({ trueHz: hz, sense: 1, power }));
  const { sampleRate } = base.plane.grid;
  const folded: Path[] = [
    { trueHz: sampleRate - hz, sense: -1, power: 1 },
    { trueHz: sampleRate + hz, sense: 1, power: 1 },
  ];
  const likely = folded.filter((p) => rotorHz !== null && p.trueHz < MOST_ORDER * rotorHz);
  return [{ trueHz: hz, sense: 1, power: 1 }, ...likely];
}

/**
 * Is a peak sharper in the spectrum averaged along constant order than in the one averaged along constant frequency?
 * What turns is, a structure is not. Both are searched over the same places and widths, so that choosing the best
 * favours neither; the best of the paths counts. A line from above the log's Nyquist is followed the way it moves there, up to
 * one and a half times the log rate.
 *
 * @param rotorHz median reported rotor speed, which tells what may lie folded; null: that cannot be told
 * @returns null when the speed hardly varies or too few cells are free
 */
export function movingTest(
  bank: ResolutionBank,
  mode: AxisMode,
  rotorHz: number | null = null,
): MovingTest | null {
  if (bank.base.classes === null) return null;
  let best: MovingTest | null = null;
  for (const path of pathsOf(mode.frequencyHz, bank, rotorHz)) {
    const test = alongPath(bank, mode, path);
    if (test !== null && (best === null || test.gain > best.gain)) best = test;
  }
  return best;
}

/** Contrast along a path against contrast along constant frequency. */
function alongPath(bank: ResolutionBank, mode: AxisMode, { trueHz, sense, power }: Path): MovingTest | null {
  const f = mode.frequencyHz;
  const { df } = bank.averages[mode.axis]!;
  const spread = Math.sqrt(1 + bank.base.classes!.thrustSpan) - 1;
  const reach = Math.min(0.5 * spread * f, 0.15 * f) + 2 * df;
  const widths = [1.5 * df, mode.dampingRatio * f, 0.012 * f, 0.025 * f].filter((w) => w >= 1.5 * df);
  const margin = reach + 0.2 * f + 10 * df;
  const average = bank.zoom(mode.axis, {
    step: 0,
    fromHz: f - margin,
    toHz: f + margin,
    classes: false,
    follow: (ratio) => sense * trueHz * (ratio ** power - 1),
  });
  if (average === null) return null;
  const fixed = bestContrast(bank.averages[mode.axis]!, f, reach, widths);
  const moving = bestContrast(average, f, reach, widths);
  const gain = moving.value - fixed.value;
  const atHz = trueHz + sense * (moving.atHz - f);
  return Number.isFinite(gain) ? { gain, sd: Math.hypot(moving.sd, fixed.sd), atHz } : null;
}
