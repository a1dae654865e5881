import type { Mode } from "../modes/mode.js";
import type { Reason } from "../result.js";
import { coherence, frequencyResponse } from "../spectra/coherence.js";
import { crossSpectrum } from "../spectra/cross-spectrum.js";
import { nearestPowerOfTwo } from "../spectra/fft.js";
import type { Timeline } from "../timeline/timeline.js";
import type { Axis, Hertz, Interval } from "../units.js";
import { framePowers } from "./band-level.js";
import type { Measured } from "./measured.js";
import { grade, say, sayRange, straddleNote, unknown } from "./reason.js";
import { peaksAt, unresolvedLow, wasSearched } from "./searched.js";
import { loudestAxis } from "./sway.js";

/** Half-width of the band in which an oscillation is measured, as a share of its frequency. */
const HALF_WIDTH = 0.15;
/** Seconds of flight that fix the filters' phase well enough. */
const SECONDS = 60;

/** Oscillations of the control loop: modes of kind "loop", by their level. */
export function loopReasons(measured: Measured): Reason[] {
  const loops = measured.modes.modes.filter((mode) => mode.kind === "loop");
  return loops.length === 0 ? [noLoop(measured)] : loops.map((mode) => onLoop(mode, measured));
}

function noLoop({ modes }: Measured): Reason {
  const id = "loop-oscillation";
  const optional = { required: false, unit: "deg/s RMS" } as const;
  if (!wasSearched(modes)) {
    return unknown(id, "The log is too short to look for an oscillation of the control loop.", optional);
  }
  const open = unresolvedLow(modes.modes);
  if (open.length > 0) {
    const message = `Whether ${peaksAt(open)} belongs to the control loop could not be told.`;
    return unknown(id, message, optional);
  }
  const message = "No control-loop oscillation was found.";
  return { ...unknown(id, message, optional), level: "ok" };
}

function onLoop(mode: Mode, measured: Measured): Reason {
  const { limits } = measured;
  const worst = loudestAxis(mode, HALF_WIDTH, measured);
  if (worst === null) {
    return unknown("loop-oscillation", "Too little unbroken calm flight to measure the loop's oscillation.", {
      required: false,
    });
  }
  const { axis, level } = worst;
  const result = grade(level.rms, level.ci95, { marginal: limits.loopMarginalDps, loud: limits.loopLoudDps });
  return {
    id: "loop-oscillation",
    level: result.level,
    value: level.rms,
    ci95: level.ci95,
    limit: result.limit,
    unit: "deg/s RMS",
    axis,
    message:
      `The control loop oscillates at ${say(mode.frequencyHz)} Hz: ${say(level.rms)} deg/s RMS on ${axis} ` +
      `(${sayRange(level.ci95)}), limit ${say(result.limit)}.${growthNote(mode, axis, measured)}${straddleNote(result)}`,
    required: false,
  };
}

/** A loop's level follows throttle (the motors' gain rises with speed); a structure's follows what shakes it. */
function growthNote(mode: Mode, axis: Axis, measured: Measured): string {
  const r = throttleCorrelation(mode, axis, measured);
  return r === null ? "" : ` Its level goes with throttle with a correlation of ${r.toFixed(2)}.`;
}

/**
 * Correlation of the level about a mode, in ln(power), with throttle over calm frames.
 *
 * @returns −1..1; null without throttle or when it hardly moves
 */
export function throttleCorrelation(mode: Mode, axis: Axis, { frames }: Measured): number | null {
  const spectrum = frames.gyro[axis];
  if (spectrum === null) return null;
  const half = HALF_WIDTH * mode.frequencyHz;
  const powers = framePowers(spectrum, mode.frequencyHz - half, mode.frequencyHz + half);
  const pairs = Array.from(powers, (p, k) => [frames.throttle[k]!, Math.log(p)] as const).filter(
    ([u, l], k) => frames.kind[k] === "calm" && Number.isFinite(u) && Number.isFinite(l),
  );
  return pairs.length < 10 ? null : correlation(pairs);
}

function correlation(pairs: readonly (readonly [number, number])[]): number | null {
  const n = pairs.length;
  const mx = pairs.reduce((s, [x]) => s + x, 0) / n;
  const my = pairs.reduce((s, [, y]) => s + y, 0) / n;
  const sum = (f: (dx: number, dy: number) => number): number =>
    pairs.reduce((s, [x, y]) => s + f(x - mx, y - my), 0);
  const xx = sum((dx) => dx * dx);
  const yy = sum((_, dy) => dy * dy);
  if (Math.sqrt(xx / n) < 0.01 || yy === 0) return null;
  return sum((dx, dy) => dx * dy) / Math.sqrt(xx * yy);
}

