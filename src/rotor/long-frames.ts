import type { Seconds } from "../units.js";

/** Frames long enough to part the lines of slow rotors, and how many of them a flight without a report is read by. */
export const LONG_FRAME_S: Seconds = 0.5;
export const LONG_FRAMES = 400;
/** How many are enough where the speed is reported. */
export const REPORTED_FRAMES = 160;
