import type { RotorSummary } from "../result.js";
import type { MotorChange } from "./comparison.js";
import { normalPValue } from "./discoveries.js";

const DB = 20 / Math.LN10;
/** A rigid craft's once-per-turn rate grows as speed: force ∝ speed², rate = torque / speed. */
const SPEED_EXPONENT = 1;
/** How unsure that exponent is: structures near the line bend it. */
const EXPONENT_SD = 1;

/**
 * Once-per-turn amplitude of every motor that both sides know, brought from each flight's reference speed to one.
 *
 * @param scatterDb standard deviation from flight to flight of either side
 */
export function motorRatios(
  before: RotorSummary,
  after: RotorSummary,
  scatterDb: readonly [number, number],
): Omit<MotorChange, "significant">[] {
  const [one, two] = [before.referenceHz, after.referenceHz];
  if (one === null || two === null) return [];
  const faster = Math.log(two / one);
  return before.motors.flatMap((a) => {
    const b = after.motors.find((other) => other.motor === a.motor);
    if (b === undefined || !(a.onceDps > 0) || !(b.onceDps > 0)) return [];
    const ln = Math.log(b.onceDps / a.onceDps) - SPEED_EXPONENT * faster;
    const scatter = Math.hypot(...scatterDb) / DB;
    const sd = Math.hypot(logSd(a), logSd(b), EXPONENT_SD * faster, scatter);
    return [
      {
        motor: a.motor,
        ratioDb: DB * ln,
        ci95Db: [DB * (ln - 1.96 * sd), DB * (ln + 1.96 * sd)] as const,
        pValue: normalPValue(ln / sd),
      },
    ];
  });
}

/** Standard deviation of the logarithm, from the upper half of the interval: the lower may reach zero. */
function logSd({ onceDps, ci95Dps }: RotorSummary["motors"][number]): number {
  return Math.log(ci95Dps[1] / onceDps) / 1.96;
}
