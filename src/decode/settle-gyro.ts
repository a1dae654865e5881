import { InputError } from "../errors.js";
import type { How, Role } from "./flight-log.js";
import type { PlannedColumn } from "./plan-columns.js";
import { quantileOf } from "./quantile-of.js";

/**
 * Two facts tell deg/s from rad/s: how large the rates get, and how fine the numbers are written. Each is a
 * log-normal spread about what flights show; the unit must be e³ times likelier than its rival.
 * Centres and spreads: common practice, no source.
 */
const LARGEST = { "deg/s": [Math.log(60), 1.0], "rad/s": [Math.log(1.05), 1.0] } as const;
const FINEST = { "deg/s": [Math.log(0.04), 1.6], "rad/s": [Math.log(0.0007), 1.6] } as const;
const SURE = 3;

const logDensity = (x: number, [centre, spread]: readonly [number, number]): number =>
  -0.5 * ((x - centre) / spread) ** 2;

/**
 * The unit of a gyro or setpoint set.
 *
 * @throws {InputError} "content" when neither header nor data decide
 */
export function gyroUnit(
  column: PlannedColumn,
  role: Role,
  values: readonly Float32Array[],
): { unit: string; how: How; why: string } {
  const { unit, how, why } = column;
  if (unit === "deg/s" || unit === "rad/s") return { unit, how, why };
  const largest = quantileOf(values, 0.995, true);
  // A signal that never moves has no size to go by, and none that matters.
  if (!(largest > 0)) return { unit: "deg/s", how: "data", why: `${why}; the column never moves` };
  const finest = finestStep(values);
  const odds =
    logDensity(Math.log(largest), LARGEST["deg/s"]) -
    logDensity(Math.log(largest), LARGEST["rad/s"]) +
    (finest > 0
      ? logDensity(Math.log(finest), FINEST["deg/s"]) - logDensity(Math.log(finest), FINEST["rad/s"])
      : 0);
  const sizes = `rates up to ${largest.toPrecision(3)}, written in steps of ${finest.toPrecision(2)}`;
  // Beyond what a craft can turn: the numbers are counts of the sensor, whose scale only the user knows.
  if (unit === "counts" || largest > 4000) throw undecided(column, `${sizes} look like sensor counts`);
  if (odds > SURE) return { unit: "deg/s", how: "data", why: `${why}; ${sizes}` };
  if (odds < -SURE) return { unit: "rad/s", how: "data", why: `${why}; ${sizes}` };
  if (role === "setpoint")
    return { unit: "deg/s", how: "data", why: `${why}; unit not said, taken like most logs' rates` };
  throw undecided(column, `${sizes} could be deg/s or rad/s`);
}

function undecided(column: PlannedColumn, what: string): InputError {
  return new InputError(
    "content",
    `the unit of the gyro cannot be told: ${what}`,
    'write it into the header, as in "(deg/s)", or give --columns FILE (see: quietspar columns --write)',
    {
      column: column.header,
    },
  );
}

/** Smallest difference between neighbouring rows that is not zero, robust against single freaks. */
function finestStep(values: readonly Float32Array[]): number {
  const steps: number[] = [];
  for (const series of values) {
    for (let i = 1; i < Math.min(series.length, 20_000); i++) {
      const step = Math.abs(series[i]! - series[i - 1]!);
      if (step > 0) steps.push(step);
    }
  }
  steps.sort((a, b) => a - b);
  return steps[Math.floor(steps.length * 0.002)] ?? 0;
}
