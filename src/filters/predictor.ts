import { AXES, type Axis, type Hertz, type Interval, type PerAxis, perAxis } from "../units.js";
import { rmsInterval, sumDoubt } from "./band-doubt.js";
import { type Bands, bandsOf } from "./band-power.js";
import type { Chain, FilterStep } from "./chain.js";
import { DelayMeter, typicalState } from "./delay-meter.js";
import type { Excitation } from "./excitation.js";
import { GyroSpectra } from "./gyro-spectra.js";
import { differencePower } from "./power-gain.js";

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
  /** 95 % intervals: chance, folded lines that may be taken for something else, a floor that need not be white. */
  readonly gyroCi95: PerAxis<Interval | null>;
  readonly dtermCi95: PerAxis<Interval | null>;
  /** Share of the worst axis' D-term power from above the log's Nyquist: it rests on what is assumed of folded noise. */
  readonly aboveNyquistShare: number;
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
  /** Delays, and the largest D-term RMS over the axes, without the rest: for searching. */
  quick(chain: Chain): { readonly delayMs: number; readonly gyroDelayMs: number; readonly dtermRms: number };
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
  const meters = levels.map((level) => new DelayMeter(typicalState(level), excitation.loopRate));
  const mean: Mean = (value) => levels.reduce((total, level, l) => total + level.share * value(l), 0);
  const squares = new Squares({ excitation, options, bands, spectra, mean });
  return {
    bands,
    gyroPower: (steps, axis) =>
      bands.axis.hz.map((_, b) => mean((l) => spectra.after(steps)[l]![axis]?.[b] ?? 0)),
    quick: (chain) => ({
      delayMs: mean((l) => meters[l]!.delayMs(chain)),
      gyroDelayMs: mean((l) => meters[l]!.gyroDelayMs(chain)),
      dtermRms: Math.max(0, ...squares.withDterm.map((axis) => squares.rms(squares.dterm(chain, axis)) ?? 0)),
    }),
    predict: (chain) => {
      const delays = meters.map((meter) => meter.delayMs(chain));
      const gyro = perAxis((axis) => squares.gyro(chain, axis));
      const dterm = perAxis((axis) => squares.dterm(chain, axis));
      const rootAt = (of: number[] | null, l: number): number | null =>
        of === null ? null : Math.sqrt(of[l]!);
      return {
        delayMs: mean((l) => delays[l]!),
        gyroDelayMs: mean((l) => meters[l]!.gyroDelayMs(chain)),
        delayRangeMs: [Math.min(...delays), Math.max(...delays)],
        phaseDeg: mean((l) => meters[l]!.phaseDeg(chain, options.crossoverHz)),
        gyroPhaseDeg: mean((l) => meters[l]!.gyroPhaseDeg(chain, options.crossoverHz)),
        gyroRms: perAxis((axis) => squares.rms(gyro[axis])),
        dtermRms: perAxis((axis) => squares.rms(dterm[axis])),
        gyroCi95: perAxis((axis) => squares.gyroInterval(chain, axis)),
        dtermCi95: perAxis((axis) => squares.dtermInterval(chain, axis)),
        aboveNyquistShare: squares.aboveNyquistShare(chain),
        levels: levels.map((level, l) => ({
          throttle: level.level.throttle,
          delayMs: delays[l]!,
          gyroRms: perAxis((axis) => rootAt(gyro[axis], l)),
          dtermRms: perAxis((axis) => rootAt(dterm[axis], l)),
        })),
      };
    },
  };
}

/** Mean over the levels by their share of the flight. */
type Mean = (value: (level: number) => number) => number;

interface SquaresParts {
  readonly excitation: Excitation;
  readonly options: PredictorOptions;
  readonly bands: Bands;
  readonly spectra: GyroSpectra;
  readonly mean: Mean;
}

/** Mean squares that a chain leaves, per level; null where an axis has no such signal. */
class Squares {
  readonly withDterm: readonly Axis[];
  private readonly present: readonly Axis[];
  /** Power gain of the difference, and the same above the log's Nyquist only. */
  private readonly difference: Float64Array;
  private readonly aboveNyquist: Float64Array;
  private readonly parts: SquaresParts;

