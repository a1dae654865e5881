import type { Reason } from "../result.js";
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
  const worst = worstAxis(measured, cruise);
  const motor = worstMotor(measured, cruise);
  if (worst === null && motor === null) {
    return [unknown("balance", "Too little calm flight to measure the once-per-turn line.")];
  }
  return [...(worst ? [worst] : []), ...(motor ? [motor] : [])];
}

function worstAxis(measured: Measured, cruise: Interval): Reason | null {
  const levels = AXES.flatMap((axis) => {
    const level = onceLevel(axis, measured);
    return level === null ? [] : [{ axis, ...level }];
  });
  const worst = levels.sort((a, b) => b.value - a.value)[0];
  if (worst === undefined) return null;
  const { limits } = measured;
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

function worstMotor({ rotor, limits }: Measured, cruise: Interval): Reason | null {
  const motors = [...rotor.motors].sort((a, b) => b.onceDps - a.onceDps);
  const worst = motors[0];
  if (worst === undefined) return null;
  const hz = rotor.referenceHz ?? Math.sqrt(cruise[0] * cruise[1]);
  const result = grade(worst.onceDps, worst.ci95Dps, onceSteps(hz, limits));
  const stands = rotor.worstMotor === worst.motor ? " It stands out from the others." : "";
  return {
    id: "balance",
    level: result.level,
    value: worst.onceDps,
    ci95: worst.ci95Dps,
    limit: result.limit,
    unit: "deg/s",
    axis: null,
    message:
      `Motor ${worst.motor} shakes the craft most: ${say(worst.onceDps)} deg/s once per turn at ${say(hz)} Hz ` +
      `(${sayRange(worst.ci95Dps)}); limit ${say(result.limit)}.${stands}${straddleNote(result)}`,
    required: true,
  };
}
