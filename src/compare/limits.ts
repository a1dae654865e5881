/**
 * Standard deviation of a level from flight to flight of one unchanged craft at equal rotor speed, dB. Two flights
 * cannot show it, so it is assumed: an engineering guess, no source. More flights of one build replace it.
 */
export const ASSUMED_SCATTER_DB = 0.4;
/** Flights that the assumption weighs as much as when real flights are there to estimate from. */
export const ASSUMED_WEIGHT = 2;
/** Relative standard deviation of a mode's frequency from flight to flight beyond its interval; assumed, no source. */
export const ASSUMED_MODE_SCATTER = 0.002;
/** Exponent of power on speed with which an error of the speed becomes an error of level: wash, force ∝ speed². */
export const WASH_SLOPE = 4;

/**
 * Bound on the share of false claims by question (Benjamini–Hochberg within each). Together 5 %: that is how often
 * two flights of one unchanged craft may bring any claim at all.
 */
export const FALSE_DISCOVERY = {
  axes: 0.015,
  bands: 0.01,
  orders: 0.005,
  motors: 0.01,
  modes: 0.01,
} as const;

/** Cells and classes need this many degrees of freedom on both sides. */
export const LEAST_DOF = 4;
/** Shared calm flight needed on either side for levels, s. */
export const LEAST_SHARED_S = 3;
/** A band is compared where at least this share of its width is free of lines on both sides. */
export const LEAST_BAND_SHARE = 0.3;
/** Rates that differ by more are other rates. */
export const RATE_TOLERANCE = 0.02;
/** Confidence from which a mode is taken as surely there: only such a mode can be gone or new. */
export const SURE = 0.9;
/** Confidence from which a mode may be the other flight's sure one, moved. */
export const PROBABLE = 0.5;
