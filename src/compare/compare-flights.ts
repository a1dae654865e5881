import { VERSION } from "../version.js";
import { answers } from "./answers.js";
import { type ComparableOptions, type Obstacles, obstacles } from "./comparable.js";
import type { ComparedFlight } from "./compared-flight.js";
import type { Comparison, FlightFacts } from "./comparison.js";
import { FALSE_DISCOVERY, LEAST_SHARED_S } from "./limits.js";
import {
  comparedRange,
  type Measured,
  measureChange,
  type Sides,
  sharedSeconds,
  twoSides,
} from "./measure-change.js";
import { mergeFlights } from "./merge-flights.js";
import { type Scatter, scatterBetweenFlights } from "./scatter.js";
import { trendOf } from "./trend.js";

/** Semantic version of the comparison's shape. */
export const COMPARISON_SCHEMA_VERSION = "1.0.0";

export interface CompareOptions extends ComparableOptions {
  /**
   * Flights from this one on, counted from 1, were flown after the change; those on one side are of one build and
   * show the scatter from flight to flight. Default: the first flight against the last, the others for the trend.
   */
  readonly changeBefore?: number;
}

const NOTHING: Measured = {
  bands: [],
  axes: [],
  orders: [],
  motors: [],
  modes: [],
  loneModes: [],
  overlay: [],
};

/**
 * Did it help, or was it the wind? What changed between two flights, or between the flights of two builds, with
 * intervals; and whether these logs can tell.
 *
 * @param flights in the order flown, two or more, from `comparedFlight`
 * @throws {RangeError} with fewer than two flights, or when `changeBefore` leaves a side without any
 */
export function compareFlights(flights: readonly ComparedFlight[], options: CompareOptions = {}): Comparison {
  const { changeBefore } = options;
  if (flights.length < 2) throw new RangeError(`a comparison needs two flights, got ${flights.length}`);
  if (changeBefore !== undefined && !(changeBefore >= 2 && changeBefore <= flights.length)) {
    throw new RangeError(`the change must lie before flight 2 to ${flights.length}, got ${changeBefore}`);
  }
  const builds = buildsOf(flights, changeBefore);
  const found = obstacles(flights, options);
  const sides = sidesOf(builds, found);
  const hindered = withShared(found, sides);
  const measured = found.refusals.length > 0 ? NOTHING : measureChange(sides, hindered);
  const refusals = found.refusals.length > 0 ? found.refusals : nothingLeft(measured, hindered);
  const comparable = refusals.length === 0;
  const levels = twoSides(sides);
  return {
    schemaVersion: COMPARISON_SCHEMA_VERSION,
    tool: { name: "quietspar", version: VERSION },
    comparable,
    refusals,
    caveats: [...found.caveats, ...scatterCaveat(sides.scatter)],
    flights: flights.map((flight, i) => facts(flight, i + 1 < (changeBefore ?? flights.length))),
    settings: {
      changeBefore: changeBefore ?? flights.length,
      otherPropeller: options.otherPropeller === true,
      matchedBy: levels?.before.matchedBy ?? null,
      sharedS: levels === null ? [0, 0] : sharedSeconds(levels),
      scatterDb: sides.scatter.db,
      scatterFrom: sides.scatter.from,
      falseDiscovery: FALSE_DISCOVERY,
    },
    answers: comparable ? answers({ ...sides, measured, hindered }) : [],
    ...measured,
    trend: comparable ? trendOf(flights, hindered, sides.scatter) : [],
  };
}

/** Flights before and after the change; without word of it the first and the last. */
function buildsOf(
  flights: readonly ComparedFlight[],
  changeBefore: number | undefined,
): readonly [readonly ComparedFlight[], readonly ComparedFlight[]] {
  if (changeBefore === undefined) return [flights.slice(0, 1), flights.slice(-1)];
  return [flights.slice(0, changeBefore - 1), flights.slice(changeBefore - 1)];
}

function sidesOf(
  builds: readonly [readonly ComparedFlight[], readonly ComparedFlight[]],
  found: Obstacles,
): Sides {
  const [before, after] = builds.map(mergeFlights) as [ComparedFlight, ComparedFlight];
  const prints = builds.map((b) =>
    b.flatMap(({ fingerprint }) => (fingerprint === null ? [] : [fingerprint])),
  );
  const scatter =
    found.bands.length > 0 || found.refusals.length > 0
      ? scatterBetweenFlights([], [0, 0])
      : scatterBetweenFlights(prints, comparedRange(before, after));
  return { before, after, count: [builds[0].length, builds[1].length], scatter };
}

/** Levels need speeds that both sides flew. */
function withShared(found: Obstacles, sides: Sides): Obstacles {
  const levels = twoSides(sides);
  if (levels === null || Math.min(...sharedSeconds(levels)) >= LEAST_SHARED_S) return found;
  const why = `the flights share less than ${LEAST_SHARED_S} s of calm flight at equal ${levels.before.matchedBy}`;
  return { ...found, bands: [...found.bands, why], orders: [...found.orders, why] };
}

/** When neither a level nor a mode could be compared, the flights cannot. */
function nothingLeft(measured: Measured, hindered: Obstacles): string[] {
  const { bands, orders, modes, motors } = measured;
  if (bands.length + orders.length + modes.length + motors.length > 0) return [];
  return hindered.bands.length > 0
    ? [...hindered.bands]
    : ["the logs have nothing in common that could be compared"];
}

function scatterCaveat(scatter: Scatter): string[] {
  const sd = `${scatter.db.toFixed(1)} dB (standard deviation)`;
  return scatter.from === "flights"
    ? [`The scatter from flight to flight is ${sd}, estimated from the repeats given.`]
    : [
        `Two flights cannot show how much flights of one build differ: ${sd} are assumed. Repeats would tell.`,
      ];
}

function facts(flight: ComparedFlight, before: boolean): FlightFacts {
  const { name, sha256, sampleRateHz, airborneS, gyro, verdict } = flight;
  return {
    file: name,
    sha256,
    side: before ? "before" : "after",
    sampleRateHz,
    airborneS,
    gyro,
    call: verdict.call,
  };
}
