import { rotorPopulation, standingPopulation } from "./populations.js";
import { type Answer, calibrationTable, holds } from "./rotor/calibration.js";
import { foldedRows } from "./rotor/folded-rows.js";
import { inferredRows, RIGHT } from "./rotor/inferred-rows.js";
import { offBy } from "./rotor/reading.js";
import { type Row, tableOf } from "./rotor/row.js";
import { telemetryRows } from "./rotor/telemetry-rows.js";
import { fly, type Trial } from "./rotor/trial.js";
import type { CountedShare } from "./shares-figure.js";

/** Structures are looked for in every so manieth flight, and so many fly at constant speed. */
const MODES_IN_EVERY = 2;
const STANDING_SHARE = 0.15;

/** Rotor speed, divisor, delay, worst motor and folded lines against the truth of simulated flights. */
export function rotorAccuracy({ flights, seed }: { flights: number; seed: number }): {
  markdown: string;
  ok: boolean;
  shares: CountedShare[];
} {
  const flown = rotorPopulation(flights, seed).map((scenario, i) =>
    // In sixes: profile and speed report take turns.
    fly(scenario, { modes: Math.floor(i / 6) % MODES_IN_EVERY === 0 }),
  );
  const standing = standingPopulation(Math.ceil(STANDING_SHARE * flights), seed).map((scenario) =>
    fly(scenario, { modes: true }),
  );
  const reported = flown.filter((t) => t.telemetry);
  const silent = flown.filter((t) => !t.telemetry);
  const parts = [telemetryRows(reported), inferredRows(silent), foldedRows(flown, standing)] as const;
  const calibrated = calibration(reported, silent);
  const rows = parts.flat();
  const markdown = [
    "# Rotor speed and orders",
    "",
    `${flights} flights (seed ${seed}): propellers of 3 to 28 inch, 4 to 8 rotors, logs of 0.4 to 4 kHz, sweep, cruise and punchy flying, half of them with a speed report; ${standing.length} more at constant speed without one. No craft file was given. A row with nothing to count says "none" and meets nothing. Flights that missed are named by their number in the population.`,
    "",
    "## With a speed report",
    "",
    tableOf(parts[0]),
    "",
    "## Without",
    "",
    tableOf(parts[1]),
    "",
    "## Folded lines",
    "",
    `Structures were looked for in every second six of the flights, and counted where an order lies above the log's Nyquist in a part of the flight.`,
    "",
    tableOf(parts[2]),
    "",
    calibrated.markdown,
    "",
  ].join("\n");
  const ok = calibrated.ok && rows.every((r: Row) => r.met !== false);
  return { markdown, ok, shares: rows.map((r) => r.share) };
}

function calibration(
  reported: readonly Trial[],
  silent: readonly Trial[],
): { markdown: string; ok: boolean } {
  const inferred = silent
    .filter((t) => t.estimate.source === "inferred")
    .map((t): Answer => ({ confidence: t.estimate.confidence, right: offBy(t) <= RIGHT }));
  const divisor = reported
    .filter((t) => t.estimate.source === "telemetry")
    .map(
      (t): Answer => ({ confidence: t.estimate.confidence, right: t.estimate.polePairs === t.truth.divisor }),
    );
  const verdict = (answers: readonly Answer[]): string => {
    const held = holds(answers);
    return held === null ? "None to judge." : `Right as often as claimed: ${held ? "yes" : "**no**"}.`;
  };
  return {
    markdown: [
      "## Confidence",
      "",
      "Share of right answers by the confidence they were given. Speed inferred (within 3 %):",
      "",
      calibrationTable(inferred),
      "",
      verdict(inferred),
      "",
      "Divisor of the speed report:",
      "",
      calibrationTable(divisor),
      "",
      verdict(divisor),
    ].join("\n"),
    ok: holds(inferred) !== false && holds(divisor) !== false,
  };
}
