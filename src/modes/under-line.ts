import { mayBeLeftOut, orderPath } from "../rotor/order-mask.js";
import type { OrderLine, RotorEstimate } from "../rotor/rotor.js";
import type { AxisMode } from "./axis-mode.js";
import { coreBins } from "./core.js";
import { LEAST_FRAMES, maskedAverage } from "./masked-average.js";
import { persistence, surelyLost } from "./persistence.js";
import type { Plane } from "./plane.js";
import type { Level, ResolutionBank } from "./resolution-bank.js";

/** A line that lies on the peak in this share of the frames may make all of it. */
const MOSTLY = 0.5;
/** Classes of frames: the line lies on the peak, it does not, the peak is masked. */
const [NEAR, AWAY, MASKED] = [0, 1, 255];
/** Bins beyond the core that its skirts and neighbours take. */
const AROUND = 12;

/**
 * Whether a peak may be the line of an order that stands out but could not be masked: where the lines of many motors,
 * folded ones too, would cover nearly everything, the mask leaves the faintest out. A structure is there in frames in
 * which that line lies elsewhere, on one axis at least; what fails to show there, or is never seen without the line,
 * may be the line.
 *
 * @param seen the peak on every axis
 * @returns false where only a common speed is known: its lines are so wide that they lie nearly everywhere
 */
export function mayBeUnmaskedLine(
  seen: readonly AxisMode[],
  rotor: RotorEstimate,
  bank: ResolutionBank,
): boolean {
  if (rotor.source !== "telemetry") return false;
  return rotor.orders
    .filter(mayBeLeftOut)
    .some((order) => seen.every((mode) => !showsWithout(mode, order, { rotor, bank })));
}

/** Whether a peak is seen while an order's line lies elsewhere. */
function showsWithout(
  mode: AxisMode,
  order: OrderLine,
  { rotor, bank }: { rotor: RotorEstimate; bank: ResolutionBank },
): boolean {
  const level = levelOf(mode, bank);
  if (level === null) return true;
  const { grid } = level.plane;
  const [from, to] = coreBins(mode, mode.average.df);
  const core: [number, number] = [from, Math.min(grid.bins, to)];
  const classOf = frameClasses(level.plane, orderPath(grid, rotor, order), core);
  const count = (c: number): number => classOf.reduce((sum, v) => sum + (v === c ? 1 : 0), 0);
  const near = count(NEAR);
  if (near < LEAST_FRAMES) return true;
  const around = 8 * (core[1] - core[0]) + AROUND;
  const average = maskedAverage(level.plane, {
    axis: mode.axis,
    levelling: level.levelling,
    classOf,
    range: [Math.max(0, core[0] - around), Math.min(grid.bins, core[1] + around)],
  });
  const kept = persistence(average, mode.fit, mode.fit.modes.length - 1).classes[AWAY];
  if (!kept) return near < MOSTLY * (near + count(AWAY));
  return !surelyLost(kept);
}

/** The plane that a mode was fitted on. */
function levelOf(mode: AxisMode, bank: ResolutionBank): Level | null {
  return bank.level(Math.round(Math.log2(bank.averages[mode.axis]!.df / mode.average.df)));
}

/** A frame counts as near when the line touches half of what is free of the core. */
function frameClasses({ grid, mask }: Plane, path: Uint8Array, [from, to]: [number, number]): Uint8Array {
  return Uint8Array.from(grid.starts, (_, k) => {
    let free = 0;
    let touched = 0;
    for (let cell = k * grid.bins + from; cell < k * grid.bins + to; cell++) {
      if (mask[cell] !== 0) continue;
      free++;
      touched += path[cell]!;
    }
    return free === 0 ? MASKED : touched >= free / 2 ? NEAR : AWAY;
  });
}
