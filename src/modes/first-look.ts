import type { RotorEstimate } from "../rotor/rotor.js";
import type { Timeline } from "../timeline/timeline.js";
import type { AxisMode } from "./axis-mode.js";
import { discoveryLimit, scan } from "./candidates.js";
import type { AxisData } from "./fit-seed.js";
import { movingTest, surelyMoves } from "./moving.js";
import { type BankInput, type ResolutionBank, resolutionBank } from "./resolution-bank.js";
import { identifyAxis } from "./search-axis.js";
import { seedsOf } from "./seeds.js";
import type { SteadyLine } from "./tones.js";
import { unlistedOrders } from "./unlisted-orders.js";

/** Stated chance that a flight of plain noise yields any candidate at all. */
export const FALSE_ALARM_RATE = 0.01;
/** Below this share of the lowest rotor speed nothing that turns leaves a line: what moves there is a control loop. */
const LINE_FREE_SHARE = 0.45;

/** Below this frequency what turns leaves no line, Hz; 0 where its speed is unknown. */
export function lineFreeBelow(rotor: RotorEstimate): number {
  return LINE_FREE_SHARE * (rotor.bandHz?.[0] ?? 0);
}

/** Median of reported rotor speeds; null where they are inferred or unknown, and too vague to follow a folded line. */
export function reportedHz({ source, medianHz }: RotorEstimate): number | null {
  return source === "telemetry" ? medianHz : null;
}

/** One axis, scanned. */
export interface ScannedAxis extends AxisData {
  readonly first: readonly AxisMode[];
  /** Frequencies at median speed of peaks that surely move. */
  readonly linesHz: readonly number[];
}

/** Scans every axis, bounds the false discoveries over all of them, fits, and tells what surely moves. */
function firstPass(bank: ResolutionBank, rotor: RotorEstimate): ScannedAxis[] {
  const lineFreeHz = lineFreeBelow(rotor);
  const scans = bank.averages.map(scan);
  const limit = discoveryLimit(scans, FALSE_ALARM_RATE);
  return bank.averages.map((average, axis) => {
    const data = { bank, axis, scan: scans[axis]!, lineFreeHz };
    const { accepted, comeAndGo } = identifyAxis(data, seedsOf(average, data.scan, limit));
    const lines = [...accepted.filter((m) => !steady(m)), ...comeAndGo].flatMap((mode) => {
      const test = mode.frequencyHz < lineFreeHz ? null : movingTest(bank, mode, reportedHz(rotor));
      return surelyMoves(test) ? [{ mode, hz: test.atHz }] : [];
    });
    return {
      ...data,
      first: accepted.filter((m) => lines.every((l) => l.mode !== m)),
      linesHz: lines.map((l) => l.hz),
    };
  });
}

/** Whether a peak keeps its height at two speeds or more and loses it at none. */
function steady(mode: AxisMode): boolean {
  return mode.persistence.inFavour >= 2 && mode.persistence.against === 0;
}

/** A bank, and its axes after the first pass. */
export interface FirstLook {
  readonly bank: ResolutionBank;
  readonly axes: readonly ScannedAxis[];
}

/**
 * Looks once; where peaks turn out to be lines at orders that nobody listed, masks those too and looks again.
 *
 * @param tones fixed tones, masked in every frame
 * @returns null when the log holds no gyro or is too short
 */
export function firstLook(
  timeline: Timeline,
  rotor: RotorEstimate,
  tones: readonly SteadyLine[],
): FirstLook | null {
  const input: BankInput = { timeline, rotor, tones, cache: new Map() };
  const bank = resolutionBank(input);
  if (bank === null) return null;
  const axes = firstPass(bank, rotor);
  const extra = unlistedOrders(
    rotor,
    axes.flatMap((a) => a.linesHz),
  );
  if (extra.length === 0) return { bank, axes };
  const listed = { ...rotor, orders: [...rotor.orders, ...extra] };
  const masked = resolutionBank({ ...input, rotor: listed }) ?? bank;
  return { bank: masked, axes: firstPass(masked, rotor) };
}