/**
 * Structural modes low enough for the rate loop to push: judged by how late the gyro filters make the loop at the
 * mode and by the mode's level, not by its frequency alone.
 */
export function loopPhaseReasons(measured: Measured): Reason[] {
  const { modes, commanded, limits } = measured;
  const low = modes.modes.filter(
    (mode) => mode.kind === "structure" && mode.frequencyHz < limits.loopReach * commanded.topHz,
  );
  return low.map((mode) => meetsLoop(mode, measured));
}

function meetsLoop(mode: Mode, measured: Measured): Reason {
  const { limits, timeline } = measured;
  const worst = loudestAxis(mode, HALF_WIDTH, measured);
  const filter = worst && filterAt(mode.frequencyHz, worst.axis, timeline);
  if (worst === null || filter === null) {
    return unknown(
      "loop-phase",
      `The mode at ${say(mode.frequencyHz)} Hz is low enough to meet the control loop; without raw and filtered ` +
        "gyro side by side the loop's phase there is not known.",
      { required: false, axis: worst?.axis ?? null },
    );
  }
  const { lagDeg, gain } = filter;
  const ci95Deg = withFrequency(filter, mode);
  const seen = (rms: number): number => rms * gain;
  const lets = grade(seen(worst.level.rms), [seen(worst.level.ci95[0]), seen(worst.level.ci95[1])], {
    marginal: limits.loopMarginalDps,
  });
  const late = grade(lagDeg, ci95Deg, { marginal: limits.loopPhaseDeg });
  const meets = late.level !== "ok" && lets.level !== "ok";
  return {
    id: "loop-phase",
    level: meets ? "marginal" : "ok",
    value: lagDeg,
    ci95: ci95Deg,
    limit: limits.loopPhaseDeg,
    unit: "deg",
    axis: worst.axis,
    message:
      `The mode at ${say(mode.frequencyHz)} Hz is low enough to meet the control loop: the gyro filters let ` +
      `${say(seen(worst.level.rms))} deg/s RMS of it through (limit ${say(limits.loopMarginalDps)}) and delay it by ` +
      `${say(lagDeg)} degrees (${sayRange(ci95Deg)}; limit ${say(limits.loopPhaseDeg)}).` +
      (meets ? straddleNote(late.straddles ? late : lets) : ""),
    required: false,
  };
}

/** Interval of the lag with what the mode's frequency is uncertain by: lag goes as frequency. */
function withFrequency({ lagDeg, ci95Deg }: FilterAt, { frequencyHz, ci95Hz }: Mode): Interval {
  const off = ((ci95Hz[1] - ci95Hz[0]) / 2 / frequencyHz) * lagDeg;
  const half = Math.hypot((ci95Deg[1] - ci95Deg[0]) / 2, off);
  return [lagDeg - half, lagDeg + half];
}

/** What the gyro filters do at one frequency. */
export interface FilterAt {
  readonly gain: number;
  readonly lagDeg: number;
  readonly ci95Deg: Interval;
}

/**
 * Gain and lag of the gyro filters at a frequency, from raw and filtered gyro; null when not both are logged. The
 * phase's deviation is √((1 − γ²) / (2 γ² n)) rad for n independent averages.
 *
 * @see J. S. Bendat, A. G. Piersol, Random Data, section 9.2
 */
export function filterAt(hz: Hertz, axis: Axis, timeline: Timeline): FilterAt | null {
  const raw = timeline.gyroRaw[axis];
  const filtered = timeline.gyroFiltered[axis];
  if (raw === null || filtered === null) return null;
  const { sampleRate, airborne, valid } = timeline;
  const segmentLength = nearestPowerOfTwo(sampleRate / 2);
  let left = Math.floor(SECONDS * sampleRate);
  const spans = airborne.flatMap(({ from, to }) => {
    const end = Math.min(to, from + left);
    left -= Math.max(0, end - from);
    return end > from ? [{ from, to: end }] : [];
  });
  const cross = crossSpectrum(raw, filtered, { sampleRate, segmentLength, spans, valid });
  if (cross.averages < 4) return null;
  const bin = Math.round((hz * segmentLength) / sampleRate);
  const { gain, phase } = frequencyResponse(cross);
  // The filters delay about alike from one bin to the next: the lag there is that of the bin, brought to the frequency.
  const lagDeg = (((-phase[bin]! * 180) / Math.PI) * hz * segmentLength) / (bin * sampleRate);
  const gamma2 = coherence(cross)[bin]!;
  if (!Number.isFinite(lagDeg) || !(gamma2 > 0)) return null;
  const sd = Math.sqrt(Math.max(0, 1 - gamma2) / (gamma2 * cross.edof));
  const half = (1.96 * sd * 180) / Math.PI;
  return { gain: gain[bin]!, lagDeg, ci95Deg: [lagDeg - half, lagDeg + half] };
}
