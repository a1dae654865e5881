import { simulateFlight } from "../simulator/simulate.js";
import type { Truth } from "../simulator/truth.js";
import { estimateRotor } from "../src/rotor/estimate-rotor.js";
import type { RotorEstimate } from "../src/rotor/rotor.js";
import { findPeaks } from "../src/spectra/peaks.js";
import { welch } from "../src/spectra/welch.js";
import { quantile } from "../src/stats/quantile.js";
import { analysisGyro, presentAxes, type Timeline } from "../src/timeline/timeline.js";
import { rotorPopulation } from "./populations.js";

/** What one flight showed. */
interface Trial {
  readonly truth: Truth;
  /** Median of the true common speed over the part that was analysed: the same samples as the estimate's. */
  readonly trueHz: number;
  readonly estimate: RotorEstimate;
  readonly telemetry: boolean;
  /** Strongest peak of the whole spectrum, the plain baseline, Hz. */
  readonly baselineHz: number | null;
}

/** Relative error of the median speed that still counts as right. */
const RIGHT = { telemetry: 0.005, inferred: 0.03 } as const;
/** A worst propeller counts as findable when it is nearly twice as bad and the motors' speeds part by a hertz. */
const FINDABLE = { factor: 1.8, separationHz: 1 } as const;
/** Level over the floor from which a line "stands clear", dB. */
const CLEAR_DB = 6;

/** Rotor speed, divisor, delay and worst motor against the truth of simulated flights. */
export function rotorAccuracy({ flights, seed }: { flights: number; seed: number }): {
  markdown: string;
  ok: boolean;
} {
  const trials = rotorPopulation(flights, seed).map((scenario): Trial => {
    const { timeline, truth } = simulateFlight(scenario);
    return {
      truth,
      trueHz: trueMedian(truth, timeline),
      estimate: estimateRotor(timeline, {}),
      telemetry: timeline.rotorSpeed.length > 0,
      baselineHz: strongestPeak(timeline),
    };
  });
  const rows = [
    ...telemetryRows(trials.filter((t) => t.telemetry)),
    ...inferredRows(trials.filter((t) => !t.telemetry)),
  ];
  const markdown = [
    "# Rotor speed and orders",
    "",
    `${flights} flights (seed ${seed}): propellers of 3 to 28 inch, 4 to 8 rotors, logs of 0.4 to 4 kHz, sweep, cruise and punchy flying, half of them with a speed report. No craft file was given.`,
    "",
    "| what | wanted | found | met |",
    "| --- | --- | --- | --- |",
    ...rows.map((r) => `| ${r.what} | ${r.wanted} | ${r.found} | ${r.met ? "yes" : "**no**"} |`),
    "",
  ].join("\n");
  return { markdown, ok: rows.every((r) => r.met) };
}

interface Row {
  readonly what: string;
  readonly wanted: string;
  readonly found: string;
  readonly met: boolean;
}

const of = (hits: number, all: number): string =>
  `${hits} of ${all}${all === 0 ? "" : ` (${((100 * hits) / all).toFixed(1)} %)`}`;

function row(
  what: string,
  wanted: string,
  among: readonly Trial[],
  right: (t: Trial) => boolean,
  least: number,
): Row {
  const hits = among.filter(right).length;
  return {
    what,
    wanted,
    found: of(hits, among.length),
    met: among.length === 0 || hits / among.length >= least,
  };
}

const off = ({ trueHz, estimate }: Trial): number =>
  estimate.medianHz === null ? Number.POSITIVE_INFINITY : Math.abs(estimate.medianHz / trueHz - 1);

