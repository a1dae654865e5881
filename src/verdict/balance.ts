import type { Reason } from "../result.js";
import type { MotorImbalance } from "../rotor/rotor.js";
import { AXES, type Axis, type Interval } from "../units.js";
import { rmsRateFor } from "./footage-optics.js";
import { excessLevel } from "./line-level.js";
import type { Measured } from "./measured.js";
import { lineSpan } from "./once-per-turn.js";
import { grade, say, sayRange, straddleNote, unknown } from "./reason.js";

/** Once-per-turn shaking at cruise: all rotors together on the worst axis, and the worst motor when known. */
export function balanceReasons(measured: Measured): Reason[] {
  const { timeline } = measured;
  const cruise = measured.cruise?.bandHz ?? null;
  if (cruise === null) {
    return [unknown("balance", "The rotors' speed is not known, so their once-per-turn line is not known.")];
  }
  if (cruise[1] > 0.98 * (timeline.sampleRate / 2)) {
    return [
      unknown(
        "balance",
        `The rotors turn at ${sayRange(cruise)} Hz, above the log's Nyquist: the line is folded.`,
      ),
    ];
  }
  const levels = onceOnAxes(measured);
  const worst = worstAxis(measured, levels, cruise);
  const motor = worstMotor(measured, levels, cruise);
  if (worst === null && motor === null) {
    return [unknown("balance", "Too little unbroken calm flight to measure the once-per-turn line.")];
  }
  return [...(worst ? [worst] : []), ...(motor ? [motor] : [])];
}

/** The once-per-turn line of all rotors together on one axis. */
interface OnceOnAxis {
  readonly axis: Axis;
  /** Amplitude, deg/s. */
  readonly value: number;
  readonly ci95: Interval;
}

/** The line on every axis that has it, the strongest first. */
function onceOnAxes(measured: Measured): OnceOnAxis[] {
  const levels = AXES.flatMap((axis) => {
    const level = onceLevel(axis, measured);
    return level === null ? [] : [{ axis, ...level }];
  });
  return levels.sort((a, b) => b.value - a.value);
}

function worstAxis({ limits }: Measured, [worst]: readonly OnceOnAxis[], cruise: Interval): Reason | null {
  if (worst === undefined) return null;
  const hz = Math.sqrt(cruise[0] * cruise[1]);
  const result = grade(worst.value, worst.ci95, onceSteps(hz, limits));
  return {
    id: "balance",
    level: result.level,
    value: worst.value,
    ci95: worst.ci95,
    limit: result.limit,
    unit: "deg/s",
    axis: worst.axis,
    message:
      `Once per turn, ${sayRange(cruise)} Hz in cruise, ${worst.axis} swings by ${say(worst.value)} deg/s ` +
      `(${sayRange(worst.ci95)}), all rotors together; limit ${say(result.limit)}.${straddleNote(result)}`,
    required: true,
  };
}

/** Limits of the once-per-turn amplitude at a frequency, deg/s. */
export function onceSteps(hz: number, limits: Measured["limits"]): { marginal: number; loud: number } {
  const amplitude = (pixels: number): number => Math.SQRT2 * rmsRateFor(pixels, hz, limits.referenceFocalPx);
  return { marginal: amplitude(limits.balanceMarginalPx), loud: amplitude(limits.balanceLoudPx) };
}

/**
 * Amplitude of the once-per-turn line: √2 of the RMS that stands above its surroundings, where the rotors turn in
 * each calm frame, mean square over frames.
 */
export function onceLevel(
  axis: Axis,
  { frames, rotor }: Pick<Measured, "frames" | "rotor">,
): { value: number; ci95: Interval } | null {
  const spectrum = frames.gyro[axis];
  if (spectrum === null) return null;
  const line = { order: 1, measured: { frames, rotor } };
  const level = excessLevel(
    spectrum,
    (k) => lineSpan(k, axis, line),
    (k) => frames.kind[k] === "calm",
  );
  if (level === null) return null;
  const amplitude = (rms: number): number => Math.SQRT2 * rms;
  return { value: amplitude(level.rms), ci95: [amplitude(level.ci95[0]), amplitude(level.ci95[1])] };
}

function worstMotor(measured: Measured, levels: readonly OnceOnAxis[], cruise: Interval): Reason | null {
  const { rotor, limits } = measured;
  const worst = [...rotor.motors].sort((a, b) => b.onceDps - a.onceDps)[0];
  if (worst === undefined) return null;
  const hz = rotor.referenceHz ?? Math.sqrt(cruise[0] * cruise[1]);
  const { axis, value, ci95 } = onWorstAxis(worst, levels);
  const result = grade(value, ci95, onceSteps(hz, limits));
  const stands = rotor.worstMotor === worst.motor ? "and stands out" : "though none stands out";
  return {
    id: "balance",
    level: result.level,
    value,
    ci95,
    limit: result.limit,
    unit: "deg/s",
    axis,
    message:
      `Motor ${worst.motor} is the worst balanced, ${stands}: ${say(worst.onceDps)} deg/s once per turn at ${say(hz)} Hz over all axes, what structures add taken off` +
      `${axis === null ? "" : `, ${say(value)} of it on ${axis}`} (${sayRange(ci95)}); ` +
      `limit ${say(result.limit)}.${straddleNote(result)}`,
    required: true,
  };
}

/**
 * A motor's amplitude is known over all axes together (root of the sum of squares), while the limit holds for the
 * image's movement by one of them. Imbalance turns with the rotor and shakes every craft's axes in one proportion,
 * whichever motor it is, so the motor gets the share that the worst axis has of the line of all rotors. Without that
 * line the whole is taken for one axis: an upper bound.
 *
 * The interval has the motor's own and the line's, which holds what flights of one craft differ by.
 */
function onWorstAxis(
  { onceDps, ci95Dps }: MotorImbalance,
  levels: readonly OnceOnAxis[],
): { axis: Axis | null; value: number; ci95: Interval } {
  const [worst] = levels;
  const total = Math.hypot(...levels.map((level) => level.value));
  if (worst === undefined || !(total > 0)) return { axis: null, value: onceDps, ci95: ci95Dps };
  const value = (onceDps * worst.value) / total;
  const line = Math.log(worst.ci95[1] / worst.value);
  const own = onceDps > 0 ? Math.log(ci95Dps[1] / onceDps) : 0;
  const half = Math.hypot(line, own);
  return { axis: worst.axis, value, ci95: [value * Math.exp(-half), value * Math.exp(half)] };
}
