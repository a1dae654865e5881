import { quantile } from "../stats/quantile.js";

/** Seconds of each activity window. */
const WINDOW_S = 0.25;
/** A throttle above this share of its cruise value (95th percentile) holds the craft up, or nearly so. */
const LIFTING_SHARE = 0.3;
/** Dips of throttle shorter than this are flying (chops, descents), not landings. */
const LONGEST_DIP_S = 3;
const SHORTEST_FLIGHT_S = 1;
/** In the air the gyro is this many times livelier than at rest; below it the log never rests. */
const LIVELY = 6;

/**
 * A gyro calmer than this, deg/s over all axes within a window, is not on a craft that flies; the stillest hover
 * on soft mounts shows twice as much. Common practice, no source.
 */
const CALMEST_FLIGHT = 0.4;

/** What the search for the airborne part looks at. Series of equal length on one clock. */
export interface ActivityInput {
  readonly sampleRate: number;
  /** 0..1, or null. */
  readonly throttle: Float32Array | null;
  /** Any gyro axes, deg/s. */
  readonly gyro: readonly Float32Array[];
}

/** Half-open sample ranges. */
export interface Activity {
  readonly airborne: readonly { readonly from: number; readonly to: number }[];
  /** Motors off and gyro still. */
  readonly resting: readonly { readonly from: number; readonly to: number }[];
}

/**
 * Parts in the air and parts at rest, from throttle where the log has it and from the gyro's liveliness.
 *
 * A log without a rest in it is all airborne, since nothing in it says otherwise, unless its gyro is too calm for
 * any flight: then it never flew. Common practice, no source.
 */
export function findActivity(input: ActivityInput): Activity {
  const width = Math.max(2, Math.round(WINDOW_S * input.sampleRate));
  const length = input.gyro[0]?.length ?? input.throttle?.length ?? 0;
  const count = Math.floor(length / width);
  if (count < 2) return { airborne: length > 0 ? [{ from: 0, to: length }] : [], resting: [] };
  const lively = livelyWindows(input.gyro, width, count);
  const lifting = liftingWindows(input.throttle, width, count);
  const up = Array.from({ length: count }, (_, w) => (lifting?.[w] ?? true) && (lively?.[w] ?? true));
  const still = Array.from({ length: count }, (_, w) => lively?.[w] === false && lifting?.[w] !== true);
  const dip = Math.round(LONGEST_DIP_S / WINDOW_S);
  const toSamples = (r: { from: number; to: number }): { from: number; to: number } => ({
    from: r.from * width,
    to: r.to === count ? length : r.to * width,
  });
  return {
    airborne: longRuns(bridge(runsOf(up), dip, still), SHORTEST_FLIGHT_S / WINDOW_S).map(toSamples),
    resting: longRuns(runsOf(still).map(trim), SHORTEST_FLIGHT_S / WINDOW_S).map(toSamples),
  };
}

/** Windows in which the gyro moves as in the air; null when the log shows no difference. */
function livelyWindows(gyro: readonly Float32Array[], width: number, count: number): boolean[] | null {
  if (gyro.length === 0) return null;
  const level = new Float64Array(count);
  for (const series of gyro) {
    for (let w = 0; w < count; w++) level[w] = level[w]! + variance(series, w * width, width);
  }
  const known = level.filter((value) => Number.isFinite(value)).map(Math.sqrt);
  if (known.length < 4) return null;
  const [rest, flying] = [quantile(known, 0.02), quantile(known, 0.9)];
  if (flying < CALMEST_FLIGHT) return Array.from(level, () => false);
  if (!(flying > LIVELY * rest)) return null;
  // A tenth of the way up on a log scale from rest: rest itself scatters by far less.
  const threshold = Math.min(rest * LIVELY, Math.sqrt(Math.max(rest, flying * 1e-3) * flying));
  return Array.from(level, (value) => !(Math.sqrt(value) < threshold));
}

function variance(series: Float32Array, from: number, width: number): number {
  let sum = 0;
  let squares = 0;
  let n = 0;
  for (let i = from; i < from + width; i++) {
    const value = series[i]!;
    if (Number.isNaN(value)) continue;
    sum += value;
    squares += value * value;
    n++;
  }
  return n < 2 ? Number.NaN : Math.max(0, squares / n - (sum / n) ** 2);
}

/** Windows in which the throttle holds the craft up; null without a throttle that ever does. */
function liftingWindows(throttle: Float32Array | null, width: number, count: number): boolean[] | null {
  if (throttle === null) return null;
  const mean = Float64Array.from({ length: count }, (_, w) => {
    let sum = 0;
    let n = 0;
    for (let i = w * width; i < (w + 1) * width; i++) {
      const value = throttle[i]!;
      if (Number.isNaN(value)) continue;
      sum += value;
      n++;
    }
    return n === 0 ? Number.NaN : sum / n;
  });
  const known = mean.filter((value) => Number.isFinite(value));
  if (known.length === 0) return null;
  const threshold = LIFTING_SHARE * quantile(known, 0.95);
  if (!(threshold > 0)) return null;
  return Array.from(mean, (value) => value > threshold);
}

interface Run {
  readonly from: number;
  readonly to: number;
}

function runsOf(flags: readonly boolean[]): Run[] {
  const runs: Run[] = [];
  for (let i = 0; i < flags.length; i++) {
    if (!flags[i]) continue;
    const from = i;
    while (flags[i]) i++;
    runs.push({ from, to: i });
  }
  return runs;
}

/** Joins runs whose gap is a dip in flight: short, and never at rest. */
function bridge(runs: readonly Run[], dip: number, still: readonly boolean[]): Run[] {
  const joined: Run[] = [];
  for (const run of runs) {
    const last = joined.at(-1);
    const restsBetween = last !== undefined && still.slice(last.to, run.from).filter(Boolean).length > 2;
    if (last !== undefined && run.from - last.to <= dip && !restsBetween)
      joined[joined.length - 1] = { from: last.from, to: run.to };
    else joined.push(run);
  }
  return joined;
}

/** One window less at each end: the ground shakes before and after. */
const trim = (run: Run): Run => ({ from: run.from + 1, to: Math.max(run.from + 1, run.to - 1) });

const longRuns = (runs: readonly Run[], least: number): Run[] =>
  runs.filter((run) => run.to - run.from >= least);
