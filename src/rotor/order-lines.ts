import { quantile } from "../stats/quantile.js";
import type { Timeline } from "../timeline/timeline.js";
import type { Hertz } from "../units.js";
import { frameSpeed } from "./frame-speed.js";
import { type LineMap, lineMap } from "./line-map.js";
import { LONG_FRAME_S, LONG_FRAMES, REPORTED_FRAMES } from "./long-frames.js";
import { type OrderProfile, orderProfile, ordersOf } from "./order-profile.js";
import type { OrderLine, SpeedTrack } from "./rotor.js";

/** Relative range of speed below which lines stand still. */
const STANDING = 0.18;
const DB_PER_NEPER = 10 / Math.LN10;

/** The order lines of a flight and the profile they were read from. */
export interface OrderLines {
  readonly orders: readonly OrderLine[];
  readonly profile: OrderProfile | null;
  readonly standing: boolean;
}

/** The map that orders are read on; a few milliseconds of delay in the tracks make no other one. */
export interface OrderGround {
  readonly map: LineMap | null;
  readonly standing: boolean;
}

/** Builds the map for a set of tracks. */
export function orderGround(timeline: Timeline, tracks: readonly SpeedTrack[]): OrderGround {
  const standing = isStanding(timeline, tracks);
  const map = lineMap(timeline, {
    frameS: LONG_FRAME_S,
    frames: Math.max(120, Math.round(LONG_FRAMES / tracks.length)),
    of: tracks.length === 1 ? LONG_FRAMES : REPORTED_FRAMES,
    whiten: standing ? "standing" : "moving",
    clip: [-3, 7],
  });
  return { map, standing };
}

/**
 * Which orders the gyro shows, how strong, how wide, how often folded.
 *
 * @param tracks rotor frequency per motor, or one common track
 * @param ground from `orderGround`
 */
export function orderLines(tracks: readonly SpeedTrack[], { map, standing }: OrderGround): OrderLines {
  if (!map) return { orders: [], profile: null, standing };
  const common = tracks.length === 1;
  const speeds = tracks.map((t) => frameSpeed(t.hz, map.grid));
  const profile = orderProfile(map, speeds);
  const medianHz = quantile(
    speeds.flatMap((s) => [...s]),
    0.5,
  );
  const orders = ordersOf(profile, !common).map((o) => ({
    order: o.order,
    levelDb: DB_PER_NEPER * o.level,
    foldedShare: foldedShare(map, speeds, o.order),
    medianHz: o.order * medianHz,
    halfWidth: common ? o.halfWidth : 0,
  }));
  return { orders: standing ? cappedWidths(orders) : orders, profile, standing };
}

function isStanding(timeline: Timeline, tracks: readonly SpeedTrack[]): boolean {
  const { hz } = tracks[0]!;
  const seen: number[] = [];
  for (const { from, to } of timeline.airborne) for (let i = from; i < to; i += 64) seen.push(hz[i]!);
  return quantile(seen, 0.95) / quantile(seen, 0.05) < Math.exp(STANDING);
}

function foldedShare(map: LineMap, speeds: readonly Float64Array[], order: number): number {
  const nyquist: Hertz = map.grid.sampleRate / 2;
  let folded = 0;
  let known = 0;
  for (const speed of speeds) {
    for (const f of speed) {
      if (Number.isNaN(f)) continue;
      known++;
      if (order * f > nyquist) folded++;
    }
  }
  return known === 0 ? 0 : folded / known;
}

/** In a hover a mode beside a line widens it: no order is wider than 1.15 times the narrowest clear one. */
function cappedWidths(orders: OrderLine[]): OrderLine[] {
  const clear = orders.filter((o) => o.order <= 4 && o.levelDb > DB_PER_NEPER && o.halfWidth > 0);
  if (clear.length === 0) return orders;
  const cap = 1.15 * Math.min(...clear.map((o) => o.halfWidth));
  return orders.map((o) => ({ ...o, halfWidth: Math.min(o.halfWidth, cap) }));
}
