import { AXES } from "../src/units.js";
import type { Clock } from "./clock.js";
import type { Motion } from "./motion.js";
import type { ModeSpec } from "./scenario.js";
import { airTicks } from "./summary.js";

const MEMORY_S = 0.3;

/**
 * Relative drive of a mode at every tick, mean square 1 in the air; null for what is driven evenly. A control-loop
 * oscillation swells for a moment after quick commands.
 */
export function modeDrive(mode: ModeSpec, motion: Motion, clock: Clock): Float64Array | null {
  if (mode.kind !== "loop") return null;
  const swell = commandHaste(motion, clock);
  const air = airTicks(swell, clock);
  const mean = air.reduce((sum, v) => sum + v, 0) / air.length || 1;
  const drive = swell.map((v) => 0.4 + v / mean);
  const square = airTicks(drive, clock).reduce((sum, v) => sum + v * v, 0) / air.length;
  return drive.map((v) => v / Math.sqrt(square));
}

/** Rate of change of the set-point, all axes, remembered for `MEMORY_S`. */
function commandHaste(motion: Motion, clock: Clock): Float64Array {
  const keep = Math.exp(-1 / (MEMORY_S * clock.tickRate));
  let memory = 0;
  return motion.setpoint.roll.map((_, k) => {
    const haste = AXES.reduce((sum, axis) => {
      const x = motion.setpoint[axis];
      return sum + Math.abs(x[k]! - x[Math.max(0, k - 1)]!);
    }, 0);
    memory = keep * memory + (1 - keep) * haste;
    return memory;
  });
}
