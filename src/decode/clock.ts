import { quantile } from "../stats/quantile.js";

/** Rows per block when the step is first guessed. */
const BLOCK = 64;
/** Stamps per block where several rows share a stamp: their grain is then under half a percent of the block. */
const STAMPS_PER_BLOCK = 200;
/** How fast the expected time follows the stamps: jitter averages out, drift is followed. */
const FOLLOW = 0.05;

/** Row i of a clock lies at sample `index[i]`, or is a repeat to be left out (−1). */
export interface RowIndex {
  /** Seconds per sample. */
  readonly step: number;
  /** null when row i is sample i for all rows. */
  readonly index: Int32Array | null;
  /** Samples from first to last row, lost ones included. */
  readonly length: number;
  /** Rows whose time stands still or goes back. */
  readonly repeated: number;
  /** Share of steps that differ from one sample by over 20 %, lost samples apart. */
  readonly jitterShare: number;
}

/**
 * Which sample each row is: the step of the clock, lost rows, repeated rows.
 *
 * A loop predicts the time of the next row and follows the stamps slowly, so that coarse or jittered stamps
 * do not look like lost rows and a clock that drifts does not add up to one.
 *
 * @param time seconds, not yet uniform, at least 2 rows
 * @throws {RangeError} when time does not advance
 */
export function rowIndex(time: Float64Array): RowIndex {
  let step = firstStep(time);
  if (!(step > 0) || !Number.isFinite(step)) throw new RangeError("time does not advance");
  // Most logs lost nothing: then the whole span gives the step at once.
  const whole = (time[time.length - 1]! - time[0]!) / (time.length - 1);
  if (Math.abs(whole / step - 1) < 1e-3) step = whole;
  const slack = slackOf(time, step);
  let last = follow(time, step, slack, null);
  // The whole span over the samples counted is the finest measure of the step.
  for (let pass = 0; pass < 2; pass++) {
    const finer = last.seconds / Math.max(1, last.samples);
    if (Math.abs(finer / step - 1) < 1e-9 || Math.abs(finer / step - 1) > 0.02) break;
    step = finer;
    last = follow(time, step, slack, null);
  }
  const { length, repeated, jitterShare } = last;
  if (length === time.length && repeated === 0) return { length, repeated, jitterShare, step, index: null };
  const index = new Int32Array(time.length);
  follow(time, step, slack, index);
  return { length, repeated, jitterShare, step, index };
}

/**
 * A first guess: the lower middle of the mean steps of blocks, since lost rows only lengthen a block. Where
 * stamps are coarser than rows, a block spans many stamps, else their grain would show.
 */
function firstStep(time: Float64Array): number {
  const rowsPerStamp = time.length / (1 + countForward(time));
  const size = rowsPerStamp < 1.5 ? BLOCK : Math.ceil(STAMPS_PER_BLOCK * rowsPerStamp);
  const blocks = Math.floor((time.length - 1) / size);
  if (blocks < 3) return shortLogsStep(time, rowsPerStamp);
  const stride = Math.max(1, Math.floor(blocks / 4096));
  const means: number[] = [];
  for (let b = 0; b < blocks; b += stride) {
    const mean = (time[(b + 1) * size]! - time[b * size]!) / size;
    if (mean > 0) means.push(mean);
  }
  return means.length === 0 ? Number.NaN : quantile(Float64Array.from(means), 0.25);
}

function shortLogsStep(time: Float64Array, rowsPerStamp: number): number {
  const steps = forwardSteps(time);
  return steps.length === 0 ? Number.NaN : quantile(steps, 0.5) / Math.max(1, rowsPerStamp);
}

function countForward(time: Float64Array): number {
  let count = 0;
  for (let i = 1; i < time.length; i++) if (time[i]! > time[i - 1]!) count++;
  return count;
}

/** Steps that advance. */
function forwardSteps(time: Float64Array): Float64Array {
  const steps = new Float64Array(countForward(time));
  for (let i = 1, k = 0; i < time.length; i++)
    if (time[i]! > time[i - 1]!) steps[k++] = time[i]! - time[i - 1]!;
  return steps;
}

/**
 * How many samples early or late a stamp may be before rows count as lost or repeated: half a sample, more
 * where stamps are coarser than the rows or jitter.
 */
function slackOf(time: Float64Array, step: number): number {
  const stride = Math.max(1, Math.floor(time.length / 20_000));
  const errors: number[] = [];
  let quantum = Number.POSITIVE_INFINITY;
  for (let i = 1; i < time.length; i += stride) {
    const steps = (time[i]! - time[i - 1]!) / step;
    errors.push(Math.abs(steps - 1));
    if (steps > 1e-6 && steps < quantum) quantum = steps;
  }
  const jitter = quantile(Float64Array.from(errors), 0.5);
  const coarse = quantum > 1.2 && Number.isFinite(quantum) && jitter > 0.1 ? quantum : 0;
  return 0.5 + Math.max(coarse, Math.min(2, 3 * (jitter < 0.02 ? 0 : jitter)));
}

interface Followed extends Omit<RowIndex, "step" | "index"> {
  /** From the first to the last row at which the stamp advances: coarse stamps are exact there, within one row. */
  readonly seconds: number;
  readonly samples: number;
}

function follow(time: Float64Array, step: number, slack: number, index: Int32Array | null): Followed {
  let firstTime = Number.NaN;
  let firstSample = 0;
  let lastTime = time[0]!;
  let lastSample = 0;
  let sample = 0;
  let expected = time[0]!;
  let repeated = 0;
  let jittery = 0;
  if (index !== null) index[0] = 0;
  for (let i = 1; i < time.length; i++) {
    const ahead = (time[i]! - expected) / step;
    const late = ahead - 1;
    let steps = Math.abs(late) <= slack ? 1 : 1 + Math.round(late);
    // A stamp that stood still while the row was new: the next row leaves room for it.
    if (steps === 0 && i + 1 < time.length && Math.round((time[i + 1]! - expected) / step) >= 2) steps = 1;
    if (steps < 1) {
      repeated++;
      if (index !== null) index[i] = -1;
      continue;
    }
    sample += steps;
    if (time[i]! > time[i - 1]!) {
      lastTime = time[i]!;
      lastSample = sample;
      if (firstSample === 0) {
        firstTime = lastTime;
        firstSample = sample;
      }
    }
    // A stamp that stood still says nothing of the clock.
    const error = Math.abs(late) > slack && steps === 1 ? 0 : ahead - steps;
    if (Math.abs((time[i]! - time[i - 1]!) / step - steps) > 0.2) jittery++;
    expected += step * (steps + FOLLOW * error);
    if (index !== null) index[i] = sample;
  }
  return {
    length: sample + 1,
    repeated,
    jitterShare: jittery / Math.max(1, time.length - 1),
    seconds: lastTime - firstTime,
    samples: lastSample - firstSample,
  };
}
