import type { Craft } from "../craft.js";
import { coherence, coherenceThreshold } from "../spectra/coherence.js";
import { crossSpectrum } from "../spectra/cross-spectrum.js";
import { nearestPowerOfTwo } from "../spectra/fft.js";
import { validRuns } from "../spectra/frame-grid.js";
import { analysisGyro, type Span, type Timeline } from "../timeline/timeline.js";
import { AXES, type Hertz } from "../units.js";
import type { Limits } from "./limits.js";

/** The band in which the craft does what it is told. */
export interface CommandedMotion {
  readonly topHz: Hertz;
  /** "log": seen in the coherence of gyro with setpoint; "craft": crossover told; "default": a stated number. */
  readonly how: "log" | "craft" | "default";
}

/** Nothing above this is taken for commanded motion, whatever the coherence says. */
const HIGHEST_HZ = 40;
/** Setpoint that moves less than this, deg/s RMS, says nothing. */
const STILL_DPS = 2;
/** Seconds looked at: more does not move the edge. */
const SECONDS = 120;
/** At least this share of the gyro must follow the setpoint. */
const FOLLOWS = 0.3;

/**
 * Upper end of commanded motion: the highest frequency, joined to the lowest without a break, at which any axis
 * follows its setpoint; never below what the craft file or the default says, since the rate loop answers wash up to
 * there even with sticks still.
 */
export function commandedMotion(timeline: Timeline, craft: Craft, limits: Limits): CommandedMotion {
  const stated = craft.crossoverHz ?? limits.commandedTopHz;
  const seen = Math.max(0, ...AXES.map((axis) => followedTo(timeline, axis)));
  if (seen > stated) return { topHz: seen, how: "log" };
  return { topHz: stated, how: craft.crossoverHz === undefined ? "default" : "craft" };
}

function followedTo(timeline: Timeline, axis: (typeof AXES)[number]): Hertz {
  const gyro = analysisGyro(timeline).series[axis];
  const setpoint = timeline.setpoint[axis];
  if (gyro === null || setpoint === null) return 0;
  const segmentLength = nearestPowerOfTwo(timeline.sampleRate);
  const spans = firstSeconds(
    validRuns(timeline.airborne, timeline.valid),
    SECONDS * timeline.sampleRate,
  ).filter((span) => finite(setpoint, span) && finite(gyro, span));
  if (!moves(setpoint, spans)) return 0;
  const cross = crossSpectrum(setpoint, gyro, {
    sampleRate: timeline.sampleRate,
    segmentLength,
    spans,
  });
  if (cross.averages < 4) return 0;
  return topOf(cross.frequency, coherence(cross), Math.max(FOLLOWS, coherenceThreshold(cross.edof, 0.001)));
}

function topOf(frequency: Float64Array, gamma2: Float64Array, threshold: number): Hertz {
  let top = 0;
  for (let k = 1; k < frequency.length && frequency[k]! <= HIGHEST_HZ; k++) {
    if (!(gamma2[k]! > threshold)) break;
    top = frequency[k]!;
  }
  return top;
}

function firstSeconds(spans: readonly Span[], samples: number): Span[] {
  let left = Math.floor(samples);
  const out: Span[] = [];
  for (const { from, to } of spans) {
    if (left <= 0) break;
    out.push({ from, to: Math.min(to, from + left) });
    left -= to - from;
  }
  return out;
}

function finite(series: Float32Array, span: Span): boolean {
  for (let i = span.from; i < span.to; i++) if (!Number.isFinite(series[i]!)) return false;
  return true;
}

function moves(series: Float32Array, spans: readonly Span[]): boolean {
  let count = 0;
  let sum = 0;
  let squares = 0;
  for (const { from, to } of spans) {
    for (let i = from; i < to; i++) {
      sum += series[i]!;
      squares += series[i]! ** 2;
    }
    count += to - from;
  }
  return count > 0 && Math.sqrt(Math.max(0, squares / count - (sum / count) ** 2)) > STILL_DPS;
}
