import type { Interval } from "../units.js";

/** Every sentence of the section that a user can meet lives here or in `advice.ts`. */

const number = (value: number, digits = 2): string => {
  if (value === 0) return "0";
  const size = Math.floor(Math.log10(Math.abs(value)));
  return value.toFixed(Math.max(0, Math.min(6, digits - size)));
};

/** Milliseconds with two decimals. */
export const ms = (value: number): string => `${value.toFixed(2)} ms`;
export const msRange = (value: number, [low, high]: Interval): string =>
  `${value.toFixed(2)} ms (${low.toFixed(2)} to ${high.toFixed(2)})`;

/** A D-term level in its unit, as a share of the motor range when that is known. */
export function level(value: number, unit: string, fullScale: number | null): string {
  if (fullScale !== null) return `${number((100 * value) / fullScale, 1)} % of the motor range`;
  return unit === "deg/s²" ? `${number(value)} deg/s²` : `${number(value)} in the log's units`;
}

export const REFUSALS = {
  noRaw:
    "the gyro before filtering (raw) is not in the log: what its filtering costs, and what less would do, cannot be told",
  noAir: "too little unbroken flight to say what filtering costs",
  slow: (logRate: number, needed: number): string =>
    `rows come at ${Math.round(logRate)} a second: what lies above half of that is folded over the band in which the loop works, so filtering cannot be judged; log at ${Math.round(needed)} Hz or more`,
} as const;

export const DOUBTS = {
  unfit: (what: string): string => `The craft file's ${what} does not fit this log and was not used.`,
  loopAssumed: (hz: number): string =>
    `The loop that runs the filters is taken to run at ${Math.round(hz)} Hz; give --loop-rate if you know it.`,
  crossoverAssumed: (hz: number): string =>
    `The loop's crossover is taken to lie at ${Math.round(hz)} Hz; give --crossover if you know it.`,
  white: (share: number): string =>
    `The floor of the log near its Nyquist is taken for white noise up to half the loop rate; ${Math.round(100 * share)} % of it then folded down.`,
  crowded:
    "Lines of different true frequency fold onto each other in much of this log, so predictions may be 10 to 20 % off; a faster log mends that.",
  noRotor:
    "Rotor speed is not known: chains with notches on it could not be tried, and lines that fold are taken where they show.",
  common: (motors: number): string =>
    `Only a common rotor speed is known: ${motors} notches are laid on it for each order, one for each motor. They need a controller that knows each motor's speed.`,
  followed:
    "Notches on rotor speed were run over this log with the speeds it holds; a controller that knows them later or rougher leaves more.",
  gainMissing:
    "No D-term is logged, so its scale is not known: D-term levels are rates of change of the filtered gyro, in deg/s².",
  gainUnsure:
    "A D-term is logged, but too little of it follows the raw gyro to read its scale off: D-term levels are rates of change of the filtered gyro, in deg/s².",
  check: (ratio: number): string =>
    `For the plain chain that behaves like this flight's, the prediction gives ${number(ratio, 2)} times the D-term that was logged: take the other predictions with that margin.`,
} as const;
