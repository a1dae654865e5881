import type { Mode } from "../modes/mode.js";
import type { Reason } from "../result.js";
import type { Axis } from "../units.js";
import type { Level } from "./band-level.js";
import type { Measured } from "./measured.js";
import { levelWhere } from "./quiet-band.js";
import { grade, say, sayRange, straddleNote, unknown } from "./reason.js";
import { peaksAt, unresolvedLow, wasSearched } from "./searched.js";

/** Sway slower than this needs that long to be told from gusts (method note, measured on simulated flights). */
const LEAST_SECONDS = 30;
/** Half-width of the band in which a sway is measured, as a share of its frequency. */
const HALF_WIDTH = 0.25;

/** Sway of what is carried: modes of kind "payload", by their level in calm flight. */
export function swayReasons(measured: Measured): Reason[] {
  const { modes, frames } = measured;
  const swaying = modes.modes.filter((mode) => mode.kind === "payload");
  if (swaying.length > 0) return swaying.map((mode) => onMode(mode, measured));
  const optional = { required: false, unit: "deg/s RMS" } as const;
  if (!wasSearched(modes)) {
    return [unknown("payload-sway", "The log is too short to look for a payload's sway.", optional)];
  }
  const open = unresolvedLow(modes.modes);
  if (open.length > 0) {
    const message = `Whether ${peaksAt(open)} is a sway of what is carried could not be told.`;
    return [unknown("payload-sway", message, optional)];
  }
  const seconds = frames.grid.starts.length * frames.secondsPerFrame;
  if (seconds < LEAST_SECONDS) {
    const message = `No payload sway was found, but ${say(seconds)} s are too short to exclude a slow one.`;
    return [unknown("payload-sway", message, optional)];
  }
  return [{ ...unknown("payload-sway", "No payload sway was found.", optional), level: "ok" }];
}

function onMode(mode: Mode, measured: Measured): Reason {
  const { limits } = measured;
  const worst = loudestAxis(mode, HALF_WIDTH, measured);
  if (worst === null)
    return unknown("payload-sway", "Too little unbroken calm flight to measure the payload's sway.", {
      required: false,
    });
  const { level, axis } = worst;
  const result = grade(level.rms, level.ci95, { marginal: limits.swayMarginalDps, loud: limits.swayLoudDps });
  return {
    id: "payload-sway",
    level: result.level,
    value: level.rms,
    ci95: level.ci95,
    limit: result.limit,
    unit: "deg/s RMS",
    axis,
    message:
      `What is carried sways at ${say(mode.frequencyHz)} Hz: ${say(level.rms)} deg/s RMS on ${axis} ` +
      `(${sayRange(level.ci95)}), limit ${say(result.limit)}.${straddleNote(result)}`,
    required: false,
  };
}

/** Level about a mode on the axis where it is highest, in calm flight. */
export function loudestAxis(
  mode: Mode,
  halfWidth: number,
  { frames }: Measured,
): { axis: Axis; level: Level } | null {
  const half = halfWidth * mode.frequencyHz;
  const band = { fromHz: mode.frequencyHz - half, toHz: mode.frequencyHz + half };
  const levels = mode.axes.flatMap(({ axis }) => {
    const spectrum = frames.gyro[axis];
    const level = spectrum && levelWhere(spectrum, band, (k) => frames.kind[k] === "calm");
    return level ? [{ axis, level }] : [];
  });
  return levels.sort((a, b) => b.level.rms - a.level.rms)[0] ?? null;
}
