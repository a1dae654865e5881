import type { RotorEstimate } from "../rotor/rotor.js";
import type { Interval } from "../units.js";
import type { FlightFrames } from "./flight-frames.js";

/** Speed whose range over `WINDOW_S` to either side is less than this a second, relative, is held, not swept. */
const HELD_PER_S = 0.01;
const WINDOW_S = 3;
/** So much held flight is a cruise; with less, all calm flight is. */
const LEAST_HELD_S = 15;
const LEAST_HELD_SHARE = 0.25;

/** The once-per-turn band, and how it was taken. */
export interface Cruise {
  readonly bandHz: Interval;
  /** "held": flight at steady rotor speed; "calm": all calm flight, when hardly any of it was held. */
  readonly how: "held" | "calm";
}

/**
 * Once-per-turn band in cruise: 5th percentile of the slowest to 95th of the fastest rotor over the frames of cruise,
 * which are the calm frames at held speed where there are enough, else all calm frames: what a test flight sweeps
 * through on purpose is not where the craft will work.
 *
 * @returns null when no speed is known in calm flight
 */
export function cruiseOf(frames: FlightFrames, rotor: RotorEstimate): Cruise | null {
  const calm = frames.speed.map((speed, k) => frames.kind[k] === "calm" && speed.mean > 0);
  const held = calm.map((is, k) => is && isHeld(frames, k));
  const count = (which: readonly boolean[]): number => which.filter(Boolean).length;
  const enough =
    count(held) * frames.secondsPerFrame >= LEAST_HELD_S && count(held) >= LEAST_HELD_SHARE * count(calm);
  const bandHz = bandOver(frames, enough ? held : calm) ?? rotor.bandHz;
  return bandHz && { bandHz, how: enough ? "held" : "calm" };
}

/** Once-per-turn band of all calm flight: cruise and whatever was swept through. */
export function flownBand(frames: FlightFrames, rotor: RotorEstimate): Interval | null {
  return (
    bandOver(
      frames,
      frames.speed.map((_, k) => frames.kind[k] === "calm"),
    ) ?? rotor.bandHz
  );
}

function bandOver(frames: FlightFrames, which: readonly boolean[]): Interval | null {
  const chosen = frames.speed.filter((speed, k) => which[k] && speed.mean > 0);
  if (chosen.length === 0) return null;
  const low = chosen.map((speed) => speed.low).sort((a, b) => a - b);
  const high = chosen.map((speed) => speed.high).sort((a, b) => a - b);
  return [low[Math.floor(0.05 * low.length)]!, high[Math.ceil(0.95 * high.length) - 1]!];
}

function isHeld({ speed, secondsPerFrame }: FlightFrames, frame: number): boolean {
  const reach = Math.max(1, Math.round(WINDOW_S / secondsPerFrame));
  const around = speed.slice(Math.max(0, frame - reach), frame + reach + 1).filter((s) => s.mean > 0);
  // The range, not the slope: at the top of a sweep the slope is nil too.
  const range = Math.max(...around.map((s) => s.mean)) / Math.min(...around.map((s) => s.mean));
  return Math.log(range) < HELD_PER_S * 2 * reach * secondsPerFrame;
}
