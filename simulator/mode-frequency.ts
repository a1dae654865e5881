import type { Clock } from "./clock.js";
import type { ModeSpec } from "./scenario.js";
import { airTicks, meanOf, quantiles } from "./summary.js";

/** Range of thrust over the flight, relative to reference: 5th, 50th and 95th percentile of mean (speed / reference)². */
export interface ThrustRange {
  readonly series: Float64Array;
  readonly low: number;
  readonly median: number;
  readonly high: number;
}

export function thrustRange(hz: readonly Float64Array[], referenceHz: number, clock: Clock): ThrustRange {
  const series = meanOf(hz).map((f) => (f / referenceHz) ** 2);
  const [low, median, high] = quantiles(airTicks(series, clock), [0.05, 0.5, 0.95]) as [
    number,
    number,
    number,
  ];
  return { series, low, median, high };
}

/** Least range of thrust over which a mode's stated drift is spread: a hover does not soften anything. */
const LEAST_SPAN = 0.5;

/**
 * Natural frequency of a mode at every tick. A structure softens in proportion to thrust, by `drift` from the 5th to
 * the 95th percentile (less where thrust hardly varies), and has its stated frequency at median thrust. A loop
 * oscillation follows the square root of thrust, i.e. speed.
 */
export function modeFrequency(mode: ModeSpec, thrust: ThrustRange): Float64Array {
  if (mode.kind === "loop") {
    return thrust.series.map(
      (x) => mode.frequencyHz * Math.min(1.6, Math.max(0.5, x / thrust.median)) ** 0.5,
    );
  }
  const drift = mode.drift ?? 0;
  const span = Math.max(thrust.high - thrust.low, LEAST_SPAN);
  return thrust.series.map((x) => {
    const place = Math.min(1, Math.max(-1, (x - thrust.median) / span));
    return mode.frequencyHz * (1 - drift * place);
  });
}

/** Natural frequency at the 95th percentile of thrust less that at the 5th, Hz. */
export function driftHz(mode: ModeSpec, thrust: ThrustRange): number {
  const at = (x: number): number => modeFrequency(mode, { ...thrust, series: Float64Array.of(x) })[0]!;
  return at(thrust.high) - at(thrust.low);
}
