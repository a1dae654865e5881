import type { RotorEstimate } from "../rotor/rotor.js";
import type { Excitation } from "./excitation.js";
import { DOUBTS } from "./messages.js";
import type { OwnChain } from "./study.js";
import type { Setting } from "./study-setting.js";
import { foldedShareOfWhite } from "./white-floor.js";

export interface DoubtParts {
  readonly setting: Setting;
  readonly rotor: RotorEstimate;
  readonly excitation: Excitation;
  /** Whether a D-term is logged, and whether its scale could be read off. */
  readonly dterm: "none" | "unsure" | "known";
  readonly motors: number;
  readonly own: OwnChain;
  readonly crowded: number;
}

/**
 * Share of frames' bins in which lines of different true frequency lie together, times the folded share of the floor,
 * above which it is said; from there on predictions for simulated flights were 5 to 20 % off.
 */
const CROWDED = 0.36;
const CHECK_MARGIN = 0.2;

/** What was assumed, and where predictions may be off. */
export function doubtsOf({ setting, rotor, excitation, dterm, motors, own, crowded }: DoubtParts): string[] {
  const doubts: string[] = setting.unfit.map(DOUBTS.unfit);
  if (setting.loopRateFrom === "assumed") doubts.push(DOUBTS.loopAssumed(setting.loopRate));
  if (setting.crossoverFrom === "assumed") doubts.push(DOUBTS.crossoverAssumed(setting.crossoverHz));
  const folded = foldedShareOfWhite(excitation.logRate, excitation.loopRate);
  if (folded > 0.02) doubts.push(DOUBTS.white(folded));
  if (crowded * folded > CROWDED) doubts.push(DOUBTS.crowded);
  if (rotor.tracks.length === 0) doubts.push(DOUBTS.noRotor);
  else doubts.push(rotor.tracks[0]!.motor === null ? DOUBTS.common(motors) : DOUBTS.followed);
  if (dterm === "none") doubts.push(DOUBTS.gainMissing);
  if (dterm === "unsure") doubts.push(DOUBTS.gainUnsure);
  const ratio = own.predictedOverLogged;
  if (ratio !== null && Math.abs(Math.log(ratio)) > CHECK_MARGIN) doubts.push(DOUBTS.check(ratio));
  return doubts;
}
