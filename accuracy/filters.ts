import { pathToFileURL } from "node:url";
import { quantile } from "../src/stats/quantile.js";
import {
  CLAIMED_MS,
  CLAIMED_SHARE,
  CROSSOVER_HZ,
  type DelayTrial,
  delayTrials,
  FROM_HZ,
  type PredictionTrial,
  predictionTrials,
} from "./filters-trials.js";

const percent = (share: number): string => `${(100 * share).toFixed(1)} %`;
const row = (...cells: (string | number)[]): string => `| ${cells.join(" | ")} |`;

/** Both measurements as a section of docs/accuracy.md. */
export function filtersReport({ flights = 40, seed = 8800 } = {}): string {
  const delays = delayTrials(flights, seed);
  const predictions = predictionTrials(Math.ceil(flights / 2), seed + 1000);
  return [
    "## What filtering costs",
    "",
    `${flights} simulated flights of 60 s with known random chains, logs of 500 to 2000 Hz. In three of four flights the ` +
      "gyro and the D-term have one low-pass each, some with a notch; in the fourth two low-passes and two notches, which no " +
      `plain filter copies. "Claimed": the row's own 95 % interval is within ${CLAIMED_MS} ms (1° for phase) to either side, which ` +
      'is what "where coherence allows" means here; the last column holds that claim against the truth.',
    "",
    row(
      "measured",
      "cases",
      "median error",
      "95th percentile",
      "median half-width",
      "interval covers",
      "claimed",
      "of those within",
    ),
    row("---", "---", "---", "---", "---", "---", "---", "---"),
    ...[false, true].flatMap((rich) =>
      (["gyro", "dterm"] as const).flatMap((path) =>
        (["flight", "row", "phase"] as const).map((scope) => delayRow(delays, { path, scope, rich })),
      ),
    ),
    "",
    `${Math.ceil(flights / 2)} flights known at 4 kHz, logged at 1 to 4 kHz; RMS above ${FROM_HZ} Hz predicted from the log ` +
      "against the loop's samples really filtered. Of a floor that folded down a log cannot tell how much lay where, so every " +
      "prediction carries an interval; this simulator's floor is white, so intervals that allow for one that is not cover nearly " +
      "always.",
    "",
    row(
      "prediction",
      "cases",
      "median error",
      "95th percentile",
      "within 3 %",
      "median half-width",
      "interval covers",
      "claims 3 %",
      "of those within",
    ),
    row("---", "---", "---", "---", "---", "---", "---", "---", "---"),
    ...[1, 2, 4].flatMap((thin) =>
      [false, true].flatMap((moving) =>
        (["gyro", "dterm"] as const).map((path) => predictionRow(predictions, { thin, moving, path })),
      ),
    ),
    "",
  ].join("\n");
}

const NAMES = { gyro: "raw gyro to filtered gyro", dterm: "raw gyro to D-term" } as const;
const SCOPES = {
  flight: "whole flight",
  row: "per axis and level",
  phase: `lag at ${CROSSOVER_HZ} Hz`,
} as const;

function delayRow(
  all: readonly DelayTrial[],
  { path, scope, rich }: Pick<DelayTrial, "path" | "scope" | "rich">,
): string {
  const of = all.filter((t) => t.path === path && t.scope === scope && t.rich === rich);
  const name = `${NAMES[path]}, ${SCOPES[scope]}${rich ? ", rich chains" : ""}`;
  if (of.length === 0) return row(name, 0, "", "", "", "", "", "");
  const [unit, claim] = scope === "phase" ? ["°", 1] : [" ms", CLAIMED_MS];
  const errors = of.map((t) => Math.abs(t.error));
  const claimed = of.filter((t) => t.halfWidth <= claim);
  const at = (values: readonly number[], q: number): string => `${quantile(values, q).toFixed(3)}${unit}`;
  return row(
    name,
    of.length,
    at(errors, 0.5),
    at(errors, 0.95),
    at(
      of.map((t) => t.halfWidth),
      0.5,
    ),
    percent(of.filter((t) => Math.abs(t.error) <= t.halfWidth).length / of.length),
    percent(claimed.length / of.length),
    shareOf(claimed, (t) => Math.abs(t.error) <= claim),
  );
}

function predictionRow(
  all: readonly PredictionTrial[],
  { thin, moving, path }: Pick<PredictionTrial, "thin" | "moving" | "path">,
): string {
  const of = all.filter((t) => t.thin === thin && t.moving === moving && t.path === path);
  const logged = thin === 1 ? "every sample" : `one sample in ${thin}`;
  const name = `${moving ? "filters that move" : "fixed filters"}, ${logged} logged, ${path === "gyro" ? "gyro" : "D-term"}`;
  if (of.length === 0) return row(name, 0, "", "", "", "", "", "", "");
  const errors = of.map((t) => Math.abs(t.ratio - 1));
  const claimed = of.filter((t) => t.halfWidth <= CLAIMED_SHARE);
  return row(
    name,
    of.length,
    percent(quantile(errors, 0.5)),
    percent(quantile(errors, 0.95)),
    shareOf(of, (t) => Math.abs(t.ratio - 1) < 0.03),
    percent(
      quantile(
        of.map((t) => t.halfWidth),
        0.5,
      ),
    ),
    shareOf(of, (t) => t.covered),
    percent(claimed.length / of.length),
    shareOf(claimed, (t) => Math.abs(t.ratio - 1) <= CLAIMED_SHARE),
  );
}

function shareOf<T>(of: readonly T[], holds: (t: T) => boolean): string {
  return of.length === 0 ? "–" : percent(of.filter(holds).length / of.length);
}

if (process.argv[1] !== undefined && import.meta.url === pathToFileURL(process.argv[1]).href) {
  process.stdout.write(`${filtersReport({ flights: Number(process.argv[2] ?? 40) })}\n`);
}
