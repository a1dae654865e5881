import type { Obstacles } from "./comparable.js";
import { axisRatios } from "./compare-axes.js";
import { bandRatios } from "./compare-levels.js";
import { orderRatios } from "./compare-orders.js";
import type { ComparedFlight } from "./compared-flight.js";
import type { TrendPoint } from "./comparison.js";
import { comparedRange, twoSides } from "./measure-change.js";
import type { Scatter } from "./scatter.js";

/** Every flight of a row against the first: level per axis, once per turn, first mode, call. */
export function trendOf(
  flights: readonly ComparedFlight[],
  hindered: Obstacles,
  scatter: Scatter,
): TrendPoint[] {
  if (flights.length < 3) return [];
  const [first] = flights;
  return flights.map((flight): TrendPoint => {
    const mode = flight.modes.find((m) => m.kind === "structure") ?? null;
    const levels = flight === first ? null : againstFirst(first!, flight, { hindered, scatter });
    return {
      flight: flight.name,
      axes: levels?.axes ?? [],
      onceDb: levels?.once?.ratioDb ?? null,
      onceCi95Db: levels?.once?.ci95Db ?? null,
      firstModeHz: mode?.frequencyHz ?? null,
      firstModeCi95Hz: mode?.ci95Hz ?? null,
      call: flight.verdict.call,
    };
  });
}

function againstFirst(
  before: ComparedFlight,
  after: ComparedFlight,
  { hindered, scatter }: { hindered: Obstacles; scatter: Scatter },
): { axes: TrendPoint["axes"]; once: Pick<TrendPoint["axes"][number], "ratioDb" | "ci95Db"> | null } {
  const sides = twoSides({ before, after, count: [1, 1], scatter });
  if (sides === null) return { axes: [], once: null };
  const bands = hindered.bands.length > 0 ? [] : bandRatios(sides, ...comparedRange(before, after));
  const orders = hindered.orders.length > 0 ? [] : orderRatios(sides);
  return {
    axes: axisRatios(bands, sides.scatterDb).map(({ axis, ratioDb, ci95Db }) => ({ axis, ratioDb, ci95Db })),
    once: orders.find((o) => o.order === 1 && o.axis === "all") ?? null,
  };
}
