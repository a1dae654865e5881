import type { Scenario } from "../simulator/scenario.js";
import { simulateFlight } from "../simulator/simulate.js";
import { identifyModes } from "../src/modes/identify-modes.js";
import { estimateRotor } from "../src/rotor/estimate-rotor.js";
import { welchPeaks } from "./modes/baseline.js";
import { falseAlarms } from "./modes/false-alarms.js";
import { type FlightScore, scoreFlight } from "./modes/score.js";
import { type Column, calibration, falseStructures, table } from "./modes/table.js";
import { craftOf, modesPopulation, noisePopulation } from "./populations.js";

export interface ModesAccuracyOptions {
  /** Flights with modes; a sixth as many without are added. */
  readonly flights: number;
  readonly seed: number;
}

/** One flight, scored by the program and by the baseline. */
function fly(scenario: Scenario): { ours: FlightScore; baseline: FlightScore } {
  const { timeline, truth } = simulateFlight(scenario);
  const craft = craftOf(scenario);
  const rotor = estimateRotor(timeline, craft);
  return {
    ours: scoreFlight(truth, identifyModes(timeline, rotor, craft), rotor.source),
    baseline: scoreFlight(truth, welchPeaks(timeline), "none"),
  };
}

/** The judged columns pool both halves; each half beside them is for reading only. */
function columnsOf(kind: readonly FlightScore[], unkind: readonly FlightScore[]): Column[] {
  return [true, false].flatMap((telemetry): Column[] => {
    const word = telemetry ? "with telemetry" : "without";
    const of = (flights: readonly FlightScore[]) => flights.filter((f) => f.telemetry === telemetry);
    return [
      { title: `**${word}**`, flights: of([...kind, ...unkind]), telemetry },
      { title: `${word}, kind half`, flights: of(kind), telemetry: null },
      { title: `${word}, unkind half`, flights: of(unkind), telemetry: null },
    ];
  });
}

/**
 * Flies many invented flights and holds modes, tones and intervals against the truth, beside plain Welch spectra with
 * prominent peaks.
 *
 * @returns a page, and whether every target is met
 */
export function modesAccuracy({ flights, seed }: ModesAccuracyOptions): { markdown: string; ok: boolean } {
  const half = Math.ceil(flights / 2);
  const kind = modesPopulation(half, seed, "kind").map(fly);
  const unkind = modesPopulation(half, seed, "unkind").map(fly);
  const noise = noisePopulation(Math.ceil(flights / 6), seed).map(fly);
  const ours = [...kind, ...unkind].map((f) => f.ours);
  const columns = columnsOf(
    kind.map((f) => f.ours),
    unkind.map((f) => f.ours),
  );
  const quiet = noise.map((f) => f.ours);
  const all = table([
    ...columns,
    { title: "flights without modes", flights: quiet, telemetry: true },
    {
      title: "baseline: Welch + peaks",
      flights: [...kind, ...unkind].map((f) => f.baseline),
      telemetry: null,
    },
  ]);
  const alarms = falseAlarms(seed);
  const missed = [...all.missed, ...alarms.missed];
  const markdown = [
    "# Structural modes and tones",
    "",
    `Measured on ${flights} invented flights with 0 to 3 modes and ${quiet.length} without (seed ${seed}); all are simulated. ` +
      "Targets in brackets hold without telemetry; numbers in bold miss theirs; the two columns in bold are judged. The unkind half drives the modes by each " +
      "motor differently, lets stiffness drift with thrust, line amplitudes wander and tones drift, adds lines at orders " +
      "nobody lists and bursts of wash.",
    "",
    all.markdown,
    "",
    "## Confidence",
    "",
    "Share of reported modes (structures and unresolved ones) that are real, by the confidence they were given.",
    "",
    calibration(ours),
    "",
    "## False structures",
    "",
    falseStructures([...ours, ...quiet]),
    "",
    "## False alarms in plain noise",
    "",
    alarms.markdown,
    "",
    missed.length === 0
      ? "Every target is met."
      : `Targets missed:\n\n${missed.map((m) => `- ${m}`).join("\n")}`,
    "",
  ].join("\n");
  return { markdown, ok: missed.length === 0 };
}
