import type { Craft } from "../craft.js";
import { median } from "../stats/median.js";
import type { SpeedReading, Timeline } from "../timeline/timeline.js";
import type { Seconds } from "../units.js";
import { bladesOf } from "./blades.js";
import { type CleanSpeed, cleanSpeed } from "./clean-speed.js";
import { speedSummary } from "./common-speed.js";
import { speedCurve } from "./curve.js";
import { type Delay, estimateDelay } from "./delay.js";
import { chooseDivisor, type DivisorChoice } from "./divisor.js";
import { fillFromOthers } from "./fill-speed.js";
import { frameSpeed } from "./frame-speed.js";
import { hiddenMultiple } from "./hidden-multiple.js";
import { inferredRotor } from "./inferred.js";
import { lineMap } from "./line-map.js";
import { motorImbalance } from "./motor-imbalance.js";
import { noRotor } from "./none.js";
import { polePairsOf } from "./order-arithmetic.js";
import { orderGround, orderLines } from "./order-lines.js";
import type { OrderLine, RotorEstimate, SpeedTrack } from "./rotor.js";

/** Pole pairs of the most usual outrunner motor (14 poles; common practice, no source). */
const USUAL_POLE_PAIRS = 7;

/** Divided by the usual pole pairs a report below this would be of a rotor too slow to fly (common practice, no source). */
const SLOWEST_ELECTRICAL_HZ = 80;
/** Orders above the first that stand out by this tell the delay too, so many at most, dB. */
const CLEAR_DB = 5;
const MORE_ORDERS = 2;
const TAKEN_AS_MECHANICAL =
  "no line shows by how many pole pairs to divide the speed report; it is too slow to be electrical";

interface Divisor {
  readonly polePairs: number;
  readonly how: string | null;
  readonly confidence: number;
  readonly sure: boolean;
  readonly doubts: readonly string[];
}

/** Rotor speed from what the motors report. */
export function telemetryRotor(timeline: Timeline, craft: Craft): RotorEstimate | null {
  const readings = timeline.rotorSpeed.filter((r) => hasSpeed(r, timeline));
  if (readings.length === 0) return null;
  const cleaned = readings.map((r) => cleanSpeed(r.hz, timeline.sampleRate, timeline.airborne));
  const filled = fillFromOthers(cleaned.map((c) => c.hz));
  const divisor = decideDivisor(timeline, craft, readings, cleaned);
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
  const summary = speedSummary(tracks, timeline.airborne);
  if (!summary) return null;
  const lines = orderLines(tracks, ground);
  const imbalance = divisor.sure ? motorImbalance(timeline, tracks, summary.medianHz) : {};
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
  return estimateDelay(
    timeline,
    cleaned.map((c) => c.hz),
    {
      orders: [1, ...clear.map((o) => o.order)],
      slowRefresh: cleaned.some((c) => c.refreshS * timeline.sampleRate > 1.05),
    },
  );
}

