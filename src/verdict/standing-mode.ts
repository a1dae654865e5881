import type { Mode } from "../modes/mode.js";
import type { Reason } from "../result.js";
import type { Axis } from "../units.js";
import type { Level } from "./band-level.js";
import { rmsRateFor } from "./footage-optics.js";
import { excessLevel } from "./line-level.js";
import type { Measured } from "./measured.js";
import { grade, say, sayRange, straddleNote } from "./reason.js";

/**
 * Structures that stand in the quiet band, by how much of the level there is theirs: what they add above their
 * surroundings, not the air's broadband shaking.
 *
 * @returns a reason for each such mode; none when nothing stands there
 */
export function standingModeReasons(measured: Measured): Reason[] {
  const { modes, quietBand } = measured;
  if (quietBand === null) return [];
  return modes.modes
    .filter((mode) => mode.kind === "structure" || mode.kind === "unresolved")
    .filter(({ frequencyHz }) => frequencyHz > quietBand.fromHz && frequencyHz < quietBand.toHz)
    .flatMap((mode) => standing(mode, measured) ?? []);
}

function standing(mode: Mode, measured: Measured): Reason | null {
  const { limits } = measured;
  const worst = worstAxis(mode, measured);
  if (worst === null) return null;
  const { axis, level } = worst;
  const rate = (pixels: number): number => rmsRateFor(pixels, mode.frequencyHz, limits.referenceFocalPx);
  const result = grade(level.rms, level.ci95, {
    marginal: rate(limits.standingModePx),
    loud: rate(limits.modeResponsePx),
  });
  return {
    id: "standing-mode",
    level: result.level,
    value: level.rms,
    ci95: level.ci95,
    limit: result.limit,
    unit: "deg/s RMS",
    axis,
    message:
      `A ${mode.kind === "structure" ? "structure" : "resonance"} stands in the quiet band at ` +
      `${say(mode.frequencyHz)} Hz (${sayRange(mode.ci95Hz)}): it adds ${say(level.rms)} deg/s RMS on ${axis} ` +
      `(${sayRange(level.ci95)}), limit ${say(result.limit)}.${straddleNote(result)}`,
    required: false,
  };
}

function worstAxis(mode: Mode, { frames }: Measured): { axis: Axis; level: Level } | null {
  const half = mode.frequencyHz * Math.min(0.15, Math.max(0.05, 3 * mode.dampingRatio));
  const df = frames.grid.sampleRate / frames.grid.segmentLength;
  const span = [
    Math.floor((mode.frequencyHz - half) / df),
    Math.ceil((mode.frequencyHz + half) / df),
  ] as const;
  const levels = mode.axes.flatMap(({ axis }) => {
    const spectrum = frames.gyro[axis];
    const keep = (k: number): boolean => frames.kind[k] === "calm";
    const level =
      spectrum &&
      excessLevel(spectrum, (k) => (frames.speed[k]!.low < mode.frequencyHz + 2 * half ? null : span), keep);
    return level ? [{ axis, level }] : [];
  });
  return levels.sort((a, b) => b.level.rms - a.level.rms)[0] ?? null;
}
