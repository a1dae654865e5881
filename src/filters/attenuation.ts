import { fold } from "../rotor/fold.js";
import { segmentTransform } from "../spectra/segment-transform.js";
import { AXES, type Axis, type Hertz, type Interval } from "../units.js";
import { strongOrders } from "./line-plan.js";
import type { AxisPath, MeasureInput } from "./measure.js";
import type { Attenuation } from "./study.js";
import { studyFrames } from "./study-frames.js";
import { type TransferSums, transferPoint } from "./transfer.js";

const LEAST_COHERENCE = 0.3;
const FRAME_S = 0.5;
const MOST_FRAMES = 80;
const MOST_ORDERS = 3;

/** What the flight's own gyro filtering took off at its modes and at the strongest orders. */
export function attenuations(input: MeasureInput, paths: readonly AxisPath[]): Attenuation[] {
  const gyro = paths.filter((path) => path.path === "gyro");
  return [
    ...gyro.flatMap((path) => atModes(input, path)),
    ...atOrders(
      input,
      gyro.map((path) => path.axis),
    ),
  ];
}

function atModes({ modes }: MeasureInput, { axis, sums }: AxisPath): Attenuation[] {
  return modes.modes
    .filter((mode) => mode.axes.some((on) => on.axis === axis))
    .flatMap((mode) => {
      const seen = nearest(sums, mode.frequencyHz);
      if (seen === null || !(seen.coherence > LEAST_COHERENCE)) return [];
      const gain = Math.hypot(seen.re, seen.im);
      const what = mode.kind === "structure" ? "mode" : mode.kind;
      return [record({ what, axis, hz: mode.frequencyHz, folded: false }, gain, seen)];
    });
}

function nearest(sums: TransferSums, hz: Hertz): ReturnType<typeof transferPoint> | null {
  const k = Math.round(hz / sums.frequency[1]!);
  return k < 1 || k >= sums.frequency.length - 1 || sums.frames === 0 ? null : transferPoint(sums, k);
}

interface LineSums {
  xx: number;
  yy: number;
  re: number;
  im: number;
  cells: number;
}

/** Follows each order through the flight, folded or not: what lies in its cells went through at its true frequency. */
function atOrders({ timeline, rotor, levels }: MeasureInput, axes: readonly Axis[]): Attenuation[] {
  if (rotor.tracks.length === 0) return [];
  const { grid } = studyFrames(timeline, levels, { seconds: FRAME_S, most: MOST_FRAMES });
  const orders = strongOrders(rotor).slice(0, MOST_ORDERS);
  const [first, second] = [0, 1].map(() => segmentTransform({ segmentLength: grid.segmentLength }));
  const width = grid.sampleRate / grid.segmentLength;
  return AXES.filter((axis) => axes.includes(axis)).flatMap((axis) => {
    const sums = orders.map((): LineSums => ({ xx: 0, yy: 0, re: 0, im: 0, cells: 0 }));
    for (const start of grid.starts) {
      const a = first!.at(timeline.gyroRaw[axis]!, start);
      const b = second!.at(timeline.gyroFiltered[axis]!, start);
      if (!Number.isFinite(a[2]!) || !Number.isFinite(b[2]!)) continue;
      orders.forEach(({ order }, o) => {
        for (const { hz } of rotor.tracks) {
          const centre = hz[start + (grid.segmentLength >> 1)]!;
          const k = Math.round(fold(order * centre, grid.sampleRate) / width);
          if (k >= 2 && k < grid.bins - 2) addCells(sums[o]!, { a, b, k });
        }
      });
    }
    return orders.flatMap((line, o) => {
      const { xx, yy, re, im, cells } = sums[o]!;
      const coherence = (re * re + im * im) / (xx * yy);
      if (cells === 0 || !(coherence > LEAST_COHERENCE)) return [];
      const variance = (1 - coherence) / (coherence * 2 * cells);
      const place = { what: `order ${line.order}`, axis, hz: line.medianHz, folded: line.foldedShare > 0.5 };
      return [record(place, Math.hypot(re, im) / xx, { coherence, variance })];
    });
  });
}

function addCells(sum: LineSums, { a, b, k }: { a: Float64Array; b: Float64Array; k: number }): void {
  for (let j = k - 1; j <= k + 1; j++) {
    const [ar, ai, br, bi] = [a[2 * j]!, a[2 * j + 1]!, b[2 * j]!, b[2 * j + 1]!];
    sum.xx += ar * ar + ai * ai;
    sum.yy += br * br + bi * bi;
    sum.re += ar * br + ai * bi;
    sum.im += ar * bi - ai * br;
  }
  sum.cells++;
}

function record(
  place: Pick<Attenuation, "what" | "axis" | "hz" | "folded">,
  gain: number,
  { coherence, variance }: { readonly coherence: number; readonly variance: number },
): Attenuation {
  const decibel = (g: number): number => 20 * Math.log10(Math.max(1e-6, g));
  const half = 1.96 * Math.sqrt(variance);
  const ci95Db: Interval = [decibel(gain * (1 - half)), decibel(gain * (1 + half))];
  return { ...place, gainDb: decibel(gain), ci95Db, coherence };
}
