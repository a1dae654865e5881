import type { Scenario } from "../../simulator/scenario.js";
import { simulateFlight } from "../../simulator/simulate.js";
import type { Truth } from "../../simulator/truth.js";
import { identifyModes } from "../../src/modes/identify-modes.js";
import { imbalanceNearModes } from "../../src/modes/imbalance-near-modes.js";
import { estimateRotor } from "../../src/rotor/estimate-rotor.js";
import type { MotorImbalance, RotorEstimate } from "../../src/rotor/rotor.js";
import { quantile } from "../../src/stats/quantile.js";
import type { Timeline } from "../../src/timeline/timeline.js";
import { welchPeaks } from "../modes/baseline.js";
import { type FoldedCount, foldedLines, foldedReports } from "./folded.js";
import { type PeakReading, peakPerThrottle } from "./peak-per-throttle.js";

/** What one flight showed. Tracks are not kept: hundreds of flights would not fit in memory. */
export interface Trial {
  readonly name: string;
  readonly telemetry: boolean;
  readonly truth: Omit<Truth["rotor"], "tracks" | "common">;
  /** Median of the true common speed over the part that was analysed: the same samples as the estimate's. */
  readonly trueHz: number;
  /** Root mean square of the change of the common speed within a block of 0.4 s, Hz. */
  readonly changeHz: number;
  readonly estimate: Omit<RotorEstimate, "tracks">;
  /** Amplitudes of the motors with what the modes swell taken off; none without a report. */
  readonly motors: readonly MotorImbalance[];
  /** The plain baseline for speed and divisor. */
  readonly peaks: PeakReading;
  /** Folded lines held against what was reported as fixed; null where none folds, or where it was not looked at. */
  readonly folded: { readonly ours: FoldedCount; readonly baseline: FoldedCount } | null;
}

/** Flies a scenario and measures it; `modes` looks for structures too where lines fold. */
export function fly(scenario: Scenario, { modes }: { readonly modes: boolean }): Trial {
  const { timeline, truth } = simulateFlight(scenario);
  const rotor = estimateRotor(timeline, {});
  const { tracks: _, ...estimate } = rotor;
  const { tracks: __, common, ...rest } = truth.rotor;
  const lines = modes ? foldedLines(truth, timeline) : [];
  const wanted = lines.length > 0 || rotor.motors.length > 0;
  const found = wanted ? identifyModes(timeline, rotor, {}) : null;
  return {
    name: truth.name,
    telemetry: timeline.rotorSpeed.length > 0,
    truth: rest,
    trueHz: quantile(airborneValues(common, timeline), 0.5),
    changeHz: blockChange(common, timeline),
    estimate,
    motors: found === null ? [] : imbalanceNearModes(timeline, rotor, found).motors,
    peaks: peakPerThrottle(timeline),
    folded:
      lines.length === 0 || found === null
        ? null
        : {
            ours: foldedReports(found, lines, truth),
            baseline: foldedReports(welchPeaks(timeline), lines, truth),
          },
  };
}

function airborneValues(series: Float32Array, { airborne, valid }: Timeline): number[] {
  return airborne.flatMap(({ from, to }) =>
    Array.from(series.subarray(from, to)).filter((_, i) => valid[from + i] === 1),
  );
}

function blockChange(common: Float32Array, { airborne, sampleRate }: Timeline): number {
  const length = Math.round(0.4 * sampleRate);
  let sum = 0;
  let blocks = 0;
  for (const { from, to } of airborne) {
    for (let start = from; start + length <= to; start += length) {
      const block = common.subarray(start, start + length);
      sum += (Math.max(...block) - Math.min(...block)) ** 2;
      blocks++;
    }
  }
  return blocks === 0 ? 0 : Math.sqrt(sum / blocks);
}