function tracksOf(readings: readonly SpeedReading[], cleaned: readonly CleanSpeed[]): SpeedTrack[] {
  return readings.map((r, m) => ({ motor: r.motor, hz: cleaned[m]!.hz }));
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

function decideDivisor(
  timeline: Timeline,
  craft: Craft,
  readings: readonly SpeedReading[],
  cleaned: readonly CleanSpeed[],
): Divisor | null {
  const electrical = readings.find((r) => r.electrical !== null)?.electrical ?? null;
  if (electrical === false) return { polePairs: 1, how: "header", confidence: 0.99, sure: true, doubts: [] };
  const told = craft.motorPoles === undefined ? null : polePairsOf(craft.motorPoles);
  if (electrical === true && told !== null)
    return { polePairs: told, how: "craft", confidence: 0.99, sure: true, doubts: [] };
  const choice = divisorFromData(timeline, cleaned, told === null ? undefined : [1, told]);
  if (choice?.clear && told === null) {
    const polePairs = choice.divisor * hiddenMultiple(timeline, tracksOf(readings, cleaned), choice.divisor);
    return { polePairs, how: "data", confidence: 0.99, sure: true, doubts: [] };
  }
  if (choice?.clear) {
    const how = told !== null && choice.divisor === told ? "craft" : "data";
    return { polePairs: choice.divisor, how, confidence: 0.99, sure: true, doubts: [] };
  }
  const inferred = divisorFromThrottle(timeline, cleaned);
  if (inferred) return inferred;
  if (electrical === true) {
    return {
      polePairs: USUAL_POLE_PAIRS,
      how: null,
      confidence: 0.6,
      sure: false,
      doubts: [
        `the speed report is electrical and the spectrum does not show by how many pole pairs to divide; ${USUAL_POLE_PAIRS}, the most usual, is assumed: give motorPoles in the craft file`,
      ],
    };
  }
  const slow = cleaned.every((c) => median(sampleOf(c.hz)) < SLOWEST_ELECTRICAL_HZ);
  if (slow) return { polePairs: 1, how: null, confidence: 0.9, sure: true, doubts: [TAKEN_AS_MECHANICAL] };
  return null;
}

/** Where the report's own lines do not tell, the speed inferred from throttle and spectrum may. */
function divisorFromThrottle(timeline: Timeline, cleaned: readonly CleanSpeed[]): Divisor | null {
  const inferred = inferredRotor(timeline, {});
  if (inferred.medianHz === null) return null;
  const reading = speedSummary(
    cleaned.map((c, m) => ({ motor: m + 1, hz: c.hz })),
    timeline.airborne,
  );
  const ratio = (reading?.medianHz ?? Number.NaN) / inferred.medianHz;
  const polePairs = Math.round(ratio);
  if (polePairs < 1 || Math.abs(ratio / polePairs - 1) > Math.min(0.05, 0.4 / polePairs)) return null;
  return { polePairs, how: "data", confidence: inferred.confidence, sure: true, doubts: [] };
}

/** Maps that the divisor is sought on: frames long enough for slow rotors, then short enough for lively flying. */
const MAPS = [
  { frameS: 0.5, whiten: "moving" },
  { frameS: 0.25, whiten: "moving" },
  { frameS: 0.5, whiten: "standing" },
] as const;

function divisorFromData(
  timeline: Timeline,
  cleaned: readonly CleanSpeed[],
  candidates?: readonly number[],
): DivisorChoice | null {
  let best: DivisorChoice | null = null;
  for (const { frameS, whiten } of MAPS) {
    const map = lineMap(timeline, { frameS, frames: 160, whiten, clip: [-0.5, 4] });
    if (!map) continue;
    const choice = chooseDivisor(
      map,
      cleaned.map((c) => frameSpeed(c.hz, map.grid)),
      candidates,
    );
    if (choice?.clear) return choice;
    if (choice && choice.lead > (best?.lead ?? 0)) best = choice;
  }
  return best;
}

/** A few thousand values spread over a track. */
function sampleOf(hz: Float32Array): Float32Array {
  const stride = Math.max(1, Math.floor(hz.length / 4000));
  return Float32Array.from({ length: Math.ceil(hz.length / stride) }, (_, i) => hz[i * stride]!);
}

function scaleInPlace(x: Float32Array, factor: number): void {
  if (factor !== 1) for (let i = 0; i < x.length; i++) x[i] = x[i]! * factor;
}

/** Shifts a series so that what was reported late stands where it happened; the last value is held. */
function advance(x: Float32Array, samples: number): void {
  const whole = Math.floor(samples);
  const part = samples - whole;
  const last = x.length - 1;
  const read = (i: number): number => x[Math.min(last, Math.max(0, i))]!;
  if (whole >= 0) {
    for (let i = 0; i <= last; i++) x[i] = (1 - part) * read(i + whole) + part * read(i + whole + 1);
  } else {
    for (let i = last; i >= 0; i--) x[i] = (1 - part) * read(i + whole) + part * read(i + whole + 1);
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
