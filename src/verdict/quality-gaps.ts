import type { QualityCheck, QualityLevel } from "../result.js";
import { airborneSeconds, type Timeline } from "../timeline/timeline.js";
import { above, below } from "./above-below.js";
import { secondsOf } from "./flight-frames.js";
import type { Measured } from "./measured.js";
import { say } from "./reason.js";

const BY_LEVEL: Readonly<Record<QualityLevel, number>> = { ok: 0, warn: 1, fail: 2 };

/**
 * Samples that are missing, by their share, and by what they leave: a few lost rows spread over the whole flight can
 * leave no frame whole, and then it is they that take the verdict away.
 */
export function gapsCheck(measured: Measured): QualityCheck {
  const { timeline, frames, limits } = measured;
  const value = lostShare(timeline);
  const byShare = above(value, limits.gapFailShare, limits.gapWarnShare);
  const calmS = secondsOf(frames, "calm");
  const byRest = brokenUp(measured) ? below(calmS, limits.calmFailS, limits.calmWarnS) : "ok";
  const level = BY_LEVEL[byRest] > BY_LEVEL[byShare] ? byRest : byShare;
  const left =
    byRest === "ok" ? "" : ` They lie so that only ${say(calmS)} s of calm flight are without a hole.`;
  const advice =
    level === "ok" ? "" : " The recorder did not keep up: log fewer columns, or to a faster store.";
  return {
    id: "gaps",
    level,
    message: `${say(100 * value)} % of the samples are missing, in ${timeline.gaps.length} gaps.${left}${advice}`,
    value,
    limit: level === "fail" ? limits.gapFailShare : limits.gapWarnShare,
    unit: "share",
  };
}

/** Whether gaps cost more of the flight than rough air did: only frames without a hole are used. */
export function brokenUp({ timeline, frames }: Pick<Measured, "timeline" | "frames">): boolean {
  const framedS = frames.grid.starts.length * frames.secondsPerFrame;
  const roughS = framedS - secondsOf(frames, "calm");
  return lostShare(timeline) > 0 && airborneSeconds(timeline) - framedS > roughS;
}

/** Share of the samples in the air that are missing. */
function lostShare(timeline: Timeline): number {
  let total = 0;
  let lost = 0;
  for (const { from, to } of timeline.airborne) {
    total += to - from;
    for (let i = from; i < to; i++) if (timeline.valid[i] === 0) lost++;
  }
  // Gaps can lie between airborne spans when those were cut at them.
  const beside = timeline.gaps.reduce((sum, gap) => sum + gap.samples, 0);
  return Math.max(lost / Math.max(1, total), beside / Math.max(1, total + beside));
}
