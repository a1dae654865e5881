import type { Plant } from "./levels.js";
import type { LineForce } from "./line-forces.js";
import type { FlightRun } from "./logged.js";
import type { ModeOnAxis } from "./mode-drive.js";
import type { ThrustRange } from "./mode-frequency.js";

/** What the truth is collected from: the parts of a simulated flight. */
export interface TruthInput {
  readonly plant: Plant;
  readonly run: FlightRun;
  readonly lines: readonly (readonly LineForce[])[];
  readonly modes: readonly ModeOnAxis[];
  readonly modeHz: readonly Float64Array[];
  readonly thrust: ThrustRange;
}
