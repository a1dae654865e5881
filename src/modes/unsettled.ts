import { fold } from "../rotor/fold.js";
import type { RotorEstimate } from "../rotor/rotor.js";
import { coreBins } from "./core.js";
import type { BelievedMode } from "./kinds.js";
import type { MergedMode } from "./merge.js";
import type { ResolutionBank } from "./resolution-bank.js";

/** A mode is claimed (as structure, sway or loop) from this confidence on … */
const LEAST_CONFIDENCE = 0.75;
/**
 * … and from this one where something else speaks against it: the second method looked and did not find it; or a line that
 * hardly moved may have been there (motors that differ from the common speed leave lines beside the mask). Measured on
 * simulated flights: of such peaks with less confidence most are no modes, of those with more hardly any.
 */
export const DOUBTED_CONFIDENCE = 0.93;
/** Change of thrust, relative to its median, from which a sweep parts lines from what stays put. */
const WIDE_SPAN = 1;
/** With a report, a flight calmer than this sweeps its lines too little to part them from a mode beside them. */
const CALM_SPAN = 0.5;
/**
 * Orders that rotors commonly have, besides blade pass and its double; half orders come from play and from rubbing
 * (common practice, no source).
 */
const USUAL_ORDERS = [1, 2, 3, 4];
const HALF_ORDERS = [0.5, 1.5, 2.5];
/** Higher orders sweep over most of the band in a calm flight too: they tell nothing. */
const MOST_CALM_ORDER = 3;

/** Whether most of a peak's core is unseen on an axis: what was fitted there is the skirts of something. */
function coreUnseen(mode: MergedMode, bank: ResolutionBank): boolean {
  return mode.seen.every(({ axis }) => {
    const { df, density } = bank.averages[axis]!;
    const core = density.subarray(...coreBins(mode, df));
    return core.filter((s) => s > 0).length < core.length / 2;
  });
}

/** An order and how far its line lies about, relative. */
interface WideOrder {
  readonly order: number;
  readonly halfWidth: number;
}

/** Orders whose lines may be about, listed or not; half orders only where speeds are reported, whose lines are narrow. */
function likelyOrders({ source, orders, blades }: RotorEstimate): WideOrder[] {
  const widest = Math.max(0, ...orders.map((o) => o.halfWidth));
  const halves = source === "telemetry" ? HALF_ORDERS : [];
  const usual = [...USUAL_ORDERS, ...halves, ...(blades === null ? [] : [blades, 2 * blades])];
  return [...orders, ...usual.map((order) => ({ order, halfWidth: widest }))];
}

/** Whether a peak's core lies where some line was during the flight, the width of the line included. */
function besideLine(
  { frequencyHz, dampingRatio }: Pick<MergedMode, "frequencyHz" | "dampingRatio">,
  { rotor, orders, sampleRate }: { rotor: RotorEstimate; orders: readonly WideOrder[]; sampleRate: number },
): boolean {
  if (rotor.bandHz === null) return false;
  const [low, high] = rotor.bandHz;
  const middle = (low + high) / 2;
  return orders.some(({ order, halfWidth }) => {
    const reach = order * ((high - low) / 2 + halfWidth * middle) + dampingRatio * frequencyHz;
    return Math.abs(fold(order * middle, sampleRate) - frequencyHz) < reach;
  });
}

/** The flight a mode is judged in. */
export interface Setting {
  readonly rotor: RotorEstimate;
  readonly bank: ResolutionBank;
  readonly sampleRate: number;
}

/** Whether a line that hardly moved may pass for the peak. */
function maybeLine(mode: MergedMode, { rotor, bank, sampleRate }: Setting): boolean {
  const span = bank.base.classes?.thrustSpan ?? 0;
  const still = rotor.hover && span === 0;
  const wide = rotor.source === "inferred" ? WIDE_SPAN : CALM_SPAN;
  if (!still && (rotor.source === "none" || span >= wide)) return false;
  const orders = likelyOrders(rotor).filter(({ order }) => still || order <= MOST_CALM_ORDER);
  return besideLine(mode, { rotor, orders, sampleRate });
}

/**
 * Whether a peak is left unresolved whatever its shape: too little confidence for what speaks against it, missing at one
 * speed where a line that hardly moved may lie, or most of its core never seen.
 */
export function unsettled(mode: BelievedMode, setting: Setting): boolean {
  const beside = maybeLine(mode, setting);
  if (beside && setting.rotor.source === "telemetry" && mode.seen.some((m) => m.persistence.against > 0))
    return true;
  const doubted = beside || mode.agreement === "one";
  if (mode.confidence < (doubted ? DOUBTED_CONFIDENCE : LEAST_CONFIDENCE)) return true;
  return coreUnseen(mode, setting.bank);
}
