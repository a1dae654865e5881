import type { Mode } from "../modes/mode.js";
import type { Reason } from "../result.js";
import type { Axis, Hertz, Interval } from "../units.js";
import type { Level } from "./band-level.js";
import { rmsRateFor } from "./footage-optics.js";
import type { Measured } from "./measured.js";
import { levelWhere } from "./quiet-band.js";
import { grade, say, sayRange, unknown } from "./reason.js";
import { knownFlat } from "./swelling.js";
import type { Band } from "./third-octave.js";

/** An answer is measured over at least so many frames. */
const LEAST_FRAMES = 16;

/** A band in which the rotors push. */
export interface PushBand {
  readonly name: "once-per-turn" | "blade-pass";
  readonly order: number;
  readonly bandHz: Interval;
}

/**
 * The two bands in which rotors push hardest, from the once-per-turn band and the number of blades.
 *
 * @example pushBands([60, 70], 3)[1] // { name: "blade-pass", order: 3, bandHz: [180, 210] }
 */
export function pushBands(cruise: Interval, blades: number | null): PushBand[] {
  const once: PushBand = { name: "once-per-turn", order: 1, bandHz: cruise };
  if (blades === null || blades < 2) return [once];
  return [once, { name: "blade-pass", order: blades, bandHz: [blades * cruise[0], blades * cruise[1]] }];
}

/**
 * Distance of a mode from a band as a share of the mode's frequency, by the worse end of its interval; 0 inside.
 *
 * @example separationOf({ frequencyHz: 250, ci95Hz: [249, 251] }, [180, 210]) // 0.157 = 1 − 210 / 249
 */
export function separationOf(mode: Pick<Mode, "frequencyHz" | "ci95Hz">, [low, high]: Interval): number {
  if (mode.ci95Hz[0] > high) return 1 - high / mode.ci95Hz[0];
  if (mode.ci95Hz[1] < low) return low / mode.ci95Hz[1] - 1;
  return 0;
}

/** The separation by the worse and by the better end of the mode's interval. */
function gapInterval({ ci95Hz }: Pick<Mode, "ci95Hz">, band: Interval): Interval {
  const gaps = ci95Hz.map((hz) => separationOf({ frequencyHz: hz, ci95Hz: [hz, hz] }, band));
  return [Math.min(...gaps), Math.max(...gaps)];
}

/**
 * Modes against the rotor bands: one reason for each mode too near, or one that all are clear. A mode inside or near
 * a band of cruise is marginal, and loud when its answer is over its limit; a mode that lies only in what was swept
 * through counts when its answer there is over its limit.
 */
export function separationReasons(measured: Measured): Reason[] {
  const { cruise, flown, modes, rotor } = measured;
  const id = "mode-separation";
  if (cruise === null || flown === null) {
    return [unknown(id, "The rotors' speed is not known, so no mode can be held against their bands.")];
  }
  const searched = Object.values(modes.fixed).some((spectrum) => spectrum !== null);
  if (!searched && modes.modes.length === 0) {
    return [unknown(id, "The log could not be searched for modes.")];
  }
  const bands = pushBands(cruise.bandHz, rotor.blades);
  const swept = pushBands(flown, rotor.blades);
  const structures = modes.modes.filter((m) => m.kind === "structure" || m.kind === "unresolved");
  const near = structures.flatMap((mode) => nearest(mode, bands, swept, measured));
  const hidden = hiddenBand(bands, measured);
  if (near.length === 0) return [hidden ?? allClear(structures, bands, measured)];
  return [...near, ...(hidden ? [hidden] : [])];
}

interface Pair {
  readonly mode: Mode;
  readonly band: PushBand;
  readonly gap: number;
}

function nearest(
  mode: Mode,
  bands: readonly PushBand[],
  swept: readonly PushBand[],
  measured: Measured,
): Reason[] {
  const pairs = (of: readonly PushBand[]): Pair[] =>
    of.map((band) => ({ mode, band, gap: separationOf(mode, band.bandHz) })).sort((a, b) => a.gap - b.gap);
  const near = pairs(bands).filter(({ gap }) => gap < measured.limits.separationMargin);
  const reasons = near.map((pair) => tooNear(pair, "cruise", measured));
  const worst = reasons.find((reason) => reason.level === "loud") ?? reasons[0];
  if (worst !== undefined) return [worst];
  const crossed = pairs(swept).filter(({ gap }) => gap === 0);
  return crossed
    .map((pair) => tooNear(pair, "the sweep", measured))
    .filter((reason) => reason.level === "loud")
    .slice(0, 1);
}

function tooNear({ mode, band, gap }: Pair, when: "cruise" | "the sweep", measured: Measured): Reason {
  const { limits } = measured;
  const response = responseAt(mode, band, measured);
  const where = gap === 0 ? "lies inside" : `is only ${say(100 * gap)} % from`;
  const swollen = response?.swollen ?? null;
  const answer = swollen
    ? `and answers: ${swollen.text}`
    : `but does not swell there${response ? ` (${response.text})` : ""}`;
  const apart = {
    value: gap,
    ci95: gapInterval(mode, band.bandHz),
    limit: limits.separationMargin,
    unit: "share of the mode's frequency",
  };
  return {
    id: "mode-separation",
    level: swollen ? "loud" : "marginal",
    ...(swollen ? swollen.figure : apart),
    axis: response?.axis ?? null,
    message:
      `The ${mode.kind === "structure" ? "structural" : "unresolved"} mode at ${say(mode.frequencyHz)} Hz ${where} ` +
      `the ${band.name} band (${sayRange(band.bandHz)} Hz in ${when}), ${answer}. ` +
      `Wanted: ${say(100 * limits.separationMargin)} % clear.`,
    required: true,
  };
}

