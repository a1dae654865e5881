import { AXES, type Axis, type Hertz, type PerAxis, perAxis } from "../units.js";
import { type Bands, bandPower, bandsOf, placeNotches } from "./band-power.js";
import {
  type Chain,
  type FilterStep,
  type FlightState,
  follows,
  type RotorNotchStep,
  sectionsOf,
} from "./chain.js";
import { chainDelayMs } from "./dc-delay.js";
import type { Excitation, LevelExcitation } from "./excitation.js";
import { differencePower, powerGain } from "./power-gain.js";
import { response } from "./response.js";
import type { Section } from "./section.js";

/** What a chain would have left of this flight's vibration, and what it would cost. Open loop. */
export interface Prediction {
  /** From raw gyro to D-term for slow signals, half a step of the difference included; mean over the flight, ms. */
  readonly delayMs: number;
  /** From raw to filtered gyro, ms. */
  readonly gyroDelayMs: number;
  /** Least and most of `delayMs` over the throttle levels. */
  readonly delayRangeMs: readonly [number, number];
  /** Lag at the crossover, degrees: whole way to the D-term beyond an ideal derivative; and of the filtered gyro. */
  readonly phaseDeg: number;
  readonly gyroPhaseDeg: number;
  /** RMS above commanded motion, deg/s. */
  readonly gyroRms: PerAxis<number | null>;
  /** RMS above commanded motion, D-term units. */
  readonly dtermRms: PerAxis<number | null>;
  readonly levels: readonly LevelPrediction[];
}

export interface LevelPrediction {
  readonly throttle: number | null;
  readonly delayMs: number;
  readonly gyroRms: PerAxis<number | null>;
  readonly dtermRms: PerAxis<number | null>;
}

export interface PredictorOptions {
  /** Lowest frequency that counts as vibration: the top of commanded motion. */
  readonly fromHz: Hertz;
  readonly crossoverHz: Hertz;
  /** D-term units per deg/s², per axis; null where the axis has no D-term. */
  readonly dtermGain: PerAxis<number | null>;
}

/** Predicts chains for one flight. Filter responses and notched spectra are kept, so that a search is cheap. */
export interface Predictor {
  readonly bands: Bands;
  predict(chain: Chain): Prediction;
  /** Largest D-term RMS over the axes and delay, without the rest: for searching. */
  quick(chain: Chain): { readonly delayMs: number; readonly dtermRms: number };
  /** Power per band of an axis, all levels, after some gyro steps, (deg/s)². */
  gyroPower(steps: readonly FilterStep[], axis: Axis): Float64Array;
}

/**
 * @param excitation from `excitationOf`
 * @param options where vibration begins, the crossover, the D-term's gain
 */
