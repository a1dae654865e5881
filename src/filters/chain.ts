import type { Hertz } from "../units.js";
import { BUTTERWORTH_Q, lowPass1, lowPass2, notch } from "./biquad.js";
import { onePole } from "./one-pole.js";
import type { Section } from "./section.js";

/** A corner that stays, or one that moves in a straight line from throttle 0 to throttle 1. */
export type Corner = Hertz | { readonly atZeroHz: Hertz; readonly atFullHz: Hertz };

/** Low-pass of first order (bilinear, or the short recursion) or of second order (Butterworth unless `q` is given). */
export interface LowPassStep {
  readonly kind: "low-pass";
  readonly order: 1 | 2;
  readonly corner: Corner;
  readonly form?: "bilinear" | "recursion";
  readonly q?: number;
}

/** Notch that stays; `q` is that of the analogue prototype (see `notch`). */
export interface NotchStep {
  readonly kind: "notch";
  readonly centreHz: Hertz;
  readonly q: number;
}

/** One notch per motor and order, centred on order · rotor frequency, but never below `lowestHz`. */
export interface RotorNotchStep {
  readonly kind: "rotor notches";
  readonly orders: readonly number[];
  readonly q: number;
  readonly lowestHz: Hertz;
}

export type FilterStep = LowPassStep | NotchStep | RotorNotchStep;

/** Filters from raw to filtered gyro, and further ones on the way from there to the D-term. */
export interface Chain {
  readonly gyro: readonly FilterStep[];
  readonly dterm: readonly FilterStep[];
}

/** What the moving filters follow. */
export interface FlightState {
  /** 0..1; null when the log has none: corners that move then stand in the middle of their range. */
  readonly throttle: number | null;
  /** Frequency of each motor, Hz. */
  readonly rotorHz: readonly Hertz[];
}

/** Above this share of the loop rate a filter is left out: there is nothing left for it to take. */
const HIGHEST_SHARE = 0.45;

/** Where a corner stands at a throttle, Hz. */
export function cornerAt(corner: Corner, throttle: number | null): Hertz {
  if (typeof corner === "number") return corner;
  return corner.atZeroHz + (corner.atFullHz - corner.atZeroHz) * Math.min(1, Math.max(0, throttle ?? 0.5));
}

/** Where the notches of a step stand, Hz: motors within orders. */
export function rotorNotchCentres(step: RotorNotchStep, rotorHz: readonly Hertz[]): Hertz[] {
  return step.orders.flatMap((order) => rotorHz.map((hz) => Math.max(step.lowestHz, order * hz)));
}

/**
 * The digital filters of some steps in one state of the flight.
 *
 * @param steps one path of a chain
 * @param state throttle and rotor speeds
 * @param loopRate rate of the loop that runs the filters, Hz
 * @example sectionsOf([{ kind: "low-pass", order: 2, corner: 100 }], { throttle: null, rotorHz: [] }, 4000).length // 1
 */
export function sectionsOf(steps: readonly FilterStep[], state: FlightState, loopRate: Hertz): Section[] {
  return steps.flatMap((step) => {
    if (step.kind === "low-pass")
      return lowPassSections(step, cornerAt(step.corner, state.throttle), loopRate);
    const centres = step.kind === "notch" ? [step.centreHz] : rotorNotchCentres(step, state.rotorHz);
    return centres.filter((hz) => hz < HIGHEST_SHARE * loopRate).map((hz) => notch(hz, loopRate, step.q));
  });
}

function lowPassSections({ order, form, q }: LowPassStep, hz: Hertz, loopRate: Hertz): Section[] {
  if (hz >= HIGHEST_SHARE * loopRate) return [];
  if (order === 2) return [lowPass2(hz, loopRate, q ?? BUTTERWORTH_Q)];
  return [form === "recursion" ? onePole(hz, loopRate) : lowPass1(hz, loopRate)];
}

/** Whether the filters of a step move with the flight. */
export function follows(step: FilterStep): boolean {
  return step.kind === "rotor notches" || (step.kind === "low-pass" && typeof step.corner !== "number");
}

/**
 * A chain in words.
 *
 * @example describeChain({ gyro: [], dterm: [{ kind: "low-pass", order: 2, corner: 100 }] })
 * // "gyro unfiltered; D-term low-pass 100 Hz (2nd order)"
 */
export function describeChain({ gyro, dterm }: Chain): string {
  const words = (name: string, steps: readonly FilterStep[], none: string): string =>
    `${name} ${steps.length === 0 ? none : steps.map(describeStep).join(" + ")}`;
  return `${words("gyro", gyro, "unfiltered")}; ${words("D-term", dterm, "not filtered further")}`;
}

/** One step in words. */
export function describeStep(step: FilterStep): string {
  const hz = (value: number): string => `${Math.round(value)}`;
  if (step.kind === "notch") return `notch ${hz(step.centreHz)} Hz (Q ${Number(step.q.toPrecision(2))})`;
  if (step.kind === "rotor notches") {
    const orders = step.orders.length === 1 ? "order" : "orders";
    return `notches on rotor ${orders} ${step.orders.join(", ")} (Q ${step.q}, not below ${hz(step.lowestHz)} Hz)`;
  }
  const place =
    typeof step.corner === "number"
      ? `${hz(step.corner)} Hz`
      : `${hz(step.corner.atZeroHz)} to ${hz(step.corner.atFullHz)} Hz with throttle`;
  return `low-pass ${place} (${step.order === 1 ? "1st" : "2nd"} order)`;
}
