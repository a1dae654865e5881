import type { ModesEstimate } from "../modes/mode.js";
import type { RotorEstimate } from "../rotor/rotor.js";
import { AXES, type Hertz } from "../units.js";
import type { Chain, FilterStep, LowPassStep, RotorNotchStep } from "./chain.js";
import { strongOrders } from "./line-plan.js";
import type { Predictor } from "./predictor.js";

/** Quality of notches on offer: narrow enough to cost little delay, wide enough for speed that is off by a percent or two (common practice, no source). */
export const NOTCH_Q = 5;
/** Harmonics that rotor notches may take, at most. */
const MOST_NOTCHED = 3;

const lowPass = (order: 1 | 2, corner: LowPassStep["corner"]): LowPassStep => ({
  kind: "low-pass",
  order,
  corner,
});

/** What each part of a chain may be, the empty choice first. */
export interface Menu {
  readonly rotorNotches: readonly (readonly FilterStep[])[];
  readonly notches: readonly (readonly FilterStep[])[];
  readonly gyroLowPass: readonly (readonly FilterStep[])[];
  readonly dtermLowPass: readonly (readonly FilterStep[])[];
}

const GYRO_CORNERS = [300, 200, 130, 85, 55] as const;
const DTERM_CORNERS = [280, 210, 160, 120, 90, 68, 50, 38, 28, 20] as const;
/** Ratio of the corner at full throttle to that at zero, for low-passes that follow throttle: about that of rotor speed. */
const OPENING = 1.5;

/**
 * What a search may combine on this craft.
 *
 * @param lowestNotchHz rotor notches stay above it, so that they do not eat into the loop's own band
 */
export function menuOf(
  found: { readonly rotor: RotorEstimate; readonly modes: ModesEstimate },
  lowestNotchHz: Hertz,
): Menu {
  const sets = rotorNotchSets(found.rotor, lowestNotchHz);
  const mode = found.modes.modes.find((m) => m.kind === "structure" && m.frequencyHz > lowestNotchHz);
  const onMode: FilterStep[] = mode ? [{ kind: "notch", centreHz: mode.frequencyHz, q: NOTCH_Q }] : [];
  return {
    rotorNotches: [[], ...sets.map((step) => [step])],
    notches: mode ? [[], onMode] : [[]],
    gyroLowPass: [[], ...GYRO_CORNERS.flatMap((hz) => [[lowPass(1, hz)], [lowPass(2, hz)]])],
    dtermLowPass: [
      [],
      ...DTERM_CORNERS.flatMap((hz) => [
        [lowPass(1, hz)],
        [lowPass(2, hz)],
        [lowPass(2, { atZeroHz: hz / Math.sqrt(OPENING), atFullHz: hz * Math.sqrt(OPENING) })],
      ]),
    ],
  };
}

/** The strongest order alone, the two strongest, … */
export function rotorNotchSets(rotor: RotorEstimate, lowestHz: Hertz): RotorNotchStep[] {
  const orders = strongOrders(rotor)
    .map((line) => line.order)
    .filter((order) => Number.isInteger(order));
  return Array.from({ length: Math.min(MOST_NOTCHED, orders.length) }, (_, n) => ({
    kind: "rotor notches",
    orders: orders.slice(0, n + 1).sort((a, b) => a - b),
    q: NOTCH_Q,
    lowestHz,
  }));
}

/**
 * Chains that are common in the trade, whatever this flight needs, to show what they would do here.
 *
 * The second is what a very quiet build flies (common practice, no source): no gyro low-pass, notches on rotor speed,
 * one more notch on the strongest frequency left, and a second-order D-term low-pass from 75 to 110 Hz with throttle.
 */
export function exampleChains(predictor: Predictor, rotor: RotorEstimate, lowestNotchHz: Hertz): Chain[] {
  const widest = rotorNotchSets(rotor, lowestNotchHz).slice(-1);
  const tracking = peakLeft(predictor, widest, lowestNotchHz);
  const notch: FilterStep[] = tracking === null ? [] : [{ kind: "notch", centreHz: tracking, q: NOTCH_Q }];
  return [
    { gyro: [], dterm: [lowPass(2, 100)] },
    { gyro: [...widest, ...notch], dterm: [lowPass(2, { atZeroHz: 75, atFullHz: 110 })] },
    { gyro: [lowPass(2, 100)], dterm: [lowPass(2, 70)] },
  ];
}

/** Bands on either side over which a peak is read, and those over which its surroundings are. */
const PEAK_BANDS = 3;
const AROUND_BANDS = 30;

/**
 * Frequency of the strongest peak that some gyro steps leave, all axes together: the one with the most power above
 * its surroundings.
 *
 * @returns Hz; null when nothing is left
 */
export function peakLeft(predictor: Predictor, steps: readonly FilterStep[], lowestHz: Hertz): Hertz | null {
  const hz = predictor.bands.axis.hz;
  const power = new Float64Array(hz.length);
  for (const axis of AXES) {
    predictor.gyroPower(steps, axis).forEach((v, b) => {
      // bands widen with frequency: per hertz, so that a flat floor has no slope
      power[b] = power[b]! + v / hz[b]!;
    });
  }
  const mean = (from: number, to: number): number => {
    let sum = 0;
    for (let j = from; j <= to; j++) sum += power[j]!;
    return sum / (to - from + 1);
  };
  let best: { readonly hz: Hertz; readonly excess: number } | null = null;
  for (let b = AROUND_BANDS; b < hz.length - AROUND_BANDS; b++) {
    if (hz[b]! < lowestHz || hz[b]! > HIGHEST_PEAK_SHARE * predictor.bands.axis.rate) continue;
    const beside = Math.max(
      mean(b - AROUND_BANDS, b - PEAK_BANDS - 1),
      mean(b + PEAK_BANDS + 1, b + AROUND_BANDS),
    );
    const excess = hz[b]! * (mean(b - PEAK_BANDS, b + PEAK_BANDS) - beside);
    if (best === null || excess > best.excess) best = { hz: hz[b]!, excess };
  }
  return best?.hz ?? null;
}

const HIGHEST_PEAK_SHARE = 0.4;
