import type { Axis } from "../units.js";
import type { BinSpan } from "./line-level.js";
import type { Measured } from "./measured.js";
import { firstOrderHalfWidth } from "./quiet-band.js";

/** Bins to either side that belong to a Hann-windowed line. */
const LINE_BINS = 2;

/** A line at a multiple of rotor speed, in a measured flight. */
export interface LineOf {
  readonly order: number;
  readonly measured: Pick<Measured, "frames" | "rotor">;
}

/** Bins that a rotor line sweeps through in one frame, all motors together; null when the speed is not known. */
export function lineSpan(frame: number, axis: Axis, { order, measured }: LineOf): BinSpan | null {
  const { frames, rotor } = measured;
  const spectrum = frames.gyro[axis];
  const { low, high } = frames.speed[frame]!;
  if (spectrum === null || !(low > 0)) return null;
  const df = spectrum.sampleRate / spectrum.segmentLength;
  const spread = rotor.source === "inferred" ? firstOrderHalfWidth(rotor) : 0;
  return [
    Math.floor((order * low * (1 - spread)) / df) - LINE_BINS,
    Math.ceil((order * high * (1 + spread)) / df) + LINE_BINS,
  ];
}
