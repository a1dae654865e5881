import type { FrameGrid } from "../spectra/spectrum.js";
import { median } from "../stats/median.js";
import { quantile } from "../stats/quantile.js";
import type { Timeline } from "../timeline/timeline.js";
import type { Hertz, Seconds } from "../units.js";

/** Samples a second at which the driver of the speed curve is kept: far above any rotor's bandwidth. */
const DRIVER_RATE = 200;
/** Commands below this share of full are counted as it, so that the logarithm stays finite. */
const LEAST_COMMAND = 0.02;

/**
 * What drives the rotors' common speed, at about 200 values a second: the command and the state of the battery.
 */
export interface Driver {
  readonly rate: Hertz;
  /** Timeline samples per value. */
  readonly step: number;
  /** ln of the command 0..1, one series per motor where the log has the motors' own, else one for all. */
  readonly logCommands: readonly Float64Array[];
  /** Falls of supply: −ln(voltage / median) where the log has voltage, else used share of the throttle's time, 0..1. */
  readonly drain: Float64Array;
  readonly drainFrom: "voltage" | "throttle";
  /** 1 where the value lies in the air. */
  readonly airborne: Uint8Array;
}

/**
 * Thins the command to the driver's rate. Motor commands come before the throttle stick: they hold what the
 * controller added.
 *
 * @returns null when the log has neither throttle nor motor commands
 */
export function driverOf(timeline: Timeline): Driver | null {
  const source = timeline.motors.length > 0 ? timeline.motors : timeline.throttle ? [timeline.throttle] : [];
  if (source.length === 0) return null;
  const step = Math.max(1, Math.floor(timeline.sampleRate / DRIVER_RATE));
  const commands = source.map((s) => blockMeans(s, step, timeline.length));
  const airborne = new Uint8Array(commands[0]!.length);
  for (const span of timeline.airborne) {
    airborne.fill(1, Math.floor(span.from / step), Math.ceil(span.to / step));
  }
  const log = (u: number): number => Math.log(Math.max(LEAST_COMMAND, Number.isNaN(u) ? LEAST_COMMAND : u));
  const rate = timeline.sampleRate / step;
  const voltage = timeline.voltage ? voltageDrain(timeline.voltage, step, rate) : null;
  return {
    rate,
    step,
    logCommands: commands.map((c) => c.map(log)),
    drain: voltage ?? usedShare(commands, airborne),
    drainFrom: voltage ? "voltage" : "throttle",
    airborne,
  };
}

function blockMeans(source: Float32Array, step: number, length: number): Float64Array {
  const out = new Float64Array(Math.ceil(length / step));
  for (let block = 0; block < out.length; block++) {
    const to = Math.min(length, (block + 1) * step);
    let sum = 0;
    let count = 0;
    for (let i = block * step; i < to; i++) {
      const v = source[i]!;
      if (Number.isNaN(v)) continue;
      sum += v;
      count++;
    }
    out[block] = count > 0 ? sum / count : Number.NaN;
  }
  return out;
}

/** −ln of voltage over its median, smoothed over a second; null when the voltage hardly reads. */
function voltageDrain(voltage: Float32Array, step: number, rate: Hertz): Float64Array | null {
  const volts = blockMeans(voltage, step, voltage.length);
  const middle = median(volts);
  if (!(middle > 1)) return null;
  const drain = volts.map((v) => (v > 0.3 * middle ? -Math.log(v / middle) : Number.NaN));
  let held = drain.find((v) => !Number.isNaN(v)) ?? 0;
  for (let i = 0; i < drain.length; i++) {
    if (!Number.isNaN(drain[i])) held = drain[i]!;
    else drain[i] = held;
  }
  return lagged(drain, rate, 1);
}

/** Running share of the airborne throttle-time, a stand-in for charge used, 0 at take-off, 1 at landing. */
function usedShare(commands: readonly Float64Array[], airborne: Uint8Array): Float64Array {
  const out = new Float64Array(airborne.length);
  let sum = 0;
  for (let i = 0; i < out.length; i++) {
    if (airborne[i]) for (const c of commands) sum += Math.max(0, c[i]! || 0);
    out[i] = sum;
  }
  return sum > 0 ? out.map((v) => v / sum) : out;
}

/** Mean over the motors of the logged command, lagged. */
export function commonCommand(driver: Driver, lagS: Seconds): Float64Array {
  const series = driver.logCommands.map((c) => lagged(c, driver.rate, lagS));
  return series[0]!.map((_, i) => series.reduce((sum, s) => sum + s[i]!, 0) / series.length);
}

/**
 * First-order lag: a rotor follows its command with one time constant.
 *
 * @param x series
 * @param rate values a second
 * @param tau time constant, s
 * @example lagged(Float64Array.of(1, 1), 10, 0.1) // starts settled: [1, 1]
 */
export function lagged(x: Float64Array, rate: Hertz, tau: Seconds): Float64Array {
  const out = new Float64Array(x.length);
  const gain = tau > 0 ? 1 - Math.exp(-1 / (rate * tau)) : 1;
  let state = x[0] ?? 0;
  for (let i = 0; i < x.length; i++) {
    state += gain * (x[i]! - state);
    out[i] = state;
  }
  return out;
}

/** Hann-weighted means of a driver series over the frames of a grid. */
export function frameMeans(series: Float64Array, driver: Driver, grid: FrameGrid): Float64Array {
  return Float64Array.from(grid.starts, (start) => {
    const first = start / driver.step;
    const width = grid.segmentLength / driver.step;
    const from = Math.max(0, Math.floor(first));
    const to = Math.min(series.length - 1, Math.ceil(first + width));
    let sum = 0;
    let weights = 0;
    for (let i = from; i <= to; i++) {
      const w = 1e-6 + Math.sin(Math.PI * Math.min(1, Math.max(0, (i + 0.5 - first) / width))) ** 2;
      sum += w * series[i]!;
      weights += w;
    }
    return weights > 0 ? sum / weights : Number.NaN;
  });
}

/** 5th to 95th percentile of a series over the airborne part. */
export function airborneSpread(series: Float64Array, driver: Driver): number {
  const kept = series.filter((_, i) => driver.airborne[i] === 1);
  return kept.length === 0 ? 0 : quantile(kept, 0.95) - quantile(kept, 0.05);
}
