import { fold } from "../rotor/fold.js";
import type { Axis, Hertz, Interval } from "../units.js";
import { type Bands, lineGain, type PlacedNotches, spread } from "./band-power.js";
import type { AxisExcitation, Excitation, LevelExcitation } from "./excitation.js";

/**
 * What the power of one axis at one level rests on beside measurement, per band. Band powers in (deg/s)², chance in
 * (deg/s)⁴.
 */
export interface BandDoubt {
  /** White noise taken off below the log's Nyquist as folded, and put back above it. */
  readonly below: Float64Array;
  readonly above: Float64Array;
  /** Lines that fold, at their true frequency and where the log shows them. */
  readonly linesTrue: Float64Array;
  readonly linesShown: Float64Array;
  /** Variance of the band's power by chance: products of what belongs there and what folded onto it. */
  readonly chance: Float64Array;
}

/** Neighbouring Hann bins and half-overlapping frames share noise: 1.94 · 1.06. */
const SHARED = 2.06;
/**
 * Share of a floor taken for white above the log's Nyquist that may really be there: sensors' own low-passes take from
 * it, tones and wash from other rotors add to it (no source; a sensor of its own corner at a sixth of the loop's band
 * leaves the lower end).
 */
const WHITENESS: Interval = [0.4, 1.2];
/** Share of folded lines that may have been left in the floor where they show; fast changes of speed smear them. */
const LINES_MISSED = 0.2;
const LINES_MISSED_COMMON = 0.35;
/** Frames weigh bursts by where they fall: share of power, one standard deviation. */
const FRAMES = 0.02;
/** The same for chains with notches on rotor speed: what they leave of a line hangs on how well its speed is known. */
const FOLLOWED = 0.03;

/** @param notches that follow the rotors; null: none */
export function bandDoubt(
  excitation: Excitation,
  level: LevelExcitation,
  { axis, bands, notches }: { axis: Axis; bands: Bands; notches: PlacedNotches | null },
): BandDoubt {
  const zeros = (): Float64Array => new Float64Array(bands.axis.hz.length);
  const doubt = { below: zeros(), above: zeros(), linesTrue: zeros(), linesShown: zeros(), chance: zeros() };
  const part = level.axes[axis];
  if (part === undefined) return doubt;
  const { logRate, loopRate } = excitation;
  const nyquist = logRate / 2;
  spread(doubt.below, bands, { low: bands.fromHz, high: nyquist, density: part.folded });
  spread(doubt.above, bands, { low: nyquist, high: loopRate / 2, density: part.whiteAbove });
  addChance(doubt.chance, part, { excitation, bands, frames: level.states.length });
  for (const values of [doubt.below, doubt.above, doubt.chance]) {
    const squared = values === doubt.chance;
    for (let b = 0; notches !== null && b < values.length; b++) {
      values[b] = values[b]! * (squared ? notches.gain[b]! ** 2 : notches.gain[b]!);
    }
  }
  for (const line of part.lines) {
    if (line.hz <= nyquist || line.hz >= loopRate / 2) continue;
    const add = (to: Float64Array, hz: Hertz, gain: number): void => {
      const b = bands.index(hz);
      if (b >= 0) to[b] = to[b]! + line.power * gain;
    };
    const shown = fold(line.hz, logRate);
    add(doubt.linesTrue, line.hz, notches === null ? 1 : lineGain(line, notches));
    add(doubt.linesShown, shown, notches === null ? 1 : (notches.gain[Math.max(0, bands.index(shown))] ?? 1));
  }
  return doubt;
}

/** |own + folded|² less the mean of |folded|² varies by 2 S_own S_folded + S_folded² about S_own. */
function addChance(
  chance: Float64Array,
  { floor, folded }: AxisExcitation,
  at: { readonly excitation: Excitation; readonly bands: Bands; readonly frames: number },
): void {
  const { binWidth } = at.excitation;
  for (let k = 1; k < floor.length - 1; k++) {
    const b = at.bands.index(k * binWidth);
    if (b < 0) continue;
    const variance = (2 * floor[k]! * folded + folded * folded) * SHARED;
    chance[b] = chance[b]! + (variance * binWidth * binWidth) / Math.max(1, at.frames);
  }
}

/** Sums over the bands of a doubt, after a power gain. */
export interface DoubtSum {
  /** By how much the power would rise if all of the white floor above the log's Nyquist were there, over none of it. */
  readonly white: number;
  /** By how much it rises for folded lines being put at their true frequency. */
  readonly lines: number;
  readonly chance: number;
}

/** @param gain power gain per band */
export function sumDoubt(doubt: BandDoubt, gain: (band: number) => number): DoubtSum {
  let [white, lines, chance] = [0, 0, 0];
  for (let b = 0; b < doubt.below.length; b++) {
    const g = gain(b);
    white += g * (doubt.above[b]! - doubt.below[b]!);
    lines += g * (doubt.linesTrue[b]! - doubt.linesShown[b]!);
    chance += g * g * doubt.chance[b]!;
  }
  return { white, lines, chance };
}

/**
 * 95 % interval of an RMS: chance, lines that may not all have been found, and a floor that need not be white.
 *
 * @param power mean square
 * @param sum over the levels
 * @param by whether only a common rotor speed is known, whether the chain has notches that follow it, and the share of
 *   the power, one standard deviation, that hangs on parts of the flight which no frame saw
 */
export function rmsInterval(
  power: number,
  sum: DoubtSum,
  {
    common,
    followed,
    unseenSd,
  }: { readonly common: boolean; readonly followed: boolean; readonly unseenSd: number },
): Interval {
  const frames = Math.hypot(followed ? FOLLOWED : FRAMES, unseenSd) * power;
  const chance = 1.96 * Math.sqrt(sum.chance + frames ** 2);
  const half = Math.hypot(chance, (common ? LINES_MISSED_COMMON : LINES_MISSED) * sum.lines);
  const ends = WHITENESS.map((share) => (share - 1) * sum.white);
  const root = (x: number): number => Math.sqrt(Math.max(0, x));
  return [root(power + Math.min(0, ...ends) - half), root(power + Math.max(0, ...ends) + half)];
}