export function predictorOf(excitation: Excitation, options: PredictorOptions): Predictor {
  const bands = bandsOf(options.fromHz, excitation.loopRate);
  const levels = excitation.levels.filter((level) => level.share > 0);
  const spectra = new GyroSpectra(excitation, levels, bands);
  const difference = differencePower(bands.axis);
  const dtermGains = remember((key: string, steps: readonly FilterStep[], l: number) =>
    spectra.stepsGain(steps, l, key).map((g, b) => g * difference[b]!),
  );
  const present = AXES.filter((axis) => levels.some((level) => level.axes[axis] !== undefined));
  const costs = levels.map((level) => new DelayMeter(typicalState(level), excitation.loopRate));

  const dtermMs = (chain: Chain, l: number, axis: Axis): number | null => {
    const gain = options.dtermGain[axis];
    if (gain === null || !present.includes(axis)) return null;
    const key = JSON.stringify(chain.dterm);
    return gain ** 2 * dot(spectra.after(chain.gyro, l)[axis]!, dtermGains(key, chain.dterm, l));
  };
  const gyroMs = (chain: Chain, l: number, axis: Axis): number | null =>
    present.includes(axis) ? sum(spectra.after(chain.gyro, l)[axis]!) : null;
  const overLevels = (value: (l: number) => number): number =>
    levels.reduce((total, level, l) => total + level.share * value(l), 0);
  const rmsOverFlight = (ms: (l: number) => number | null): number | null =>
    levels.length === 0 || ms(0) === null ? null : Math.sqrt(overLevels((l) => ms(l) ?? 0));

  return {
    bands,
    gyroPower: (steps, axis) => {
      const total = new Float64Array(bands.axis.hz.length);
      levels.forEach((level, l) => {
        spectra.after(steps, l)[axis]?.forEach((v, b) => {
          total[b] = total[b]! + level.share * v;
        });
      });
      return total;
    },
    quick: (chain) => ({
      delayMs: overLevels((l) => costs[l]!.delayMs(chain)),
      dtermRms: Math.max(0, ...AXES.map((axis) => rmsOverFlight((l) => dtermMs(chain, l, axis)) ?? 0)),
    }),
    predict: (chain) => {
      const delays = costs.map((cost) => cost.delayMs(chain));
      const root = (ms: number | null): number | null => (ms === null ? null : Math.sqrt(ms));
      return {
        delayMs: overLevels((l) => delays[l]!),
        gyroDelayMs: overLevels((l) => costs[l]!.gyroDelayMs(chain)),
        delayRangeMs: [Math.min(...delays), Math.max(...delays)],
        phaseDeg: overLevels((l) => costs[l]!.phaseDeg(chain, options.crossoverHz)),
        gyroPhaseDeg: overLevels((l) => costs[l]!.gyroPhaseDeg(chain, options.crossoverHz)),
        gyroRms: perAxis((axis) => rmsOverFlight((l) => gyroMs(chain, l, axis))),
        dtermRms: perAxis((axis) => rmsOverFlight((l) => dtermMs(chain, l, axis))),
        levels: levels.map((level, l) => ({
          throttle: level.level.throttle,
          delayMs: delays[l]!,
          gyroRms: perAxis((axis) => root(gyroMs(chain, l, axis))),
          dtermRms: perAxis((axis) => root(dtermMs(chain, l, axis))),
        })),
      };
    },
  };
}

/** Power per band after the gyro steps, per level and axis; everything computed once and kept. */
class GyroSpectra {
  private readonly notched = new Map<string, Partial<Record<Axis, Float64Array>>>();
  private readonly filtered = new Map<string, Partial<Record<Axis, Float64Array>>>();
  private readonly gains = new Map<string, Float64Array>();
  private readonly excitation: Excitation;
  private readonly levels: readonly LevelExcitation[];
  private readonly bands: Bands;

  constructor(excitation: Excitation, levels: readonly LevelExcitation[], bands: Bands) {
    this.excitation = excitation;
    this.levels = levels;
    this.bands = bands;
  }

  after(steps: readonly FilterStep[], l: number): Partial<Record<Axis, Float64Array>> {
    const key = `${l} ${JSON.stringify(steps)}`;
    const known = this.filtered.get(key);
    if (known !== undefined) return known;
    const notches = steps.filter((step) => step.kind === "rotor notches");
    if (notches.length > 1) throw new RangeError("a chain may hold one set of rotor notches");
    const rest = steps.filter((step) => step.kind !== "rotor notches");
    const gain = this.stepsGain(rest, l, JSON.stringify(rest));
    const start = this.afterNotches(notches[0] ?? null, l);
    const out: Partial<Record<Axis, Float64Array>> = {};
    for (const axis of AXES) {
      const power = start[axis];
      if (power !== undefined) out[axis] = power.map((v, b) => v * gain[b]!);
    }
    this.filtered.set(key, out);
    return out;
  }

  /** Power gain of steps that do not follow the rotors. */
  stepsGain(steps: readonly FilterStep[], l: number, key: string): Float64Array {
    if (steps.some((step) => step.kind === "rotor notches")) {
      throw new RangeError("notches that follow the rotors belong in the gyro path");
    }
    const at = `${steps.some(follows) ? l : "all"} ${key}`;
    let gain = this.gains.get(at);
    if (gain === undefined) {
      const state = { throttle: this.levels[l]!.level.throttle, rotorHz: [] };
      gain = powerGain(sectionsOf(steps, state, this.excitation.loopRate), this.bands.axis);
      this.gains.set(at, gain);
    }
    return gain;
  }

