import type { AxisSummary } from "../result.js";
import { fold } from "../rotor/fold.js";
import type { Axis, Hertz } from "../units.js";
import { median } from "./calm.js";
import type { Measured } from "./measured.js";
import { say } from "./reason.js";

/** A line must stand this far above its surroundings to be called one. */
const LEAST_DB = 6;

/** The line that stands highest above its surroundings on one axis in calm flight, and what it is. */
export function strongestLine(axis: Axis, measured: Measured): AxisSummary["strongestLine"] {
  const { frames, commanded } = measured;
  const spectrum = frames.gyro[axis];
  if (spectrum === null || !frames.kind.includes("calm")) return null;
  const density = frames.calmDensity[axis]!;
  const df = spectrum.sampleRate / spectrum.segmentLength;
  let best: { hz: Hertz; levelDb: number } | null = null;
  for (let i = Math.max(2, Math.ceil(commanded.topHz / df)); i < density.length - 1; i++) {
    if (!(density[i]! > density[i - 1]! && density[i]! >= density[i + 1]!)) continue;
    const levelDb = 10 * Math.log10(density[i]! / localFloor(density, i, df));
    if (levelDb >= LEAST_DB && levelDb > (best?.levelDb ?? 0)) best = { hz: i * df, levelDb };
  }
  return best && { ...best, what: nameOf(best.hz, measured, 1.5 * df) };
}

/** Lower-quartile density within a quarter of the frequency (15 Hz at least) to either side. */
function localFloor(density: Float64Array, bin: number, df: number): number {
  const half = Math.max(Math.ceil(15 / df), Math.round(bin / 4));
  const around = Array.from(density.subarray(Math.max(1, bin - half), bin + half + 1)).filter(
    (d) => d > 0 && Number.isFinite(d),
  );
  const middle = median(around);
  return Math.max(1e-12, median(around.filter((d) => d <= middle)));
}

function nameOf(hz: Hertz, measured: Measured, within: Hertz): string {
  const { modes, rotor } = measured;
  const mode = modes.modes.find(
    (m) => Math.abs(m.frequencyHz - hz) < Math.max(within, 2 * m.dampingRatio * hz),
  );
  const tone = modes.tones.find((t) => Math.abs(t.frequencyHz - hz) < within);
  const turning = rotorName(hz, measured, within);
  if (tone) return `fixed tone at ${say(tone.frequencyHz)} Hz`;
  const peak =
    mode && `${mode.kind === "unresolved" ? "unresolved peak" : "mode"} at ${say(mode.frequencyHz)} Hz`;
  if (peak && turning) return `${turning}, near the ${peak}`;
  if (peak) return peak;
  return turning ?? (rotor.source === "none" ? "unknown, the rotors' speed is not known" : "unexplained");
}

function rotorName(hz: Hertz, { flown, rotor, timeline }: Measured, within: Hertz): string | null {
  if (flown === null) return null;
  for (const { order } of [{ order: 1 }, ...rotor.orders]) {
    const [low, high] = [order * flown[0], order * flown[1]];
    if (hz > low - within && hz < high + within) return orderName(order, rotor.blades);
    const steps = Array.from({ length: 41 }, (_, i) =>
      fold(low + ((high - low) * i) / 40, timeline.sampleRate),
    );
    if (high > timeline.sampleRate / 2 && steps.some((at) => Math.abs(at - hz) < 2 * within)) {
      return `${orderName(order, rotor.blades)}, folded`;
    }
  }
  return null;
}

function orderName(order: number, blades: number | null): string {
  if (order === 1) return "once per turn";
  return order === blades ? "blade pass" : `${say(order).replace(/\.?0+$/, "")} × rotor speed`;
}
