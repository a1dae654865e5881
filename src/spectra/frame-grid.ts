import type { Span } from "../timeline/timeline.js";
import type { FrameGrid } from "./spectrum.js";

export interface FrameGridOptions {
  readonly sampleRate: number;
  /** Samples per frame. */
  readonly segmentLength: number;
  /** Samples between the starts of neighbouring frames. */
  readonly hop: number;
}

/**
 * Lays frames over the valid parts of spans. Within each unbroken run of valid samples the first frame starts at
 * the run's first sample and the next ones follow by `hop`; a frame that would touch an invalid sample or leave
 * its span is not listed, so no transform ever spans a gap.
 *
 * @param spans parts to analyse, in sample indices
 * @param options rate, frame length, hop
 * @param valid 1 where a sample may be used; omitted: all of them
 * @throws {RangeError} if the frame length or hop is not a whole number of at least 1
 * @example frameGrid([{ from: 0, to: 8 }], { sampleRate: 1, segmentLength: 4, hop: 2 }).starts // [0, 2, 4]
 */
export function frameGrid(spans: readonly Span[], options: FrameGridOptions, valid?: Uint8Array): FrameGrid {
  const { sampleRate, segmentLength, hop } = options;
  if (!(Number.isInteger(segmentLength) && segmentLength >= 1 && Number.isInteger(hop) && hop >= 1)) {
    throw new RangeError(
      `frame length and hop must be whole numbers of at least 1: ${segmentLength}, ${hop}`,
    );
  }
  const starts: number[] = [];
  for (const run of valid ? validRuns(spans, valid) : spans) {
    for (let start = run.from; start + segmentLength <= run.to; start += hop) starts.push(start);
  }
  return {
    sampleRate,
    segmentLength,
    hop,
    starts: Int32Array.from(starts),
    bins: Math.floor(segmentLength / 2) + 1,
  };
}

/**
 * The unbroken runs of valid samples inside spans.
 *
 * @example validRuns([{ from: 0, to: 5 }], [1, 1, 0, 1, 1]) // [{ from: 0, to: 2 }, { from: 3, to: 5 }]
 */
export function validRuns(spans: readonly Span[], valid: Uint8Array): Span[] {
  const runs: Span[] = [];
  for (const span of spans) {
    const end = Math.min(span.to, valid.length);
    let from = span.from;
    while (from < end) {
      const first = valid.indexOf(1, from);
      if (first < 0 || first >= end) break;
      const stop = valid.indexOf(0, first);
      const to = stop < 0 || stop > end ? end : stop;
      runs.push({ from: first, to });
      from = to;
    }
  }
  return runs;
}

/** Hop for a segment length and an overlap of 0 ≤ overlap < 1; the overlap is rounded down to whole samples. */
export function hopFor(segmentLength: number, overlap: number): number {
  if (!(overlap >= 0 && overlap < 1))
    throw new RangeError(`overlap must be in 0..1 (1 excluded), got ${overlap}`);
  return segmentLength - Math.floor(segmentLength * overlap + 1e-9);
}

/** Times of the frames' centres in seconds after sample 0. */
export function frameTimes(grid: FrameGrid): Float64Array {
  return Float64Array.from(grid.starts, (start) => (start + grid.segmentLength / 2) / grid.sampleRate);
}
