import type { QualityCheck } from "../result.js";
import { airborneSeconds } from "../timeline/timeline.js";
import { above, below } from "./above-below.js";
import { secondsOf } from "./flight-frames.js";
import type { Measured } from "./measured.js";
import { brokenUp, gapsCheck } from "./quality-gaps.js";
import { say } from "./reason.js";

/** Throttle levels are this wide, and count when held for this long in all. */
const LEVEL_WIDTH = 0.1;
const LEVEL_SECONDS = 2;

/** Was it flown long, calm and varied enough, and written without holes? */
export function flightChecks(measured: Measured): QualityCheck[] {
  return [airborne(measured), gapsCheck(measured), calm(measured), ...throttle(measured), jitter(measured)];
}

function airborne({ timeline, limits }: Measured): QualityCheck {
  const value = airborneSeconds(timeline);
  const level = below(value, limits.airborneFailS, limits.airborneWarnS);
  const limit = level === "fail" ? limits.airborneFailS : limits.airborneWarnS;
  const advice =
    level === "ok" ? "" : ` Fly and log at least ${say(limits.airborneWarnS)} s; a minute or two is better.`;
  return {
    id: "airborne",
    level,
    message: `${say(value)} s in the air.${advice}`,
    value,
    limit,
    unit: "s",
  };
}

function calm(measured: Measured): QualityCheck {
  const { frames, limits } = measured;
  const value = secondsOf(frames, "calm");
  const level = below(value, limits.calmFailS, limits.calmWarnS);
  const kept = (["chop", "wash", "gust"] as const)
    .map((kind) => ({ kind, seconds: secondsOf(frames, kind) }))
    .filter(({ seconds }) => seconds > 0)
    .map(({ kind, seconds }) => `${say(seconds)} s of ${kind}`);
  const out = kept.length === 0 ? "" : `; kept out: ${kept.join(", ")}`;
  const advice = level === "ok" ? "" : ` ${calmAdvice(measured)}`;
  return {
    id: "calm-flight",
    level,
    message: `${say(value)} s of calm flight${out}.${advice}`,
    value,
    limit: level === "fail" ? limits.calmFailS : limits.calmWarnS,
    unit: "s",
  };
}

/** Calm flight is counted in whole frames: what holes, rough air or a short flight cost is told apart. */
function calmAdvice(measured: Measured): string {
  const { timeline, frames } = measured;
  if (brokenUp(measured)) {
    const left = frames.grid.starts.length === 0 ? "no stretch" : "too few stretches";
    const frame = frames.grid.segmentLength / timeline.sampleRate;
    return `The gaps leave ${left} of ${say(frame)} s without a hole: mend the recording, not the flying.`;
  }
  if (frames.kind.every((kind) => kind === "calm")) return "The flight is too short for more.";
  return "Fly smoothly, forward or climbing, in little wind.";
}

function throttle({ timeline, frames, limits }: Measured): QualityCheck[] {
  const levels = [...frames.throttle].filter((u) => !Number.isNaN(u)).sort((a, b) => a - b);
  if (timeline.throttle === null || levels.length === 0) return [];
  const range = levels[Math.ceil(0.95 * levels.length) - 1]! - levels[Math.floor(0.05 * levels.length)]!;
  const wide = range >= limits.throttleRangeWarn;
  const held = heldLevels(levels, frames.secondsPerFrame);
  const many = held.length >= limits.throttleLevelsWarn;
  const times = held.map(({ from, seconds }) => `${say(seconds)} s from ${say(from)}`).join(", ");
  return [
    {
      id: "throttle-range",
      level: wide ? "ok" : "warn",
      message:
        `Throttle covers ${say(range)} of its range (5th to 95th percentile).` +
        (wide ? "" : " Lines that climb and lines that stay put hardly part: add a slow throttle sweep."),
      value: range,
      limit: limits.throttleRangeWarn,
      unit: "throttle 0..1",
    },
    {
      id: "throttle-levels",
      level: many ? "ok" : "warn",
      message:
        `${held.length} throttle ${held.length === 1 ? "level" : "levels"} of a tenth held for ${LEVEL_SECONDS} s or more in all` +
        `${times === "" ? "" : ` (${times})`}.` +
        (many ? "" : " Hold several levels for a few seconds each."),
      value: held.length,
      limit: limits.throttleLevelsWarn,
      unit: "levels",
    },
  ];
}

/** Seconds spent at each tenth of throttle that was held long enough, by rising throttle. */
function heldLevels(levels: readonly number[], secondsPerFrame: number): { from: number; seconds: number }[] {
  const seconds = new Map<number, number>();
  for (const u of levels) {
    const bin = Math.floor(u / LEVEL_WIDTH + 1e-9);
    seconds.set(bin, (seconds.get(bin) ?? 0) + secondsPerFrame);
  }
  return [...seconds]
    .filter(([, s]) => s >= LEVEL_SECONDS)
    .map(([bin, s]) => ({ from: bin * LEVEL_WIDTH, seconds: s }));
}

function jitter({ timeline, limits }: Measured): QualityCheck {
  const value = timeline.jitterShare;
  const level = above(value, limits.jitterFailShare, limits.jitterWarnShare);
  const advice = level === "ok" ? "" : " Lines are smeared: log at an even whole fraction of the loop rate.";
  return {
    id: "jitter",
    level,
    message: `${say(100 * value)} % of the time steps differ by over a fifth from the usual one.${advice}`,
    value,
    limit: level === "fail" ? limits.jitterFailShare : limits.jitterWarnShare,
    unit: "share",
  };
}
