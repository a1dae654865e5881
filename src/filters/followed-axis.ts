import type { Hertz } from "../units.js";
import { type FlightState, type RotorNotchStep, sectionsOf } from "./chain.js";
import type { AxisExcitation, AxisSetting } from "./excitation.js";
import { followedGain, logNotch } from "./followed.js";
import { type LinedFrame, splitLevel } from "./line-floor.js";
import type { PlannedLine } from "./line-plan.js";
import { frequencyAxis, powerGain } from "./power-gain.js";

/** One axis at one level after notches that follow the rotors ran over it. */
export interface FollowedAxis {
  /** Floor below the log's Nyquist after the notches, (deg/s)²/Hz. */
  readonly floor: Float64Array;
  /** What is left of every line of `AxisExcitation.lines`, (deg/s)²; NaN for those that only meet other lines' notches. */
  readonly left: Float64Array;
  /** What is left of lines that show where they truly are, as `AxisExcitation.shown`. */
  readonly shown: Float64Array;
}

/** Mean power gain per bin of notches as they ran over the log, and as they would truly act at those frequencies. */
export interface LogGains {
  readonly ran: Float64Array;
  readonly true: Float64Array;
}

const STATES = 12;

export function logGains(
  step: RotorNotchStep,
  states: readonly FlightState[],
  { grid, loopRate }: AxisSetting,
): LogGains {
  const every = Math.max(1, states.length / STATES);
  const picked = Array.from(
    { length: Math.min(STATES, states.length) },
    (_, i) => states[Math.floor(i * every)]!.rotorHz,
  );
  const ran = followedGain(step, picked, grid);
  const folds = picked.some((speeds) =>
    step.orders.some((order) =>
      speeds.some((hz) => logNotch(step, order * hz, grid.sampleRate)?.folded !== false),
    ),
  );
  if (!folds) return { ran, true: ran };
  const axis = frequencyAxis(
    Float64Array.from({ length: grid.bins }, (_, k) => (k * grid.sampleRate) / grid.segmentLength),
    loopRate,
  );
  const mean = new Float64Array(grid.bins);
  for (const rotorHz of picked) {
    const gain = powerGain(sectionsOf([step], { throttle: null, rotorHz }, loopRate), axis);
    for (let k = 0; k < mean.length; k++) mean[k] = mean[k]! + gain[k]! / picked.length;
  }
  return { ran, true: mean };
}

/** Share of the true gain below which what ran over the log has taken too much of a bin to be led back from. */
const TOO_DEEP = 0.25;

/** Gain above which notches barely touch a bin: the floor without them is then as good. */
const BARELY = 0.85;

/** Splits what the notches left of one axis at one level into floor and lines, led back to true frequencies. */
export function followedAxis(
  frames: readonly LinedFrame[],
  at: {
    readonly step: RotorNotchStep;
    readonly before: AxisExcitation;
    readonly gains: LogGains;
    readonly setting: AxisSetting;
  },
): FollowedAxis {
  const { step, before, gains, setting } = at;
  const { binWidth, loopRate, grid, fromHz } = setting;
  const { floor, excess, shown } = splitLevel(frames, Math.ceil(fromHz / binWidth), grid.sampleRate / 2);
  const left: number[] = [];
  frames.forEach(({ clusters }, state) => {
    clusters.forEach((cluster, c) => {
      const weights = cluster.lines.reduce((total, line) => total + line.weight, 0);
      const own = cluster.lines.every((line) => isFollowed(step, line, grid.sampleRate));
      for (const { weight } of cluster.lines) {
        const share = (binWidth * weight) / (weights * frames.length);
        left.push(own ? excess[state]![c]! * share : Number.NaN);
      }
    });
  });
  const least = grid.sampleRate / Math.max(loopRate, grid.sampleRate);
  return {
    floor: floor.map((v, k) => {
      const [ran, wanted] = [gains.ran[k]!, gains.true[k]!];
      if (wanted > BARELY || ran < TOO_DEEP * wanted) return before.floor[k]! * wanted;
      return (Math.max(v - before.folded * ran, v * least) * wanted) / Math.max(ran, 1e-9);
    }),
    left: Float64Array.from(left),
    shown,
  };
}

function isFollowed(step: RotorNotchStep, { order, hz }: PlannedLine, logRate: Hertz): boolean {
  return step.orders.includes(order) && hz > step.lowestHz && logNotch(step, hz, logRate) !== null;
}
