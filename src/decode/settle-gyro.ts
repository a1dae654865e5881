import { InputError } from "../errors.js";
import type { How } from "./flight-log.js";
import type { PlannedColumn } from "./plan-columns.js";
import { quantileOf } from "./quantile-of.js";

/**
 * Three facts tell deg/s from rad/s: how large the rates get, how far roll and pitch swing when the rates are
 * summed up, and how finely the numbers are written. Each is a log-normal spread about what flights show; the
 * unit must be e³ times likelier than its rival. Whole numbers may also be counts of the sensor, some 16 to a
 * deg/s. Centres and spreads: common practice, no source.
 */
const LARGEST = {
  "deg/s": [Math.log(60), 1.0],
  "rad/s": [Math.log(1.05), 1.0],
  counts: [Math.log(984), 1.0],
} as const;
const SWING = {
  "deg/s": [Math.log(6), 1.5],
  "rad/s": [Math.log(0.105), 1.5],
  counts: [Math.log(98), 1.5],
} as const;
const FINEST = { "deg/s": [Math.log(0.04), 1.6], "rad/s": [Math.log(0.0007), 1.6] } as const;
const SURE = 3;
/** A stated unit is doubted when its rival is e⁸ times likelier and the fineness does not speak for the stated one. */
const CONTRADICTED = { all: 8, finest: 0.5 } as const;
/** Doubt about a stated unit is settled on this much of the log. */
const LOOKED_AT_S = 120;
/** Swings slower than this are drift of the sensor's zero, not of the craft. */
const SLOWEST_SWING_HZ = 0.1;
/** A shorter log has no time to swing. */
const SHORTEST_SWING_S = 5;

const logDensity = (x: number, [centre, spread]: readonly [number, number]): number =>
  -0.5 * ((x - centre) / spread) ** 2;

/**
 * The unit of a gyro set.
 *
 * @throws {InputError} "content" when neither header nor data decide
 */
export function gyroUnit(
  set: readonly PlannedColumn[],
  values: readonly Float32Array[],
  rate: number,
): { unit: string; how: How; why: string; doubt?: string } {
  const column = set[0]!;
  const { unit, how, why } = column;
  if (unit === "deg/s" || unit === "rad/s") {
    // What the user names is believed.
    const doubt = how === "map" ? null : contradiction(set, values, { unit, rate });
    return { unit, how, why, ...(doubt === null ? {} : { doubt }) };
  }
  const largest = quantileOf(values, 0.995, true);
  // A signal that never moves has no size to go by, and none that matters.
  if (!(largest > 0)) return { unit: "deg/s", how: "data", why: `${why}; the column never moves` };
  const finest = finestStep(values);
  const swing = swingOf(
    values.filter((_, k) => set[k]!.axis !== "yaw"),
    rate,
  );
  const sizes = `rates up to ${short(largest)} that add up to swings of ${short(swing)}, ${Number.isNaN(finest) ? "on no grid" : `written in steps of ${short(finest)}`}`;
  const odds = (a: "deg/s" | "rad/s" | "counts", b: "deg/s" | "rad/s" | "counts"): number =>
    likelier(largest, LARGEST[a], LARGEST[b]) + likelier(swing, SWING[a], SWING[b]);
  const degrees = odds("deg/s", "rad/s") + likelier(finest, FINEST["deg/s"], FINEST["rad/s"]);
  // Beyond what a craft can turn: the numbers are counts of the sensor, whose scale only the user knows.
  const whole = values.every((series) => series.every((v) => Number.isNaN(v) || Number.isInteger(v)));
  if (unit === "counts" || largest > 4000) throw undecided(column, `${sizes}, look like sensor counts`);
  if (whole && odds("deg/s", "counts") < SURE)
    throw undecided(column, `${sizes}, could be deg/s or sensor counts`);
  if (degrees > SURE) return { unit: "deg/s", how: "data", why: `${why}; ${sizes}` };
  if (degrees < -SURE) return { unit: "rad/s", how: "data", why: `${why}; ${sizes}` };
  throw undecided(column, `${sizes}, could be deg/s or rad/s`);
}

/** What speaks against the unit that the header states, in words; null when nothing does. */
function contradiction(
  set: readonly PlannedColumn[],
  values: readonly Float32Array[],
  { unit, rate }: { readonly unit: "deg/s" | "rad/s"; readonly rate: number },
): string | null {
  const rival = unit === "deg/s" ? "rad/s" : "deg/s";
  const looked = values.map((series) => series.subarray(0, Math.ceil(LOOKED_AT_S * rate)));
  const largest = quantileOf(looked, 0.995, true);
  const finest = finestStep(looked);
  const swing = swingOf(
    looked.filter((_, k) => set[k]!.axis !== "yaw"),
    rate,
  );
  const written = likelier(finest, FINEST[rival], FINEST[unit]);
  const all =
    written + likelier(largest, LARGEST[rival], LARGEST[unit]) + likelier(swing, SWING[rival], SWING[unit]);
  if (written < CONTRADICTED.finest || all < CONTRADICTED.all) return null;
  return `"${set[0]!.header}" says ${unit}, but rates up to ${short(largest)} in steps of ${short(finest)} look like ${rival}: check the header, or name the unit with --columns FILE`;
}

/** ln of how much likelier a size is under one spread than under another; 0 where there is no size. */
function likelier(size: number, one: readonly [number, number], other: readonly [number, number]): number {
  return size > 0 ? logDensity(Math.log(size), one) - logDensity(Math.log(size), other) : 0;
}

/** How far the summed rates swing, in the rates' own angle unit: the 95th percentile of all axes. */
function swingOf(values: readonly Float32Array[], rate: number): number {
  if (!((values[0]?.length ?? 0) > SHORTEST_SWING_S * rate)) return Number.NaN;
  const keep = 1 - Math.min(0.5, (2 * Math.PI * SLOWEST_SWING_HZ) / rate);
  const swings = values.map((series) => {
    const zero = quantileOf([series], 0.5);
    const swing = new Float32Array(series.length);
    let angle = 0;
    for (let i = 0; i < series.length; i++) {
      const v = series[i]!;
      if (!Number.isNaN(v)) angle = angle * keep + (v - zero) / rate;
      swing[i] = Math.abs(angle);
    }
    return swing;
  });
  return quantileOf(swings, 0.95);
}

const short = (value: number): string =>
  Number.isNaN(value) ? "unknown size" : String(Number(value.toPrecision(3)));

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

/** Steps within this share of a whole multiple count as on the grid; by chance a fifth of all do. */
const ON_GRID = 0.1;
const GRID_SHARE = 0.6;

/**
 * Smallest difference between neighbouring rows that is not zero, robust against single freaks; NaN where the
 * numbers lie on no grid, since their fineness then says nothing.
 */
function finestStep(values: readonly Float32Array[]): number {
  const looked = values.map((series) => series.subarray(0, 20_000));
  const moves = new Float64Array(looked.reduce((sum, series) => sum + series.length, 0));
  let count = 0;
  for (const series of looked) {
    for (let i = 1; i < series.length; i++) {
      const step = Math.abs(series[i]! - series[i - 1]!);
      if (step > 0) moves[count++] = step;
    }
  }
  const steps = moves.subarray(0, count).sort();
  const finest = steps[Math.floor(steps.length * 0.002)] ?? Number.NaN;
  const few = steps
    .filter((step) => step < 20 * finest)
    .map((step) => Math.abs(step / finest - Math.round(step / finest)));
  return few.filter((off) => off < ON_GRID).length >= GRID_SHARE * few.length ? finest : Number.NaN;
}
