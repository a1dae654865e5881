import type { Craft } from "../craft.js";
import type { FlightLog } from "../decode/flight-log.js";
import type { ModesEstimate } from "../modes/mode.js";
import type { AxisSummary, QualityCheck, Settings, Verdict } from "../result.js";
import type { RotorEstimate } from "../rotor/rotor.js";
import type { Timeline } from "../timeline/timeline.js";
import type { PerAxis } from "../units.js";
import type { Footage } from "./footage.js";

/** What the verdict stage reads: everything measured before it. */
export interface JudgeInput {
  /** Only what the verdict needs of the log: warnings become quality checks. */
  readonly log: Pick<FlightLog, "warnings" | "rows">;
  readonly timeline: Timeline;
  readonly rotor: RotorEstimate;
  readonly modes: ModesEstimate;
  readonly craft: Craft;
}

/** What the verdict stage gives: these parts go into the result as they are. */
export interface Judgement {
  readonly missing: readonly { readonly what: string; readonly cost: string }[];
  readonly quality: readonly QualityCheck[];
  readonly axes: PerAxis<AxisSummary>;
  readonly verdict: Verdict;
  readonly limits: Settings["limits"];
  /** What a camera fixed hard to the frame would see; the `footage` section of the result. */
  readonly footage: Footage;
}