function telemetryRows(trials: readonly Trial[]): Row[] {
  const reported = trials.filter((t) => t.estimate.source === "telemetry");
  const delays = reported.filter((t) => t.estimate.delayS !== null && t.truth.rotor.delayS !== null);
  const narrow = delays.filter(({ estimate: { delayCi95S: ci } }) => ci !== null && ci[1] - ci[0] < 0.004);
  const bad = reported.filter(
    ({ truth: { rotor } }) =>
      rotor.worstMotor !== null &&
      rotor.worstFactor >= FINDABLE.factor &&
      rotor.separationHz >= FINDABLE.separationHz,
  );
  const equal = reported.filter((t) => t.truth.rotor.worstMotor === null);
  return [
    row("speed reported: median within 0.5 %", "all", trials, (t) => off(t) <= RIGHT.telemetry, 0.98),
    row("divisor right", "all", trials, (t) => t.estimate.polePairs === t.truth.rotor.divisor, 1),
    row(
      "delay within 1 ms where its interval is under 4 ms wide",
      "all",
      narrow,
      (t) => Math.abs(t.estimate.delayS! - t.truth.rotor.delayS!) <= 1e-3,
      0.95,
    ),
    row(
      "delay inside its 95 % interval",
      "95 %",
      delays,
      ({ truth, estimate: { delayCi95S: ci } }) =>
        ci !== null && truth.rotor.delayS! >= ci[0] && truth.rotor.delayS! <= ci[1],
      0.9,
    ),
    row(
      "worst motor named, one propeller about 2 × worse and speeds a hertz apart",
      "all",
      bad,
      (t) => t.estimate.worstMotor === t.truth.rotor.worstMotor,
      0.95,
    ),
    row(
      "wrong motor named",
      "none",
      bad,
      (t) => t.estimate.worstMotor === null || t.estimate.worstMotor === t.truth.rotor.worstMotor,
      1,
    ),
    row("none named where all are equal", "98 %", equal, (t) => t.estimate.worstMotor === null, 0.98),
  ];
}

function inferredRows(trials: readonly Trial[]): Row[] {
  const clear = trials.filter((t) =>
    t.truth.rotor.orders.some((o) => Object.values(o.levelDb).some((db) => db >= CLEAR_DB)),
  );
  const answered = trials.filter((t) => t.estimate.source !== "none");
  const wrong = answered.filter((t) => off(t) > RIGHT.inferred);
  const halfOrDouble = (t: Trial): boolean => off(t) > 0.2;
  return [
    row(
      "no report, a line 6 dB clear: median within 3 %",
      "97 %",
      clear,
      (t) => off(t) <= RIGHT.inferred,
      0.97,
    ),
    row(
      "once per turn told from blade pass, of those answered",
      "98 %",
      answered,
      (t) => !halfOrDouble(t),
      0.98,
    ),
    {
      what: "answered wrongly rather than not at all",
      wanted: "at most 1 %",
      found: of(wrong.length, trials.length),
      met: wrong.length <= 0.01 * trials.length,
    },
    {
      what: "baseline: strongest peak of the spectrum within 3 %",
      wanted: "",
      found: of(
        trials.filter((t) => t.baselineHz !== null && Math.abs(t.baselineHz / t.trueHz - 1) <= RIGHT.inferred)
          .length,
        trials.length,
      ),
      met: true,
    },
  ];
}

function trueMedian(truth: Truth, { airborne }: Timeline): number {
  const known = airborne.flatMap(({ from, to }) => Array.from(truth.rotor.common.subarray(from, to)));
  return quantile(Float64Array.from(known), 0.5);
}

/** What one would read off a plain spectrum: the highest peak over 15 Hz on any axis. */
function strongestPeak(timeline: Timeline): number | null {
  const { series } = analysisGyro(timeline);
  let best: { hz: number; density: number } | null = null;
  for (const axis of presentAxes(series)) {
    const { frequency, density } = welch(series[axis]!, {
      sampleRate: timeline.sampleRate,
      segmentLength: 1024,
      spans: timeline.airborne,
      valid: timeline.valid,
    });
    if (!(density.length > 0) || Number.isNaN(density[0]!)) continue;
    for (const k of findPeaks(density).map((p) => p.index)) {
      if (frequency[k]! > 15 && (best === null || density[k]! > best.density))
        best = { hz: frequency[k]!, density: density[k]! };
    }
  }
  return best?.hz ?? null;
}
