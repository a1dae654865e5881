import { fold } from "../rotor/fold.js";
import type { RotorEstimate } from "../rotor/rotor.js";
import type { BelievedMode } from "./kinds.js";
import type { MergedMode } from "./merge.js";
import type { ResolutionBank } from "./resolution-bank.js";

/** A mode is claimed (as structure, sway or loop) from this confidence on … */
const LEAST_CONFIDENCE = 0.75;
/** … from this one where a line swells as it passes: a witness that the averaged spectrum knows nothing of … */
const WITNESSED_CONFIDENCE = 0.5;
/**
 * … and from this one where something else speaks against it: the second method does not find it; every line that
 * passes it stays flat; or the speed is inferred, hardly sweeps, and a line may have been there (motors that differ from the common speed leave lines beside
 * the mask). Measured on simulated flights: of such peaks with less confidence most are no modes, of those with more
 * hardly any.
 */
const DOUBTED_CONFIDENCE = 0.93;
/** Change of thrust, relative to its median, from which a sweep parts lines from what stays put. */
const WIDE_SPAN = 1;
/** Orders that rotors commonly have (common practice, no source), besides blade pass and its double. */
const USUAL_ORDERS = [1, 2, 3, 4];
/** Least half-width of a peak's core, bins. */
const CORE_BINS = 1.5;

/** Whether most of a peak's core is unseen on an axis: what was fitted there is the skirts of something. */
function coreUnseen({ frequencyHz, dampingRatio, seen }: MergedMode, bank: ResolutionBank): boolean {
  return seen.every(({ axis }) => {
    const { df, density } = bank.averages[axis]!;
    const half = Math.max(dampingRatio * frequencyHz, CORE_BINS * df);
    const first = Math.ceil((frequencyHz - half) / df);
    const core = density.subarray(first, Math.floor((frequencyHz + half) / df) + 1);
    return core.filter((s) => s > 0).length < core.length / 2;
  });
}

/** Orders whose lines may be about, listed or not. */
function likelyOrders({ orders, blades }: RotorEstimate): { order: number; halfWidth: number }[] {
  const widest = Math.max(0, ...orders.map((o) => o.halfWidth));
  const usual = [...USUAL_ORDERS, ...(blades === null ? [] : [blades, 2 * blades])];
  return [...orders, ...usual.map((order) => ({ order, halfWidth: widest }))];
}

/** Whether a peak lies where some line was during the flight, the width of the line included. */
function besideLine(hz: number, rotor: RotorEstimate, sampleRate: number): boolean {
  if (rotor.bandHz === null) return false;
  const [low, high] = rotor.bandHz;
  const middle = (low + high) / 2;
  return likelyOrders(rotor).some(({ order, halfWidth }) => {
    const reach = order * ((high - low) / 2 + halfWidth * middle);
    return Math.abs(fold(order * middle, sampleRate) - hz) < reach;
  });
}

/** The flight a mode is judged in. */
export interface Setting {
  readonly rotor: RotorEstimate;
  readonly bank: ResolutionBank;
  readonly sampleRate: number;
}

/** Whether a line that hardly moved may pass for the peak. */
function maybeLine(hz: number, { rotor, bank, sampleRate }: Setting): boolean {
  const span = bank.base.classes?.thrustSpan ?? 0;
  if (rotor.source !== "inferred" || span >= WIDE_SPAN) return false;
  return besideLine(hz, rotor, sampleRate);
}

function leastConfidence(mode: BelievedMode, setting: Setting): number {
  const { agreement, answers, frequencyHz } = mode;
  const flat = answers.length > 0 && answers.every((a) => a.swells === false);
  if (agreement !== "both" || flat || maybeLine(frequencyHz, setting)) return DOUBTED_CONFIDENCE;
  return answers.some((a) => a.swells === true) ? WITNESSED_CONFIDENCE : LEAST_CONFIDENCE;
}

/**
 * Whether a peak is left unresolved whatever its shape: too little confidence for what speaks against it, most of its
 * core never seen, or a place where a hover's lines stand.
 */
export function unsettled(mode: BelievedMode, setting: Setting): boolean {
  const { rotor, bank, sampleRate } = setting;
  if (mode.confidence < leastConfidence(mode, setting)) return true;
  if (rotor.hover && bank.base.classes === null && besideLine(mode.frequencyHz, rotor, sampleRate))
    return true;
  return coreUnseen(mode, bank);
}