  private afterNotches(step: RotorNotchStep | null, l: number): Partial<Record<Axis, Float64Array>> {
    const key = `${l} ${JSON.stringify(step)}`;
    let out = this.notched.get(key);
    if (out === undefined) {
      const level = this.levels[l]!;
      const notches = step === null ? null : placeNotches(level, step, this.bands);
      out = {};
      for (const axis of AXES) {
        if (level.axes[axis] !== undefined) {
          out[axis] = bandPower(this.excitation, level, { axis, bands: this.bands, notches });
        }
      }
      this.notched.set(key, out);
    }
    return out;
  }
}

/** Delay and phase of chains in one state of the flight. */
class DelayMeter {
  private readonly known = new Map<string, number>();
  private readonly state: FlightState;
  private readonly loopRate: Hertz;

  constructor(state: FlightState, loopRate: Hertz) {
    this.state = state;
    this.loopRate = loopRate;
  }

  gyroDelayMs({ gyro }: Chain): number {
    return gyro.reduce((total, step) => total + this.stepMs(step), 0);
  }

  /** With half a step of the loop for the difference that makes the derivative. */
  delayMs(chain: Chain): number {
    return (
      this.gyroDelayMs(chain) +
      chain.dterm.reduce((total, step) => total + this.stepMs(step), 0) +
      500 / this.loopRate
    );
  }

  gyroPhaseDeg({ gyro }: Chain, hz: Hertz): number {
    return lagDeg(sectionsOf(gyro, this.state, this.loopRate), hz, this.loopRate);
  }

  phaseDeg(chain: Chain, hz: Hertz): number {
    const after = lagDeg(sectionsOf(chain.dterm, this.state, this.loopRate), hz, this.loopRate);
    return this.gyroPhaseDeg(chain, hz) + after + (180 * hz) / this.loopRate;
  }

  private stepMs(step: FilterStep): number {
    const key = JSON.stringify(step);
    let ms = this.known.get(key);
    if (ms === undefined) {
      ms = chainDelayMs(sectionsOf([step], this.state, this.loopRate), this.loopRate);
      this.known.set(key, ms);
    }
    return ms;
  }
}

/**
 * Phase lag of a chain at a frequency, section by section, so that it is not wrapped.
 *
 * @returns degrees, positive where the output is late
 * @example lagDeg([lowPass2(80, 4000)], 80, 4000) // 90
 */
export function lagDeg(sections: readonly Section[], hz: Hertz, rate: Hertz): number {
  return sections.reduce((total, section) => {
    const { re, im } = response([section], hz, rate);
    return total - (Math.atan2(im, re) * 180) / Math.PI;
  }, 0);
}

/** The level's throttle, and each motor's mean speed in it. */
function typicalState({ level, states }: LevelExcitation): FlightState {
  const motors = states[0]?.rotorHz.length ?? 0;
  const rotorHz = Array.from({ length: motors }, (_, m) => {
    const seen = states.map((state) => state.rotorHz[m]!).filter((hz) => !Number.isNaN(hz));
    return seen.reduce((total, hz) => total + hz, 0) / seen.length;
  }).filter((hz) => !Number.isNaN(hz));
  return { throttle: level.throttle, rotorHz };
}

function remember(
  make: (key: string, steps: readonly FilterStep[], l: number) => Float64Array,
): (key: string, steps: readonly FilterStep[], l: number) => Float64Array {
  const known = new Map<string, Float64Array>();
  return (key, steps, l) => {
    const at = `${l} ${key}`;
    let value = known.get(at);
    if (value === undefined) {
      value = make(key, steps, l);
      known.set(at, value);
    }
    return value;
  };
}

function dot(a: Float64Array, b: Float64Array): number {
  let total = 0;
  for (let k = 0; k < a.length; k++) total += a[k]! * b[k]!;
  return total;
}

function sum(a: Float64Array): number {
  let total = 0;
  for (let k = 0; k < a.length; k++) total += a[k]!;
  return total;
}
