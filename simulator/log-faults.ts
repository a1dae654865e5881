import type { Gap } from "../src/timeline/timeline.js";
import type { Clock } from "./clock.js";
import { randomStream } from "./random.js";
import type { FullScenario } from "./scenario.js";

/** Which rows were written and what their time stamps say. */
export interface Rows {
  /** 1 where the row was written. */
  readonly written: Uint8Array;
  /** Time stamp of every row, seconds, with jitter. */
  readonly stamps: Float64Array;
}

/** Bursts, lost rows and jittered stamps. The first and the last row are always written. */
export function rowsWritten(s: FullScenario, clock: Clock): Rows {
  const random = randomStream(s.seed, "log faults");
  const { burst, lostRows, jitter } = s.faults;
  const written = new Uint8Array(clock.logLength).fill(1);
  const stamps = new Float64Array(clock.logLength);
  const phase = random.uniform();
  for (let i = 0; i < written.length; i++) {
    const t = i / clock.logRate;
    stamps[i] = t + (jitter > 0 ? (jitter / clock.logRate) * Math.max(-3, Math.min(3, random.normal())) : 0);
    if (burst && (t / (burst.onS + burst.offS) + phase) % 1 > burst.onS / (burst.onS + burst.offS))
      written[i] = 0;
    if (lostRows > 0 && random.chance(lostRows)) written[i] = 0;
  }
  written[0] = 1;
  written[written.length - 1] = 1;
  return { written, stamps };
}

/** Gaps and filled lone samples as a decoder's timeline would report them. */
export interface GapReport {
  readonly valid: Uint8Array;
  readonly gaps: Gap[];
  readonly filledSamples: number;
  readonly jitterShare: number;
}

/** Lone lost rows count as filled when they are under 0.1 % of all; every longer run is a gap. */
export function gapReport(rows: Rows, logRate: number): GapReport {
  const runs = lostRuns(rows.written);
  const lone = runs.filter((r) => r.to - r.from === 1).length;
  const fill = lone < 0.001 * rows.written.length;
  const valid = rows.written.slice();
  const gaps: Gap[] = [];
  for (const { from, to } of runs) {
    if (fill && to - from === 1) valid[from] = 1;
    else gaps.push({ fromS: from / logRate, toS: to / logRate, samples: to - from });
  }
  return { valid, gaps, filledSamples: fill ? lone : 0, jitterShare: jitterShare(rows, logRate) };
}

function lostRuns(written: Uint8Array): { from: number; to: number }[] {
  const runs: { from: number; to: number }[] = [];
  for (let i = 0; i < written.length; i++) {
    if (written[i] === 1) continue;
    const from = i;
    while (i < written.length && written[i] === 0) i++;
    runs.push({ from, to: i });
  }
  return runs;
}

function jitterShare(rows: Rows, logRate: number): number {
  let steps = 0;
  let off = 0;
  for (let i = 1; i < rows.stamps.length; i++) {
    if (rows.written[i] === 0 || rows.written[i - 1] === 0) continue;
    steps++;
    if (Math.abs((rows.stamps[i]! - rows.stamps[i - 1]!) * logRate - 1) > 0.2) off++;
  }
  return steps > 0 ? off / steps : 0;
}

/** Draws a straight line across every lost run, as a stand-in that carries no news. */
export function bridge(x: Float32Array, written: Uint8Array): void {
  for (const { from, to } of lostRuns(written)) {
    const before = x[from - 1] ?? x[to] ?? 0;
    const after = x[to] ?? before;
    for (let i = from; i < to; i++) x[i] = before + ((after - before) * (i - from + 1)) / (to - from + 1);
  }
}