interface Response {
  readonly axis: Axis;
  readonly text: string;
  /** What is over its limit, or null. */
  readonly swollen: { readonly text: string; readonly figure: Figure } | null;
}

type Figure = Pick<Reason, "value" | "ci95" | "limit" | "unit">;

/** Gyro and D-term about the mode, in the calm frames in which the rotors push there. */
function responseAt(mode: Mode, band: PushBand, measured: Measured): Response | null {
  const around = bandAbout(mode);
  const keep = pushedFrames(mode, band, measured);
  const { frames, dterm, limits } = measured;
  const limit = rmsRateFor(limits.modeResponsePx, mode.frequencyHz, limits.referenceFocalPx);
  const levels = mode.axes.flatMap(({ axis }) => {
    const spectrum = frames.gyro[axis];
    const level = spectrum && levelWhere(spectrum, around, keep);
    return level ? [{ axis, level }] : [];
  });
  const worst = levels.sort((a, b) => b.level.rms - a.level.rms)[0];
  if (worst === undefined) return null;
  const graded = grade(worst.level.rms, worst.level.ci95, { marginal: limit });
  const text = `${say(worst.level.rms)} deg/s RMS on ${worst.axis}, limit ${say(limit)}`;
  const flat = knownFlat(mode, worst.axis, { order: band.order, measured });
  if (graded.level !== "ok" && flat) {
    return {
      axis: worst.axis,
      text: `${text}, but as strong away from the mode: the rotors' own shaking`,
      swollen: null,
    };
  }
  if (graded.level !== "ok") {
    const note = graded.straddles ? " (the interval reaches over it, so the worse side counts)" : "";
    const figure = { value: worst.level.rms, ci95: worst.level.ci95, limit, unit: "deg/s RMS" };
    return { axis: worst.axis, text, swollen: { text: text + note, figure } };
  }
  for (const { axis } of mode.axes) {
    if (knownFlat(mode, axis, { order: band.order, measured })) continue;
    const spectrum = dterm.spectra[axis];
    if (spectrum === null || dterm.fullScale === null) continue;
    const level = levelWhere(spectrum, around, keep);
    const figure = level && overShare(level, dterm.fullScale, limits.dtermModeShare);
    if (figure !== null) {
      const text = `${say(100 * figure.value)} % of the motor range in the D-term of ${axis}`;
      return { axis, text, swollen: { text, figure } };
    }
  }
  return { axis: worst.axis, text, swollen: null };
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

/** The rotors never leave their own band: a mode there could not have been seen. */
function hiddenBand(bands: readonly PushBand[], { modes, limits, timeline }: Measured): Reason | null {
  const nyquist = timeline.sampleRate / 2;
  for (const { name, bandHz } of bands) {
    const [low, high] = [
      bandHz[0] * (1 - limits.separationMargin),
      bandHz[1] * (1 + limits.separationMargin),
    ];
    const overlap = (fromHz: Hertz, toHz: Hertz): number =>
      Math.max(0, Math.min(toHz, high) - Math.max(fromHz, low));
    const hidden = modes.unobservable.reduce((sum, { fromHz, toHz }) => sum + overlap(fromHz, toHz), 0);
    const beyond = overlap(nyquist, Infinity);
    const share = Math.min(1, (hidden + beyond) / (high - low));
    if (share <= limits.unobservableShare) continue;
    const cause =
      beyond > hidden ? `The log's Nyquist of ${say(nyquist)} Hz and the rotors hide` : "The rotors hide";
    const cure = beyond > hidden ? "Log faster." : "Fly a slow throttle sweep.";
    return {
      ...unknown(
        "mode-separation",
        `${cause} ${say(100 * share)} % of the ${name} band and its margins (${sayRange([low, high])} Hz) ` +
          `all flight long: a mode there is unknown, not absent. ${cure}`,
      ),
      value: share,
      limit: limits.unobservableShare,
      unit: "share",
    };
  }
  return null;
}

function allClear(structures: readonly Mode[], bands: readonly PushBand[], measured: Measured): Reason {
  const { limits, rotor } = measured;
  const gaps = structures.flatMap((mode) =>
    bands.map((band) => ({ mode, band, gap: separationOf(mode, band.bandHz) })),
  );
  const nearest = gaps.sort((a, b) => a.gap - b.gap)[0];
  const said = bands.map((band) => `${band.name} ${sayRange(band.bandHz)} Hz`).join(", ");
  const blades =
    rotor.blades === null ? " The number of blades is not known, so the blade-pass band was not tested." : "";
  return {
    id: "mode-separation",
    level: "ok",
    value: nearest?.gap ?? null,
    ci95: nearest ? gapInterval(nearest.mode, nearest.band.bandHz) : null,
    limit: limits.separationMargin,
    unit: "share of the mode's frequency",
    axis: null,
    message:
      (nearest
        ? `The mode nearest to a rotor band, ${say(nearest.mode.frequencyHz)} Hz, is ${say(100 * nearest.gap)} % clear (${said}).`
        : `No structural mode was found near the rotor bands (${said}).`) + blades,
    required: true,
  };
}
