import { AXES, type Axis } from "../units.js";
import { type BandDoubt, bandDoubt } from "./band-doubt.js";
import { type Bands, bandPower, type PlacedNotches, placeNotches } from "./band-power.js";
import { type FilterStep, follows, type RotorNotchStep, sectionsOf } from "./chain.js";
import type { Excitation, LevelExcitation } from "./excitation.js";
import { powerGain } from "./power-gain.js";

/** Power per band of every axis that is logged, (deg/s)². */
export type AxisPower = Partial<Record<Axis, Float64Array>>;

/**
 * Power per band after the gyro steps, per level and axis, and power gains of steps; everything computed once and kept,
 * since a search asks for the same parts in hundreds of combinations.
 */
export class GyroSpectra {
  private readonly notched = new Map<string, AxisPower[]>();
  private readonly places = new Map<string, readonly PlacedNotches[]>();
  private readonly doubted = new Map<string, Partial<Record<Axis, BandDoubt>>[]>();
  private readonly filtered = new Map<string, AxisPower[]>();
  private readonly gains = new Map<string, Float64Array[]>();
  private readonly keys = new WeakMap<readonly FilterStep[], string>();
  private readonly excitation: Excitation;
  private readonly levels: readonly LevelExcitation[];
  private readonly bands: Bands;

  constructor(excitation: Excitation, levels: readonly LevelExcitation[], bands: Bands) {
    this.excitation = excitation;
    this.levels = levels;
    this.bands = bands;
  }

  /** Per level and axis, (deg/s)² per band. */
  after(steps: readonly FilterStep[]): readonly AxisPower[] {
    return kept(this.filtered, this.keyOf(steps), () => {
      const notches = notchesOf(steps);
      const gains = this.stepsGain(steps.filter((step) => step.kind !== "rotor notches"));
      return this.afterNotches(notches).map((power, l) => {
        const out: AxisPower = {};
        for (const axis of AXES) {
          const before = power[axis];
          if (before !== undefined) out[axis] = before.map((v, b) => v * gains[l]![b]!);
        }
        return out;
      });
    });
  }

  /** Power gain per level of steps that do not follow the rotors. */
  stepsGain(steps: readonly FilterStep[]): readonly Float64Array[] {
    return kept(this.gains, this.keyOf(steps), () => {
      if (steps.some((step) => step.kind === "rotor notches")) {
        throw new RangeError("notches that follow the rotors belong in the gyro path");
      }
      const at = (throttle: number | null): Float64Array =>
        powerGain(sectionsOf(steps, { throttle, rotorHz: [] }, this.excitation.loopRate), this.bands.axis);
      if (steps.some(follows)) return this.levels.map(({ level }) => at(level.throttle));
      const same = at(null);
      return this.levels.map(() => same);
    });
  }

  /** Steps in words, remembered by the list itself. */
  private keyOf(steps: readonly FilterStep[]): string {
    let key = this.keys.get(steps);
    if (key === undefined) {
      key = JSON.stringify(steps);
      this.keys.set(steps, key);
    }
    return key;
  }

  /** What the power after the notches of some gyro steps rests on beside measurement, per level and axis. */
  doubts(steps: readonly FilterStep[]): readonly Partial<Record<Axis, BandDoubt>>[] {
    const { bands, excitation } = this;
    const step = notchesOf(steps);
    return kept(this.doubted, JSON.stringify(step), () => {
      const placed = this.placed(step);
      return this.levels.map((level, l) =>
        perPresent(level, (axis) =>
          bandDoubt(excitation, level, { axis, bands, notches: placed?.[l] ?? null }),
        ),
      );
    });
  }

  private afterNotches(step: RotorNotchStep | null): readonly AxisPower[] {
    const { bands, excitation } = this;
    return kept(this.notched, JSON.stringify(step), () => {
      const placed = this.placed(step);
      return this.levels.map((level, l) =>
        perPresent(level, (axis) =>
          bandPower(excitation, level, { axis, bands, notches: placed?.[l] ?? null }),
        ),
      );
    });
  }

  private placed(step: RotorNotchStep | null): readonly PlacedNotches[] | null {
    if (step === null) return null;
    return kept(this.places, JSON.stringify(step), () => {
      const followed = this.excitation.follow(step);
      return this.levels.map((level) => {
        const at = this.excitation.levels.indexOf(level);
        return placeNotches(level, step, { bands: this.bands, followed: followed?.[at] ?? null });
      });
    });
  }
}

function notchesOf(steps: readonly FilterStep[]): RotorNotchStep | null {
  const notches = steps.filter((step) => step.kind === "rotor notches");
  if (notches.length > 1) throw new RangeError("a chain may hold one set of rotor notches");
  return notches[0] ?? null;
}

function perPresent<T>(level: LevelExcitation, make: (axis: Axis) => T): Partial<Record<Axis, T>> {
  const out: Partial<Record<Axis, T>> = {};
  for (const axis of AXES) {
    if (level.axes[axis] !== undefined) out[axis] = make(axis);
  }
  return out;
}

function kept<T>(known: Map<string, T>, key: string, make: () => T): T {
  let value = known.get(key);
  if (value === undefined) {
    value = make();
    known.set(key, value);
  }
  return value;
}
