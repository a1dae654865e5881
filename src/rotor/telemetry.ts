import type { Craft } from "../craft.js";
import type { SpeedReading, Timeline } from "../timeline/timeline.js";
import type { Seconds } from "../units.js";
import { bladesOf } from "./blades.js";
import { type CleanSpeed, cleanSpeed } from "./clean-speed.js";
import { speedSummary } from "./common-speed.js";
import { speedCurve } from "./curve.js";
import { decideDivisor, tracksOf } from "./decide-divisor.js";
import { type Delay, estimateDelay } from "./delay.js";
import { fillFromOthers } from "./fill-speed.js";
import { motorImbalance } from "./motor-imbalance.js";
import { noRotor } from "./none.js";
import { orderGround, orderLines } from "./order-lines.js";
import type { OrderLine, RotorEstimate } from "./rotor.js";

/** Orders above the first that stand out by this tell the delay too, so many at most, dB. */
const CLEAR_DB = 5;
const MORE_ORDERS = 2;

/** Rotor speed from what the motors report. */
export function telemetryRotor(timeline: Timeline, craft: Craft): RotorEstimate | null {
  const readings = timeline.rotorSpeed.filter((r) => hasSpeed(r, timeline));
  if (readings.length === 0) return null;
  const cleaned = readings.map((r) => cleanSpeed(r.hz, timeline.sampleRate, timeline.airborne));
  const filled = fillFromOthers(cleaned.map((c) => c.hz));
  const divisor = decideDivisor(timeline, craft, { readings, cleaned });
  if (!divisor) {
    return noRotor([
      "motor speed is reported, but in which unit or of how many poles cannot be told from this log",
    ]);
  }
  for (const { hz } of cleaned) scaleInPlace(hz, 1 / divisor.polePairs);
  const tracks = tracksOf(readings, cleaned);
  const ground = orderGround(timeline, tracks);
  const clear = orderLines(tracks, ground).orders;
  const delay = divisor.sure ? delayOf(timeline, cleaned, clear) : null;
  if (delay) for (const { hz } of cleaned) advance(hz, delay.readLaterS * timeline.sampleRate);
  const summary = speedSummary(tracks, timeline);
  if (!summary) return null;
  const lines = orderLines(tracks, ground);
  const imbalance = divisor.sure ? motorImbalance(timeline, tracks, { referenceHz: summary.medianHz }) : {};
  return {
    ...noRotor([...divisor.doubts, ...cleaningDoubts(cleaned, filled, timeline), ...delayDoubts(delay)]),
    source: "telemetry",
    confidence: divisor.confidence,
    medianHz: summary.medianHz,
    bandHz: summary.bandHz,
    curve: speedCurve(timeline, tracks, { lagS: 0.05, relativeSd: 0.002 }),
    polePairs: divisor.polePairs,
    polePairsHow: divisor.how,
    ...bladesOf(craft, lines.orders),
    delayS: delay?.delayS ?? null,
    delayCi95S: delay?.ci95S ?? null,
    referenceHz: summary.medianHz,
    ...imbalance,
    orders: lines.orders,
    tracks,
    hover: lines.standing,
  };
}

/** Delay by the lines that stand out; frames of half a second show them whatever the delay. */
function delayOf(
  timeline: Timeline,
  cleaned: readonly CleanSpeed[],
  orders: readonly OrderLine[],
): Delay | null {
  const smear = (o: OrderLine): number => o.levelDb + 20 * Math.log10(o.order);
  const clear = orders
    .filter((o) => o.order > 1 && o.order <= 6 && o.levelDb > CLEAR_DB)
    .sort((a, b) => smear(b) - smear(a))
    .slice(0, MORE_ORDERS);
  const first = { order: 1, levelDb: orders.find((o) => o.order === 1)?.levelDb ?? 0 };
  return estimateDelay(
    timeline,
    cleaned.map((c) => c.hz),
    {
      orders: [first, ...clear].sort((a, b) => b.levelDb - a.levelDb).map((o) => o.order),
      slowRefresh: cleaned.some((c) => c.refreshS * timeline.sampleRate > 1.05),
    },
  );
}

/** At least a fifth of the time in the air has a positive reading. */
function hasSpeed({ hz }: SpeedReading, { airborne }: Timeline): boolean {
  let seen = 0;
  let all = 0;
  for (const span of airborne) {
    for (let i = span.from; i < span.to; i += 16) {
      all++;
      if (hz[i]! > 0) seen++;
    }
  }
  return seen > 0.2 * all && seen > 0;
}

function scaleInPlace(x: Float32Array, factor: number): void {
  if (factor !== 1) for (let i = 0; i < x.length; i++) x[i] = x[i]! * factor;
}

/** Shifts a series so that what was reported late stands where it happened; the last value is held. */
function advance(x: Float32Array, samples: number): void {
  const whole = Math.floor(samples);
  const part = samples - whole;
  const last = x.length - 1;
  for (let n = 0; n <= last; n++) {
    // From the end that is read from, so that nothing is overwritten before it is read.
    const i = whole >= 0 ? n : last - n;
    const at = Math.min(last, Math.max(0, i + whole));
    const next = Math.min(last, Math.max(0, i + whole + 1));
    x[i] = (1 - part) * x[at]! + part * x[next]!;
  }
}

function cleaningDoubts(
  cleaned: readonly CleanSpeed[],
  filled: readonly number[],
  timeline: Timeline,
): string[] {
  const airborneS: Seconds =
    timeline.airborne.reduce((sum, s) => sum + s.to - s.from, 0) / timeline.sampleRate;
  return cleaned.flatMap((c, m) => {
    const share = Math.max(c.lostS, filled[m]! / timeline.sampleRate) / airborneS;
    return share > 0.05
      ? [`speed report ${m + 1} is absent, zero or frozen for ${(100 * share).toFixed(0)} % of the flight`]
      : [];
  });
}

function delayDoubts(delay: { delayS: number } | null): string[] {
  return delay
    ? []
    : ["the speed hardly varies or no line stands out: the report's delay cannot be told and is taken as 0"];
}
