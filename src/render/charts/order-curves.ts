import type { Result } from "../../result.js";
import { orderName, trimmed } from "../format.js";
import { drawnOrders, folded } from "./features.js";
import { type Layer, line } from "./layers.js";

/** Where the rotors' common speed is known along some x: throttle, time or rotor frequency itself. */
export interface SpeedPoint {
  readonly x: number;
  readonly hz: number;
}

/** A point of an order line; y is NaN where the line breaks off. */
interface CurvePoint {
  readonly x: number;
  readonly y: number;
}

/** One order as drawn: the part where it truly is, and the part that lies folded. */
export interface OrderCurve {
  readonly order: number;
  readonly name: string;
  readonly direct: readonly CurvePoint[];
  readonly folded: readonly CurvePoint[];
  /** Where the line ends at the right, Hz in the log, and whether it is folded there. */
  readonly end: number;
  readonly endsFolded: boolean;
}

const STEPS_BETWEEN = 8;

/** All orders of a result along a run of speeds. */
export function orderCurves(result: Result, points: readonly SpeedPoint[]): OrderCurve[] {
  const nyquist = result.log.nyquistHz;
  const dense = densify(points);
  if (dense.length === 0) return [];
  return drawnOrders(result).map((order) => {
    const at = dense.map(({ x, hz }) => ({ x, true: hz * order, y: folded(hz * order, nyquist) }));
    const last = at.at(-1)!;
    return {
      order,
      name: orderName(order, result.rotor.blades),
      direct: at.map((p) => ({ x: p.x, y: p.true <= nyquist ? p.y : Number.NaN })),
      folded: at.map((p) => ({ x: p.x, y: p.true > nyquist ? p.y : Number.NaN })),
      end: last.y,
      endsFolded: last.true > nyquist,
    };
  });
}

/** Points in between, so that a fold shows as the sharp turn it is. */
function densify(points: readonly SpeedPoint[]): SpeedPoint[] {
  if (points.length > 200) return [...points];
  return points.flatMap((p, i) => {
    const next = points[i + 1];
    if (next === undefined) return [p];
    return Array.from({ length: STEPS_BETWEEN }, (_, k) => {
      const share = k / STEPS_BETWEEN;
      return { x: p.x + (next.x - p.x) * share, hz: p.hz + (next.hz - p.hz) * share };
    });
  });
}

/** What an order line is called where there is little room: by the end that the name stands at. */
export function briefName({ name, order, endsFolded }: OrderCurve): string {
  if (endsFolded) return `${trimmed(order)} × folded`;
  return name === "blade pass" ? name : `${trimmed(order)} × turn`;
}

/** Order lines: whole where they are true, dashed where folded; on a heat map with a dark edge under them. */
export function orderLayers(curves: readonly OrderCurve[], over: "paper" | "heat"): Layer[] {
  const ink = over === "heat" ? "halo" : "rotorLine";
  return curves.flatMap(({ order, direct, folded: fold }) => {
    const id = String(order).replace(".", "_");
    const some = (points: readonly CurvePoint[]): boolean => points.some((p) => Number.isFinite(p.y));
    const edge =
      over === "heat" && some(direct)
        ? [line(`order-edge-${id}`, direct, { ink: "deep", width: 3, opacity: 0.5 })]
        : [];
    return [
      ...edge,
      ...(some(direct) ? [line(`order-${id}`, direct, { ink, width: 1.4 })] : []),
      ...(some(fold) ? [line(`order-folded-${id}`, fold, { ink, width: 1.4, dash: [4, 3] })] : []),
    ];
  });
}
