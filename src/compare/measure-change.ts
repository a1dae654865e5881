import type { Interval } from "../units.js";
import type { Obstacles } from "./comparable.js";
import { axisRatios } from "./compare-axes.js";
import { bandRatios, sharedClasses, type TwoSides } from "./compare-levels.js";
import { shiftOf } from "./compare-modes.js";
import { type MotorRatio, motorRatios, motorsThatAddUp } from "./compare-motors.js";
import { type OrderRatio, orderRatios } from "./compare-orders.js";
import type { ComparedFlight } from "./compared-flight.js";
import type { Comparison, LoneMode } from "./comparison.js";
import { withDiscoveries } from "./discoveries.js";
import { FALSE_DISCOVERY } from "./limits.js";
import { loneMode } from "./lone-modes.js";
import { overlayCurves } from "./overlay.js";
import { pairModes } from "./pair-modes.js";
import { type Scatter, sideScatter } from "./scatter.js";

export type Measured = Pick<
  Comparison,
  "bands" | "axes" | "orders" | "motors" | "modes" | "loneModes" | "overlay"
>;

/** The two sides, each merged from the flights of one build. */
export interface Sides {
  readonly before: ComparedFlight;
  readonly after: ComparedFlight;
  /** Flights of either side. */
  readonly count: readonly [number, number];
  readonly scatter: Scatter;
}

/** Everything that two sides show in numbers, each question under its own false-discovery bound. */
export function measureChange(sides: Sides, hindered: Obstacles): Measured {
  const { before, after } = sides;
  const levels = twoSides(sides);
  const scatterDb = levels?.scatterDb ?? [sides.scatter.db, sides.scatter.db];
  const bands =
    levels === null || hindered.bands.length > 0 ? [] : bandRatios(levels, ...comparedRange(before, after));
  const axes = axisRatios(bands, scatterDb);
  const orders = levels === null || hindered.orders.length > 0 ? [] : orderRatios(levels);
  return {
    bands: withDiscoveries(
      bands.map(({ plain: _plain, ...band }) => band),
      FALSE_DISCOVERY.bands,
    ),
    axes: withDiscoveries(axes, FALSE_DISCOVERY.axes),
    orders: judgedOrders(orders),
    motors: withDiscoveries(levels === null ? [] : motorsOf(levels, orders), FALSE_DISCOVERY.motors),
    ...modesOf(sides),
    overlay: levels === null || hindered.bands.length > 0 ? [] : overlayCurves(levels.before, levels.after),
  };
}

function motorsOf(levels: TwoSides, orders: readonly OrderRatio[]): readonly MotorRatio[] {
  const whole = orders.find((o) => o.order === 1 && o.axis === "all") ?? null;
  return motorsThatAddUp(motorRatios(levels), levels, whole);
}

/** An order is claimed on all axes together; an axis then counts where it shows the same by itself. */
function judgedOrders(orders: readonly OrderRatio[]): Comparison["orders"] {
  const bound = FALSE_DISCOVERY.orders;
  const whole = withDiscoveries(
    orders.filter((o) => o.axis === "all"),
    bound,
  );
  const claimed = (order: number): boolean => whole.some((o) => o.order === order && o.significant);
  return orders.map((o) => ({
    ...o,
    significant: claimed(o.order) && (o.axis === "all" || o.pValue <= bound),
  }));
}

/** Both fingerprints with their scatter; null when a side has none or they are matched by different things. */
export function twoSides({ before, after, count, scatter }: Sides): TwoSides | null {
  const [one, two] = [before.fingerprint, after.fingerprint];
  if (one === null || two === null || one.matchedBy !== two.matchedBy) return null;
  return {
    before: one,
    after: two,
    scatterDb: [sideScatter(scatter, one, count[0]), sideScatter(scatter, two, count[1])],
  };
}

/** Above this share of the Nyquist frequency a log holds as much from above it as from below. */
const NYQUIST_SHARE = 0.9;

/** Above commanded motion of both, below both Nyquist frequencies. */
export function comparedRange(before: ComparedFlight, after: ComparedFlight): [fromHz: number, toHz: number] {
  return [
    Math.max(before.motionTopHz ?? 0, after.motionTopHz ?? 0),
    (NYQUIST_SHARE * Math.min(before.sampleRateHz, after.sampleRateHz)) / 2,
  ];
}

/** Calm seconds of either side in classes that both flew. */
export function sharedSeconds({ before, after }: TwoSides): [number, number] {
  const shared = sharedClasses(before, after);
  return [
    shared.reduce((sum, [i]) => sum + before.classes[i]!.seconds, 0),
    shared.reduce((sum, [, j]) => sum + after.classes[j]!.seconds, 0),
  ];
}

/** Shifts of paired modes and fates of lone ones: one family of tests. */
function modesOf({ before, after }: Sides): Pick<Measured, "modes" | "loneModes"> {
  const { pairs, before: gone, after: come } = pairModes(before.modes, after.modes);
  const offset = speedOffset(before.rotor, after.rotor);
  const speedKnown = [before, after].every(({ rotor }) => rotor.source === "telemetry");
  const shifts = pairs.map((pair) => shiftOf(pair, { offset, speedKnown }));
  const [one, two] = [before, after].map((flight) => ({ flight, fingerprint: flight.fingerprint })) as [
    { flight: ComparedFlight; fingerprint: ComparedFlight["fingerprint"] },
    { flight: ComparedFlight; fingerprint: ComparedFlight["fingerprint"] },
  ];
  const lone = [
    ...gone.map((mode) => loneMode(mode, "before", { own: one, other: two })),
    ...come.map((mode) => loneMode(mode, "after", { own: two, other: one })),
  ];
  const tests = [...shifts.map((s) => s.pValue), ...lone.map((l) => l.pValue ?? 1)].map((pValue) => ({
    pValue,
  }));
  const kept = withDiscoveries(tests, FALSE_DISCOVERY.modes).map((t) => t.significant);
  return {
    modes: shifts.map((shift, i) => ({ ...shift, significant: kept[i]! })),
    loneModes: lone.map((l, i): LoneMode => {
      if (l.inOther !== "absent" || kept[shifts.length + i]!) return l;
      return { ...l, inOther: "unclear", why: "the peak may be missing by chance" };
    }),
  };
}

/** How far the median speeds lie apart, as a share of the wider range flown. */
function speedOffset(
  a: { readonly medianHz: number | null; readonly bandHz: Interval | null },
  b: { readonly medianHz: number | null; readonly bandHz: Interval | null },
): number {
  if (a.medianHz === null || b.medianHz === null || a.bandHz === null || b.bandHz === null) return 1;
  const range = Math.max(a.bandHz[1] - a.bandHz[0], b.bandHz[1] - b.bandHz[0]);
  return range > 0 ? Math.min(2, Math.abs(a.medianHz - b.medianHz) / range) : 0;
}
