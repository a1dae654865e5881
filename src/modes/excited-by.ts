import { crossings } from "../rotor/crossings.js";
import type { RotorEstimate } from "../rotor/rotor.js";
import type { MergedMode } from "./merge.js";
import type { Mode } from "./mode.js";
import type { ResolutionBank } from "./resolution-bank.js";
import { lineHistory, swellingAt, swells } from "./swelling.js";

/** An order that meets a mode inside the range of speed flown. */
export interface OrderAnswer {
  readonly order: number;
  /** Throttle where it does, null where the flight's curve does not tell. */
  readonly throttle: number | null;
  /** Whether its line swells there, on any axis that shows the mode; null where that cannot be told. */
  readonly swells: boolean | null;
}

/** Orders whose true frequency meets a mode, and whether their lines swell as they pass it. */
export function orderAnswers(mode: MergedMode, bank: ResolutionBank, rotor: RotorEstimate): OrderAnswer[] {
  return crossings(rotor, [mode]).map(({ order, throttle }) => {
    const told = mode.seen.map((seen) => {
      const line = lineHistory(bank, rotor, { axis: seen.axis, order });
      const { frequencyHz, dampingRatio } = mode;
      return line === null ? null : swells(swellingAt(line, { frequencyHz, dampingRatio, gain: seen.gain }));
    });
    return { order, throttle, swells: told.includes(true) ? true : told.includes(null) ? null : false };
  });
}

/** Orders that excite a mode: all that meet it but those whose lines are known not to swell there. */
export function excitation(answers: readonly OrderAnswer[]): Mode["excitedBy"] {
  return answers.filter((a) => a.swells !== false).map(({ order, throttle }) => ({ order, throttle }));
}
