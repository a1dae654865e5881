import type { Craft } from "../craft.js";
import type { Interval } from "../units.js";
import { rpmToHz } from "./order-arithmetic.js";

const METRES_PER_INCH = 0.0254;
/** Cell voltage under load, V (common practice, no source). */
const CELL_VOLTS = 3.7;
/** Loaded over no-load speed at full throttle (common practice, no source: 0.7 to 0.85). */
const LOAD_FACTOR: Interval = [0.7, 0.85];
/** Hover to full throttle as a share of the loaded speed at full throttle (common practice, no source). */
const USED_SHARE: Interval = [0.35, 1];
/** Speed of the blade tips from hover to full throttle, m/s (common practice, no source). */
const TIP_SPEED: Interval = [45, 230];

/** A band in which the once-per-turn frequency is to be expected, and why. */
export interface ExpectedBand {
  readonly bandHz: Interval;
  readonly from: "motor" | "propeller";
}

/**
 * Loaded full-throttle speed by rule of thumb, Kv · volts · 0.7..0.85.
 *
 * @returns interval in Hz
 * @example loadedSpeedHz(400, 6) // 400 · 22.2 V · 0.75 is 111 Hz, inside [103.6, 125.8]
 */
export function loadedSpeedHz(kv: number, cells: number): Interval {
  const noLoad = rpmToHz(kv * cells * CELL_VOLTS);
  return [noLoad * LOAD_FACTOR[0], noLoad * LOAD_FACTOR[1]];
}

/**
 * Band of the once-per-turn frequency in flight from what the craft file tells: Kv and cells, else the propeller's
 * diameter. Rules of thumb, for a hint before the flight and for choosing between readings of a spectrum; never a
 * measurement.
 *
 * @returns null when the craft file says neither
 */
export function expectedRotorBand(craft: Craft): ExpectedBand | null {
  if (craft.kv !== undefined && craft.cells !== undefined) {
    const full = loadedSpeedHz(craft.kv, craft.cells);
    return { bandHz: [full[0] * USED_SHARE[0], full[1] * USED_SHARE[1]], from: "motor" };
  }
  if (craft.propellerInch === undefined) return null;
  const circumference = Math.PI * craft.propellerInch * METRES_PER_INCH;
  return { bandHz: [TIP_SPEED[0] / circumference, TIP_SPEED[1] / circumference], from: "propeller" };
}
