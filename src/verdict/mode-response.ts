import type { Mode } from "../modes/mode.js";
import type { Reason } from "../result.js";
import type { Axis } from "../units.js";
import type { Level } from "./band-level.js";
import { rmsRateFor } from "./footage-optics.js";
import type { Measured } from "./measured.js";
import type { PushBand } from "./push-bands.js";
import { levelWhere } from "./quiet-band.js";
import { grade, say } from "./reason.js";
import { knownFlat } from "./swelling.js";
import type { Band } from "./third-octave.js";

/** An answer is measured over at least so many frames. */
const LEAST_FRAMES = 16;

/** How a mode answers where the rotors push. */
export interface Response {
  readonly axis: Axis;
  readonly text: string;
  /** What is over its limit, or null. */
  readonly swollen: { readonly text: string; readonly figure: Figure } | null;
}

type Figure = Pick<Reason, "value" | "ci95" | "limit" | "unit">;

/**
 * How a mode answers: gyro, then D-term, about it on its axes in the frames in which the rotors push there.
 *
 * @returns null when there is nothing to measure it in
 */
export function responseAt(mode: Mode, band: PushBand, measured: Measured): Response | null {
  const { frames, limits } = measured;
  const around = bandAbout(mode);
  const keep = pushedFrames(mode, band, measured);
  const levels = mode.axes.flatMap(({ axis }) => {
    const spectrum = frames.gyro[axis];
    const level = spectrum && levelWhere(spectrum, around, keep);
    return level ? [{ axis, level }] : [];
  });
  const worst = levels.sort((a, b) => b.level.rms - a.level.rms)[0];
  if (worst === undefined) return null;
  const limit = rmsRateFor(limits.modeResponsePx, mode.frequencyHz, limits.referenceFocalPx);
  return gyroAnswer({ ...worst, limit }, knownFlat(mode, worst.axis, { order: band.order, measured }), () =>
    dtermAnswer(mode, { band, around, keep, measured }),
  );
}

interface Found {
  readonly axis: Axis;
  readonly level: Level;
  readonly limit: number;
}

function gyroAnswer({ axis, level, limit }: Found, flat: boolean, orElse: () => Partial<Response>): Response {
  const text = `${say(level.rms)} deg/s RMS on ${axis}, limit ${say(limit)}`;
  const graded = grade(level.rms, level.ci95, { marginal: limit });
  if (graded.level === "ok") return { axis, text, swollen: null, ...orElse() };
  if (flat) {
    return {
      axis,
      text: `${text}, but as strong away from the mode: the rotors' own shaking`,
      swollen: null,
    };
  }
  const note = graded.straddles ? " (the interval reaches over it, so the worse side counts)" : "";
  const figure = { value: level.rms, ci95: level.ci95, limit, unit: "deg/s RMS" };
  return { axis, text, swollen: { text: text + note, figure } };
}

interface Pushed {
  readonly band: PushBand;
  readonly around: Band;
  readonly keep: (frame: number) => boolean;
  readonly measured: Measured;
}

function dtermAnswer(mode: Mode, { band, around, keep, measured }: Pushed): Partial<Response> {
  const { dterm, limits } = measured;
  for (const { axis } of mode.axes) {
    const spectrum = dterm.spectra[axis];
    if (spectrum === null || dterm.fullScale === null) continue;
    const level = levelWhere(spectrum, around, keep);
    const figure = level && overShare(level, dterm.fullScale, limits.dtermModeShare);
    if (figure === null || knownFlat(mode, axis, { order: band.order, measured })) continue;
    const text = `${say(100 * figure.value)} % of the motor range in the D-term of ${axis}`;
    return { axis, swollen: { text, figure } };
  }
  return {};
}

function overShare(level: Level, fullScale: number, limit: number): (Figure & { value: number }) | null {
  const ci95 = [level.ci95[0] / fullScale, level.ci95[1] / fullScale] as const;
  if (ci95[1] <= limit) return null;
  return { value: level.rms / fullScale, ci95, limit, unit: "share of motor range" };
}

/** A mode's own width, four half-power widths but at least 5 % to either side. */
function bandAbout({ frequencyHz, dampingRatio }: Mode): Band {
  const half = frequencyHz * Math.min(0.15, Math.max(0.05, 4 * dampingRatio));
  return { fromHz: frequencyHz - half, toHz: frequencyHz + half };
}

/**
 * Calm frames in which a rotor line lies on the mode, or else the few that come nearest within the margin: what counts
 * is how the mode answers, not how long this flight happened to dwell there. All calm frames when none comes near.
 */
function pushedFrames(mode: Mode, { order }: PushBand, { frames, limits }: Measured): (k: number) => boolean {
  const hz = mode.frequencyHz;
  const off = frames.speed.map(({ low, high }, k) => {
    if (frames.kind[k] !== "calm" || !(low > 0)) return Infinity;
    return Math.max(0, (order * low) / hz - 1, 1 - (order * high) / hz);
  });
  const nearest = [...off].sort((a, b) => a - b).slice(0, LEAST_FRAMES);
  const reach = Math.max(2 * mode.dampingRatio, nearest.at(-1) ?? Infinity);
  return reach < limits.separationMargin ? (k) => off[k]! <= reach : (k) => frames.kind[k] === "calm";
}
