import type { Craft } from "../craft.js";
import type { ModesEstimate } from "../modes/mode.js";
import type { RotorEstimate } from "../rotor/rotor.js";
import type { Timeline } from "../timeline/timeline.js";
import type { Interval } from "../units.js";
import type { CommandedMotion } from "./commanded-motion.js";
import type { Cruise } from "./cruise.js";
import type { DtermFrames } from "./dterm.js";
import type { FlightFrames } from "./flight-frames.js";
import type { Limits } from "./limits.js";
import type { Band } from "./third-octave.js";

/** What every reason may look at: gathered once by `judge`. */
export interface Measured {
  readonly timeline: Timeline;
  readonly rotor: RotorEstimate;
  readonly modes: ModesEstimate;
  readonly craft: Craft;
  readonly limits: Limits;
  readonly frames: FlightFrames;
  readonly commanded: CommandedMotion;
  /** Once-per-turn band in cruise; null when the rotors' speed is not known. */
  readonly cruise: Cruise | null;
  /** Once-per-turn band of all calm flight, Hz. */
  readonly flown: Interval | null;
  /** Null when the rotors' speed is not known. `toHz ≤ fromHz`: this craft has none. */
  readonly quietBand: Band | null;
  readonly dterm: DtermFrames;
}