  constructor(parts: SquaresParts) {
    const { excitation, options, bands } = parts;
    this.parts = parts;
    this.present = AXES.filter((axis) => excitation.levels.some((level) => level.axes[axis] !== undefined));
    this.withDterm = this.present.filter((axis) => options.dtermGain[axis] !== null);
    this.difference = differencePower(bands.axis);
    this.aboveNyquist = this.difference.map((d, b) => (bands.axis.hz[b]! > excitation.logRate / 2 ? d : 0));
  }

  gyro(chain: Chain, axis: Axis): number[] | null {
    if (!this.present.includes(axis)) return null;
    return this.parts.spectra.after(chain.gyro).map((power) => sum(power[axis]!));
  }

  dterm(chain: Chain, axis: Axis, difference = this.difference): number[] | null {
    if (!this.withDterm.includes(axis)) return null;
    const { spectra, options } = this.parts;
    const gains = spectra.stepsGain(chain.dterm);
    const scale = options.dtermGain[axis]! ** 2;
    return spectra.after(chain.gyro).map((power, l) => scale * triple(power[axis]!, gains[l]!, difference));
  }

  /** Root of the mean over the flight. */
  rms(squares: readonly number[] | null): number | null {
    return squares === null ? null : Math.sqrt(this.parts.mean((l) => squares[l]!));
  }

  gyroInterval(chain: Chain, axis: Axis): Interval | null {
    const gains = this.parts.spectra.stepsGain(withoutNotches(chain.gyro));
    return this.interval(this.gyro(chain, axis), chain, { axis, gain: (l, b) => gains[l]![b]! });
  }

  dtermInterval(chain: Chain, axis: Axis): Interval | null {
    const { spectra, options } = this.parts;
    const [first, second] = [spectra.stepsGain(withoutNotches(chain.gyro)), spectra.stepsGain(chain.dterm)];
    const scale = (options.dtermGain[axis] ?? 0) ** 2;
    const gain = (l: number, b: number): number =>
      scale * first[l]![b]! * second[l]![b]! * this.difference[b]!;
    return this.interval(this.dterm(chain, axis), chain, { axis, gain });
  }

  private interval(
    squares: readonly number[] | null,
    chain: Chain,
    { axis, gain }: { readonly axis: Axis; readonly gain: (level: number, band: number) => number },
  ): Interval | null {
    if (squares === null) return null;
    const { spectra, mean, excitation } = this.parts;
    const sums = spectra.doubts(chain.gyro).map((level, l) => sumDoubt(level[axis]!, (b) => gain(l, b)));
    const shares = excitation.levels.filter((level) => level.share > 0).map((level) => level.share);
    const total = {
      white: mean((l) => sums[l]!.white),
      lines: mean((l) => sums[l]!.lines),
      chance: mean((l) => shares[l]! * sums[l]!.chance),
    };
    const followed = chain.gyro.some((step) => step.kind === "rotor notches");
    return rmsInterval(
      mean((l) => squares[l]!),
      total,
      { common: excitation.common, unseenSd: excitation.unseenSd, followed },
    );
  }

  aboveNyquistShare(chain: Chain): number {
    const all = this.withDterm.map((axis) => this.rms(this.dterm(chain, axis)) ?? 0);
    const worst = Math.max(0, ...all);
    if (worst === 0) return 0;
    const axis = this.withDterm[all.indexOf(worst)]!;
    return ((this.rms(this.dterm(chain, axis, this.aboveNyquist)) ?? 0) / worst) ** 2;
  }
}

const withoutNotches = (steps: readonly FilterStep[]): FilterStep[] =>
  steps.filter((step) => step.kind !== "rotor notches");

function sum(a: Float64Array): number {
  let total = 0;
  for (let k = 0; k < a.length; k++) total += a[k]!;
  return total;
}

/** Σ a b c */
function triple(a: Float64Array, b: Float64Array, c: Float64Array): number {
  let total = 0;
  for (let k = 0; k < a.length; k++) total += a[k]! * b[k]! * c[k]!;
  return total;
}
