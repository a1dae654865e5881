import { realFft } from "../spectra/fft.js";
import { hann } from "../spectra/window.js";
import { quantileOf } from "./quantile-of.js";

/** Units that a bare number of rotor speed may have, with the factor to revolutions per second. */
export const ROTOR_UNITS = { rpm: 1 / 60, Hz: 1, "rad/s": 1 / (2 * Math.PI) } as const;
export type RotorUnit = keyof typeof ROTOR_UNITS;

/** What is compared: speed reports and gyro on the same rows. */
export interface RotorEvidence {
  readonly speeds: readonly Float32Array[];
  readonly gyro: readonly Float32Array[];
  /** Rows per second. */
  readonly rate: number;
}

/** Revolutions per second at which multirotors fly, from the largest to the smallest propellers; wide on purpose. */
const FLYING_HZ = [8, 1200] as const;
/** The line must stand this far above the floor, and above the next best unit's, in natural log units of power. */
const LINE = 0.8;
const LEAD = 0.6;
const SEGMENT = 1024;
const MOST_SEGMENTS = 60;
const FEWEST_SEGMENTS = 6;

/**
 * The unit of a rotor speed whose header names none: the one at which the gyro's spectrum shows the
 * once-per-turn line, or the only one at which a craft flies.
 *
 * @returns null when nothing decides
 */
export function rotorUnit(evidence: RotorEvidence): { unit: RotorUnit; why: string } | null {
  const units = Object.keys(ROTOR_UNITS) as RotorUnit[];
  const typical = quantileOf(
    evidence.speeds.map((s) => s.filter((v) => v > 0)),
    0.5,
  );
  const flying = units.filter((unit) => {
    const hz = typical * ROTOR_UNITS[unit];
    return hz >= FLYING_HZ[0] && hz <= FLYING_HZ[1];
  });
  const about = `values of about ${Number(typical.toPrecision(4))}`;
  if (flying.length === 1)
    return { unit: flying[0]!, why: `${about}: only ${flying[0]} is a speed to fly at` };
  const lines = flying
    .map((unit) => ({ unit, height: lineHeight(evidence, ROTOR_UNITS[unit]) }))
    .filter(({ height }) => !Number.isNaN(height))
    .sort((a, b) => b.height - a.height);
  const [best, next] = lines;
  // A reading above Nyquist cannot be looked at: the line must be the clearer for it.
  const least = lines.length < flying.length ? 1.5 * LINE : LINE;
  if (best === undefined || best.height < least) return null;
  if (next !== undefined && best.height - next.height < LEAD) return null;
  const decibel = ((10 / Math.LN10) * best.height).toFixed(1);
  return {
    unit: best.unit,
    why: `${about}: read as ${best.unit} the gyro shows the line, ${decibel} dB high`,
  };
}

/** Mean height of the gyro's spectrum at the speed reported, above its surroundings, ln of power. */
function lineHeight({ speeds, gyro, rate }: RotorEvidence, factor: number): number {
  const length = gyro[0]?.length ?? 0;
  const stride = Math.max(SEGMENT, Math.floor((length - SEGMENT) / MOST_SEGMENTS));
  const fft = realFft(SEGMENT);
  const window = hann(SEGMENT);
  const heights: number[] = [];
  for (let at = 0; at + SEGMENT <= length; at += stride) {
    const bins = speeds
      .map((s) => (meanOf(s, at, at + SEGMENT) * factor * SEGMENT) / rate)
      .filter((bin) => bin >= 4 && bin <= SEGMENT / 2 - 4);
    if (bins.length === 0) continue;
    const power = gyro.map((series) => powerOf(series.subarray(at, at + SEGMENT), fft, window));
    for (const p of power) if (p !== null) for (const bin of bins) heights.push(above(p, Math.round(bin)));
  }
  if (heights.length < FEWEST_SEGMENTS) return Number.NaN;
  return heights.reduce((sum, h) => sum + h, 0) / heights.length;
}

function powerOf(
  series: Float32Array,
  fft: ReturnType<typeof realFft>,
  window: Float64Array,
): Float64Array | null {
  const mean = meanOf(series, 0, series.length);
  if (Number.isNaN(mean)) return null;
  const frame = Float64Array.from(series, (v, i) => (v - mean) * window[i]!);
  const spectrum = new Float64Array(SEGMENT + 2);
  fft.forward(frame, spectrum);
  return Float64Array.from({ length: SEGMENT / 2 + 1 }, (_, k) =>
    Math.log(spectrum[2 * k]! ** 2 + spectrum[2 * k + 1]! ** 2 + 1e-30),
  );
}

/** Mean ln power over three bins, above the median of the bins around. */
function above(lnPower: Float64Array, bin: number): number {
  const around: number[] = [];
  for (let k = Math.max(1, bin - 24); k <= Math.min(lnPower.length - 1, bin + 24); k++)
    if (Math.abs(k - bin) > 4) around.push(lnPower[k]!);
  around.sort((a, b) => a - b);
  const floor = around[Math.floor(around.length / 2)]!;
  return (lnPower[bin - 1]! + lnPower[bin]! + lnPower[bin + 1]!) / 3 - floor;
}

function meanOf(values: Float32Array, from: number, to: number): number {
  let sum = 0;
  let count = 0;
  for (let i = from; i < to; i++) {
    if (Number.isNaN(values[i]!)) continue;
    sum += values[i]!;
    count++;
  }
  return count === 0 ? Number.NaN : sum / count;
}
