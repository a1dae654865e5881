import { InputError } from "../errors.js";
import type { How } from "./flight-log.js";
import type { PlannedColumn } from "./plan-columns.js";

/** Seconds per unit of a time column. */
export const SECONDS_PER: Readonly<Record<string, number>> = { s: 1, ms: 1e-3, us: 1e-6, ns: 1e-9 };

/** Row rates between which a flight log's clock lies, Hz; wide on purpose. Common practice, no source. */
const SLOWEST_HZ = 5;
const FASTEST_HZ = 40_000;
/** The span in which a rate is likely, to choose between units. */
const LIKELY_HZ = [30, 33_000] as const;

/** Where time comes from. */
export interface TimeColumn {
  /** null: no column; rows are counted at the rate given. */
  readonly column: PlannedColumn | null;
  /** "s", "ms", "us", "ns", "wall clock" or "samples". */
  readonly unit: string;
  readonly secondsPer: number;
  readonly how: How;
  readonly why: string;
}

export interface TimeChoice {
  readonly planned: readonly PlannedColumn[];
  /** Some rows as numbers, NaN where none; stamps already in seconds. */
  readonly sample: readonly (readonly number[])[];
  /** Columns whose cells are wall-clock stamps. */
  readonly stamps: ReadonlySet<number>;
  /** Rows per second, where told by option or stated in the file's notes. */
  readonly rate: { readonly hz: number; readonly how: How; readonly why: string } | null;
  readonly file: string;
}

/**
 * Chooses the time column and its unit, from header and data together.
 *
 * @throws {InputError} "content" when no column can be time and no rate was given
 */
export function chooseTime(choice: TimeChoice): TimeColumn {
  const { planned, sample, stamps, rate, file } = choice;
  const candidates = planned.filter((c) => c.role === "time");
  const clocks = candidates.filter((c) => c.unit !== "samples");
  const moving = (c: PlannedColumn): number => stepOf(sample.map((row) => row[c.index] ?? Number.NaN));
  const best = clocks.find((c) => c.how === "map") ?? clocks.find((c) => moving(c) > 0) ?? clocks[0];
  if (best !== undefined) return unitOf(best, moving(best), choice);
  const stamped = planned.find((c) => stamps.has(c.index));
  if (stamped !== undefined)
    return {
      column: stamped,
      unit: "wall clock",
      secondsPer: 1,
      how: "data",
      why: "cells are wall-clock stamps",
    };
  const told = candidates.find((c) => c.how === "map" && c.scale !== undefined);
  if (rate === null && told?.scale !== undefined) {
    const why = `${told.why}: ${told.scale} s a count`;
    return { column: told, unit: "samples", secondsPer: told.scale, how: "map", why };
  }
  if (rate !== null) {
    const counter = candidates[0] ?? null;
    const per = counter === null ? 1 : Math.max(1, Math.round(moving(counter)) || 1);
    return {
      column: counter,
      unit: "samples",
      secondsPer: 1 / rate.hz / per,
      how: rate.how,
      why: `rows counted at ${rate.hz} Hz, ${rate.why}`,
    };
  }
  const what =
    candidates.length > 0 ? "time is a sample counter whose rate is not known" : "no time column found";
  throw new InputError(
    "content",
    what,
    "give the rows per second with --rate HZ, or name the column with --columns FILE",
    { file },
  );
}

/** Typical step between rows; 0 when the column does not advance. */
function stepOf(values: readonly number[]): number {
  const known = values.filter((v) => Number.isFinite(v));
  if (known.length < 2) return 0;
  const steps = known
    .slice(1)
    .map((v, i) => v - known[i]!)
    .sort((a, b) => a - b);
  const median = steps[Math.floor(steps.length / 2)]!;
  // Coarse stamps repeat: their mean step tells then.
  return median > 0 ? median : Math.max(0, (known.at(-1)! - known[0]!) / (known.length - 1));
}

function unitOf(column: PlannedColumn, step: number, { stamps, file }: TimeChoice): TimeColumn {
  if (stamps.has(column.index))
    return { column, unit: "wall clock", secondsPer: 1, how: "data", why: "cells are wall-clock stamps" };
  const rate = (unit: string): number => 1 / (step * SECONDS_PER[unit]!);
  const said = column.unit;
  if (
    said !== null &&
    said in SECONDS_PER &&
    (step <= 0 || column.how === "map" || (rate(said) >= SLOWEST_HZ && rate(said) <= FASTEST_HZ))
  ) {
    return { column, unit: said, secondsPer: SECONDS_PER[said]!, how: column.how, why: column.why };
  }
  const likely = Object.keys(SECONDS_PER).filter(
    (unit) => rate(unit) >= LIKELY_HZ[0] && rate(unit) <= LIKELY_HZ[1],
  );
  if (likely.length === 1) {
    const unit = likely[0]!;
    const against =
      said === null
        ? ""
        : `, against the header's "${said}", which would mean ${rate(said).toPrecision(3)} rows a second`;
    return {
      column,
      unit,
      secondsPer: SECONDS_PER[unit]!,
      how: "data",
      why: `steps of ${step} are ${rate(unit).toPrecision(4)} rows a second in ${unit}${against}`,
    };
  }
  throw new InputError(
    "content",
    "the unit of time cannot be told",
    'write it into the header, as in "time (us)", or give --columns FILE',
    {
      file,
      column: column.header,
    },
  );
}
