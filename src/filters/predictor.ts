import { AXES, type Axis, type Hertz, type PerAxis, perAxis } from "../units.js";
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
  const difference = differencePower(bands.axis);
  const meters = levels.map((level) => new DelayMeter(typicalState(level), excitation.loopRate));
  const present = AXES.filter((axis) => levels.some((level) => level.axes[axis] !== undefined));
  const withDterm = present.filter((axis) => options.dtermGain[axis] !== null);
  const overLevels = (value: (l: number) => number): number =>
    levels.reduce((total, level, l) => total + level.share * value(l), 0);

  /** Mean squares per level. */
  const gyroSquares = (chain: Chain, axis: Axis): number[] | null =>
    present.includes(axis) ? spectra.after(chain.gyro).map((power) => sum(power[axis]!)) : null;
  const dtermSquares = (chain: Chain, axis: Axis): number[] | null => {
    if (!withDterm.includes(axis)) return null;
    const gains = spectra.stepsGain(chain.dterm);
    const scale = options.dtermGain[axis]! ** 2;
    return spectra.after(chain.gyro).map((power, l) => scale * triple(power[axis]!, gains[l]!, difference));
  };
  const aboveNyquist = difference.map((d, b) => (bands.axis.hz[b]! > excitation.logRate / 2 ? d : 0));
  const aboveShare = (chain: Chain): number => {
    const gains = spectra.stepsGain(chain.dterm);
    const power = (axis: Axis, weight: Float64Array): number =>
      overLevels((l) => triple(spectra.after(chain.gyro)[l]![axis]!, gains[l]!, weight)) *
      options.dtermGain[axis]! ** 2;
    const all = withDterm.map((axis) => power(axis, difference));
    const worst = all.indexOf(Math.max(...all));
    return worst < 0 || all[worst] === 0 ? 0 : power(withDterm[worst]!, aboveNyquist) / all[worst]!;
  };
  const overFlight = (squares: number[] | null): number | null =>
    squares === null ? null : Math.sqrt(overLevels((l) => squares[l]!));

  return {
    bands,
    gyroPower: (steps, axis) => {
      const total = new Float64Array(bands.axis.hz.length);
      spectra.after(steps).forEach((power, l) => {
        power[axis]?.forEach((v, b) => {
          total[b] = total[b]! + levels[l]!.share * v;
        });
      });
      return total;
    },
    quick: (chain) => ({
      delayMs: overLevels((l) => meters[l]!.delayMs(chain)),
      gyroDelayMs: overLevels((l) => meters[l]!.gyroDelayMs(chain)),
      dtermRms: Math.max(0, ...withDterm.map((axis) => overFlight(dtermSquares(chain, axis)) ?? 0)),
    }),
    predict: (chain) => {
      const delays = meters.map((meter) => meter.delayMs(chain));
      const gyro = perAxis((axis) => gyroSquares(chain, axis));
      const dterm = perAxis((axis) => dtermSquares(chain, axis));
      const rootAt = (squares: number[] | null, l: number): number | null =>
        squares === null ? null : Math.sqrt(squares[l]!);
      return {
        delayMs: overLevels((l) => delays[l]!),
        gyroDelayMs: overLevels((l) => meters[l]!.gyroDelayMs(chain)),
        delayRangeMs: [Math.min(...delays), Math.max(...delays)],
        phaseDeg: overLevels((l) => meters[l]!.phaseDeg(chain, options.crossoverHz)),
        gyroPhaseDeg: overLevels((l) => meters[l]!.gyroPhaseDeg(chain, options.crossoverHz)),
        gyroRms: perAxis((axis) => overFlight(gyro[axis])),
        dtermRms: perAxis((axis) => overFlight(dterm[axis])),
        aboveNyquistShare: aboveShare(chain),
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
